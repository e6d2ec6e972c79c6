"""Will it run and stand: of a batch, or of a stiffness typed by hand. Asked by address, so it can be sent round."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from django.contrib import messages
from django.forms import BoundField
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from slake.actions.verdict import Answer, keep_verdict, verdict
from slake.actions.verdict_asked import ASKED, CHANGED, asked_of
from slake.campaign.verdict import judge
from slake.ground.problems import Problem
from slake.records.models import Batch

from ..asking import entry_of
from ..forms import DONT_KNOW, Asking, choice, number
from ..verdict_drawing import SHAPES, bars_of, draw_bars, high_in
from ..verdict_page import told

YES_NO = [("yes", "yes"), ("no", "no"), ("", DONT_KNOW)]
EXTRA = ("closed", "dense")
OWN, AS_IS = "the machine's", "as it is"


class VerdictForm(Asking):
    cone_depth_mm = number("Cone reading now", "mm", hint="A 30 deg cone of 30 g.")
    wall_height_mm = number("Height of the wall", "mm", hint="Left open: what the brief asks for, else no wall.")
    wall_mm = number("Thickness of the wall", "mm", hint="Left open: one bead.")
    closed = choice("A closed shape, such as a ring or a pot", YES_NO)
    wait_min = number("Minutes until it is loaded", "min", open_word="now")
    print_min = number(
        "Minutes the print takes", "min", hint="At the machine's own speed. Left open: as long as a full barrel lasts."
    )
    dense = choice(
        "Coarse, dense skeleton of grains", YES_NO, hint="Then grains must be a tenth of the nozzle, not a fifth."
    )
    nozzle_mm = number("Bore of the nozzle", "mm", open_word=OWN)
    land_mm = number("Its land", "mm", open_word=OWN)
    speed_mm_s = number("Speed of the bead", "mm/s", open_word=OWN)
    fill_mm = number("Length of paste in the barrel", "mm", open_word=OWN)
    water_g = number(
        "Water more", "g per 100 g dry", hint="Less, or dry filler kneaded in: with a minus.", open_word="0"
    )
    pause_min = number("Minutes it pauses in all", "min", hint="While it stands, before the upper part.", open_word="0")
    grain_um = number("Largest grain, sieved finer", "um", open_word=AS_IS)
    fibre_mm = number("Longest fibre, milled finer", "mm", open_word=AS_IS)
    air_percent = number("Air left in it, by volume", "%", open_word=AS_IS)

    @property
    def plain(self) -> list[BoundField]:
        return [field for field in self.asked if field.name not in CHANGED]

    @property
    def changed(self) -> list[BoundField]:
        return [field for field in self.asked if field.name in CHANGED]

    @property
    def is_changed(self) -> bool:
        return any(self.initial.get(name) for name in CHANGED)


def _asked(request: HttpRequest) -> dict[str, str]:
    given = request.GET if request.method != "POST" else request.POST
    return {name: given.get(name, "")[:40] for name in (*ASKED, *EXTRA, *CHANGED)}


@require_safe
def by_hand(request: HttpRequest) -> HttpResponse:
    return _page(request, None, _asked(request))


@require_http_methods(["GET", "HEAD", "POST"])
def of_batch(request: HttpRequest, number: int) -> HttpResponse:
    """The verdict of a batch; sent as a form it is kept as given."""
    batch = _batch(number)
    asked = _asked(request)
    if request.method == "POST":
        try:
            keep_verdict(entry_of(request), batch.pk, asked)
        except Problem as problem:
            return _page(request, batch, asked, str(problem))
        messages.success(request, "Kept as it was given, with what it rests on. It stands at the foot of this page.")
        return redirect(f"{reverse('batch_verdict', args=[number])}?{_query(asked)}")
    return _page(request, batch, asked)


def _query(asked: Mapping[str, str]) -> str:
    return urlencode({name: text for name, text in asked.items() if text})


def _batch(number: int) -> Batch:
    return get_object_or_404(Batch.objects.select_related("machine", "recipe"), number=number)


def _page(request: HttpRequest, batch: Batch | None, asked: Mapping[str, str], sentence: str = "") -> HttpResponse:
    """What was asked, answered or refused; opened with nothing typed it says what is lacking and refuses nothing."""
    answer = None
    try:
        answer = verdict(asked, batch, timezone.now())
    except Problem as problem:
        sentence = sentence or str(problem)
    form = VerdictForm(initial=asked)
    if batch is not None:
        del form.fields["cone_depth_mm"]
    context = {
        "batch": batch,
        "form": form,
        "asked": asked,
        "answer": answer,
        "told": told(answer, asked) if answer else None,
        "query": _query(asked),
        **_sizes(answer),
        "kept": batch.verdicts.order_by("-id")[:5] if batch else [],
        "sentences": [sentence] if sentence else [],
    }
    refused = bool(sentence) and (request.method == "POST" or any(asked.values()))
    return render(request, "verdict/page.html", context, status=422 if refused else 200)


def _sizes(answer: Answer | None) -> dict[str, int]:
    """Heights of the drawings where an inch is a hundred dots."""
    drawn = bars_of(answer.verdict) if answer else ()
    return {f"{name}_high": round(100 * high_in(drawn, shape)) for name, shape in SHAPES.items()}


@require_safe
def bars(request: HttpRequest, shape: str, number: int = 0) -> HttpResponse:
    if shape not in SHAPES:
        raise Http404("no such drawing")
    try:
        found = judge(asked_of(_asked(request), _batch(number) if number else None, timezone.now()).question)
    except Problem as problem:
        raise Http404(str(problem)) from None
    return HttpResponse(draw_bars(bars_of(found), SHAPES[shape]), content_type="image/svg+xml")
