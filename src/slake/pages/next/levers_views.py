"""What to change after a print that cracked: each lever with what it does and costs, and "mix this"."""

from __future__ import annotations

from collections.abc import Mapping

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from slake.actions.campaign import Campaign, tell
from slake.actions.changing import begin_changed
from slake.actions.levers import Said, cracked, levers_of
from slake.campaign.lever_practice import told as told_of
from slake.ground.evidence import percent
from slake.ground.problems import NotEnoughEvidence, Problem
from slake.ground.units import from_si
from slake.records.models import Batch, Lot

from ..asking import entry_of, form_page, show
from ..forms import Asking, choice, new_entry_id, number
from .cautions import cautions_for
from .levers_words import ways_shown, whole_words

AT_ONCE = 25
"""Batches from which it may take over a second, so that a page says so first."""


class PartForm(Asking):
    """What was printed, as far as it is known."""

    wall_mm = number("thickness of the wall", "mm", hint="two beads of the nozzle where you leave it open")
    covered = choice("did it dry under a cover", [("yes", "yes"), ("no", "no"), ("", "don't know")])


@form_page
def levers_page(request: HttpRequest, number: int) -> HttpResponse:
    """Looked at with what the address says of the part; sent, a batch of the way chosen is begun."""
    batch = get_object_or_404(Batch, number=number)
    typed = request.POST if request.method == "POST" else request.GET
    part = {name: typed.get(name, "") for name in ("wall_mm", "covered")}
    form = PartForm({**part, "entry": request.POST.get("entry") or new_entry_id()})
    try:
        told = tell()
    except NotEnoughEvidence as problem:
        return render(request, "next/not_yet.html", {"sentence": f"There is nothing to change yet: {problem.do}."})
    if request.method != "POST" and len(told.batches) > AT_ONCE and "now" not in request.GET:
        return render(request, "next/levers_working.html", {"batch": batch, "asked": typed.items()})
    said = None
    try:
        said = levers_of(number, form.typed if form.is_valid() else {}, told)
        if request.method == "POST" and form.is_valid():
            return _begin(request, said, form.typed)
    except Problem as problem:
        form.refuse(problem)
    return _page(request, batch, form, told, said)


def _begin(request: HttpRequest, said: Said, typed: Mapping[str, str]) -> HttpResponse:
    wanted = request.POST.get("way", "")
    way = next((way for way in (*said.levers.ways, *said.levers.pairs) if way.key == wanted), None)
    if way is None or request.POST.get("seen") != said.campaign.seen:
        raise Problem("something new was read since this page was opened: look at the levers as they are now")
    why = f"after batch {said.batch.number} cracked: " + ", and ".join(whole_words(step) for step in way.steps)
    begun = begin_changed(entry_of(request), said.batch.recipe_id, said.recipe(way), why, {})
    return HttpResponseRedirect(f"{reverse('home')}batches/{begun.number}/")


def _page(request: HttpRequest, batch: Batch, form: PartForm, told: Campaign, said: Said | None) -> HttpResponse:
    context: dict[str, object] = {
        "batch": batch,
        "said": said,
        "others": [n for n in cracked(told) if n != batch.number],
    }
    if said is not None:
        ways = ways_shown(said)
        names = {amount.name for way in ways for amount in way.amounts}
        context |= {
            "ways": ways,
            "lacking": [told_of()[key] for key in said.levers.not_at_hand],
            "as_it_was": percent(said.levers.as_it_was.chance),
            "wall_mm": f"{from_si(said.part.wall, 'mm'):.1f}",
            "cautions": cautions_for(Lot.objects.filter(name__in=names)),
        }
    return show(request, "next/levers.html", form, **context)
