"""The next batch: chance and reason, predictions against the windows, grams in order, and "mix this"."""

from __future__ import annotations

from collections.abc import Mapping

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from slake.actions.levers import last_cracked
from slake.actions.mixing import begin_batch, next_number, weigh_out
from slake.actions.proposing import propose_next, standing_proposal
from slake.actions.readings_told import MOST_TOLD
from slake.ground.problems import NotEnoughEvidence, Problem
from slake.ground.units import from_si
from slake.records.models import Batch, Lot, Machine, ProposalGiven
from slake.records.struck import standing_batches

from ..asking import entry_of, show
from ..forms import Asking, number
from . import words
from .cautions import cautions_for
from .stands_words import stands_told

USUAL_DRY_G = "300"
USUAL_PASTE_G = 500.0
MANY = 80
"""Batches from which working it out is no matter of a few seconds any more (docs/measured.md)."""


class SizeForm(Asking):
    """How much to mix: dry grams, or cartridges to fill."""

    dry_g = number("dry solids", "g", hint="together, before water", open_word=USUAL_DRY_G)
    cartridges = number("or cartridges to fill", hint="purge, residue and bowl loss are added", open_word="")
    cartridge_ml = number("one cartridge holds", "mL", open_word="")


@require_http_methods(["GET", "POST", "HEAD"])
def next_batch(request: HttpRequest) -> HttpResponse:
    """The proposal as it stands; where it has to be worked out first, a page that asks for that and waits."""
    try:
        given = standing_proposal()
    except NotEnoughEvidence as problem:
        return render(request, "next/not_yet.html", {"sentence": _first(problem)})
    except Problem as problem:
        return render(request, "next/not_yet.html", {"sentence": f"{problem}.", "stuck": True}, status=422)
    if given is None:
        waits = {"batches": min(standing_batches().count(), MOST_TOLD), "many": MANY}
        return render(request, "next/working.html", {"entry": Asking()["entry"], "next_number": next_number(), **waits})
    if request.method == "POST":
        return _mix_or_look(request, given)
    machine = Machine.objects.last()
    volume = f"{machine.cartridge_ml:g}" if machine and machine.cartridge_ml else ""
    return _page(request, given, SizeForm(initial={"dry_g": USUAL_DRY_G, "cartridge_ml": volume}), {})


@require_POST
def work_out(request: HttpRequest) -> HttpResponse:
    """Work the next batch out from everything this bench knows; the same evidence is not worked out twice."""
    try:
        propose_next(entry_of(request))
    except Problem as problem:
        return render(request, "next/not_yet.html", {"sentence": str(problem)}, status=422)
    return HttpResponseRedirect(reverse("next"))


def _first(problem: NotEnoughEvidence) -> str:
    return f"There is nothing to mix from yet: {problem.do}."


def _mix_or_look(request: HttpRequest, given: ProposalGiven) -> HttpResponse:
    form = SizeForm(request.POST)
    if not form.is_valid() or "look" in request.POST:
        return _page(request, given, form, form.typed if form.is_valid() else {})
    if request.POST.get("proposal") != str(given.pk):
        form.refuse(Problem("something new was read since this page was opened: look at the batch as it is now"))
        return _page(request, given, form, form.typed)
    try:
        batch = begin_batch(entry_of(request), given.pk, form.typed)
    except Problem as problem:
        form.refuse(problem)
        return _page(request, given, form, {})
    return HttpResponseRedirect(f"{reverse('home')}batches/{batch.number}/bench/")


def _page(request: HttpRequest, given: ProposalGiven, form: SizeForm, size: Mapping[str, str]) -> HttpResponse:
    plan = None
    try:
        plan = weigh_out(given, size)
    except Problem as problem:
        form = form if form.is_bound else _sent_empty()
        form.refuse(problem)
    context = {
        "next_number": next_number(),
        "plan": plan,
        "amounts": words.amounts_of(plan) if plan else [],
        "paste_words": words.paste_words(plan) if plan else "",
        "cautions": cautions_for(Lot.objects.filter(name__in=given.answer["parts"])),
        "open_batches": Batch.objects.filter(proposal=given),
        "cracked": last_cracked(),
        "stands": stands_told(given.answer, from_si(plan.paste_kg, "g") if plan else USUAL_PASTE_G),
    }
    return show(request, "next/next.html", form, **_told(given), **context)


def _sent_empty() -> SizeForm:
    """A form that can carry a sentence before anything was sent."""
    form = SizeForm({})
    form.is_valid()
    return form


def _told(given: ProposalGiven) -> dict[str, object]:
    """The proposal in words, as it was given."""
    predictions = words.prediction_rows(given.answer)
    return {
        "given": given,
        "answer": given.answer,
        "chance": words.chance_words(given.answer),
        "least_known": words.least_known_words(given.answer),
        "reasons": words.reasons_of(given.answer),
        "predictions": predictions,
        "cone": words.cone_of(predictions),
        "read_with": words.read_with(given.answer),
        "phase_words": words.phase_words(given.answer),
        "parts_words": words.parts_words(given.answer),
    }
