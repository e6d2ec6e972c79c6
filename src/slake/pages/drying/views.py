"""How will it dry: of a batch, or of a paste told by hand. Asked by address, so that it can be sent round."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from django.forms import BoundField
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from slake.actions.drying_plan import curve_of, drying_plan
from slake.ground.evidence import percent
from slake.ground.problems import Problem
from slake.path.drying_answer import Answered
from slake.path.drying_asked import CHOICES, NUMBERS, ROWS
from slake.path.drying_words import (
    GRADES,
    cautions,
    crack_sentence,
    curve_rows,
    face_lines,
    gone_line,
    lines_of,
    warp_sentence,
)
from slake.records.models import Batch

from ..forms import DONT_KNOW, Asking, choice, number
from ..next.chart import SHAPES
from .drawing import draw_curve

WEIGHINGS = [f"{what}_{n}" for n in range(1, ROWS + 1) for what in ("hours", "grams")]
FIELDS = (*NUMBERS, *CHOICES, *WEIGHINGS, "curve")
FURTHER = ("height_mm", "across_mm", "shrinkage_percent", "first_percent", "last_percent", "heater")
DONE = ("covered_h", "freed_h", "tray_g", "step_g", "curve", *WEIGHINGS)


def _offered(name: str):
    label, words = CHOICES[name]
    return choice(label.capitalize(), [*words.items(), ("", DONT_KNOW)])


class DryingForm(Asking):
    shape = _offered("shape")
    wall_mm = number("Thickness of the wall", "mm", hint="Left open: one bead of the machine, else 2 to 8 mm.")
    base_mm = number("Thickness of the base", "mm", open_word="as the wall")
    air_c = number("Temperature of the air", "C")
    humidity_percent = number("Humidity of the air", "%")
    draught = _offered("draught")
    bed = _offered("bed")
    kind = _offered("kind")
    water_percent = number("Water in the paste", "% of its mass", hint="Of a batch: left open, as it was mixed.")
    height_mm = number("Height of the wall", "mm", open_word="100")
    across_mm = number("How far it reaches across the bed", "mm", open_word="100")
    shrinkage_percent = number("How much shorter it dries", "%", hint="From a shrinkage bar of this batch.")
    first_percent = number("Water in the first bead", "% of its mass")
    last_percent = number("Water in the last bead", "% of its mass", hint="Oven-dried, both; left open: alike.")
    heater = _offered("heater")
    covered_h = number("Hours it is covered", "h", open_word="as told here")
    freed_h = number("Hours until it is cut free and turned", "h", open_word="as told here")
    tray_g = number("Tray under it", "g", open_word="weighed without")
    step_g = number("Step of the scale", "g", open_word="0.1")
    curve = choice(
        "Take the weighings of its drying curve",
        [("yes", "yes"), ("", "no")],
        hint="Where the piece weighed had such walls, and was laid in the hour of its first weighing.",
    )

    def __init__(self, *given: object, **more: object) -> None:
        super().__init__(*given, **more)
        for n in range(1, ROWS + 1):
            self.fields[f"hours_{n}"] = number(f"Weighing {n}: hours since it was laid", "h", open_word="none")
            self.fields[f"grams_{n}"] = number(f"Weighing {n}: mass", "g", open_word="none")

    @property
    def plain(self) -> list[BoundField]:
        return [one for one in self.asked if one.name not in {*FURTHER, *DONE}]

    @property
    def further(self) -> list[BoundField]:
        return [one for one in self.asked if one.name in FURTHER]

    @property
    def done(self) -> list[BoundField]:
        return [one for one in self.asked if one.name in DONE]

    @property
    def has_further(self) -> bool:
        return any(self.initial.get(name) for name in FURTHER)

    @property
    def has_done(self) -> bool:
        return any(self.initial.get(name) for name in DONE)


def _asked(request: HttpRequest) -> dict[str, str]:
    return {name: request.GET.get(name, "")[:40] for name in FIELDS}


def _batch(number: int | None) -> Batch | None:
    return get_object_or_404(Batch.objects.select_related("machine", "recipe"), number=number) if number else None


@require_safe
def plan(request: HttpRequest, number: int | None = None) -> HttpResponse:
    """Opened without a question it only asks; asked, it answers or says in a sentence why not."""
    batch, asked = _batch(number), _asked(request)
    answered, sentences = None, []
    if "ask" in request.GET or any(asked.values()):
        try:
            answered = drying_plan(asked, batch)
        except Problem as problem:
            sentences = [str(problem)]
    context = {
        "batch": batch,
        "form": _form(asked, batch),
        "query": urlencode({"ask": "1"} | {name: text for name, text in asked.items() if text}),
        "sentences": sentences,
        "answered": answered,
        **(_told(answered) if answered else {}),
    }
    return render(request, "drying/page.html", context, status=422 if sentences else 200)


def _form(asked: Mapping[str, str], batch: Batch | None) -> DryingForm:
    form = DryingForm(initial=asked)
    if batch is None or curve_of(batch) is None:
        del form.fields["curve"]
    return form


def _told(answered: Answered) -> dict[str, object]:
    found, asked = answered.schedule, answered.asked
    return {
        "lines": lines_of(found, asked.weighed),
        "gone": gone_line(found, asked.weighed),
        "before": lines_of(answered.before)[-1] if answered.before else None,
        "faces": face_lines(asked, found),
        "cracks": crack_sentence(found.cracks),
        "grades": [(n, word, percent(c)) for n, (word, c) in enumerate(zip(GRADES, found.cracks.chances, strict=True))],
        "warp": warp_sentence(found, asked.drying.piece.across_m),
        "cautions": cautions(asked, found),
        "rows": curve_rows(found, asked.weighed),
        "basis": asked.basis.items(),
        "grades_read": len(asked.drying.paste.grades),
        "weighings": len(asked.weighed.at_s) if asked.weighed else 0,
    }


@require_safe
def curve(request: HttpRequest, shape: str, number: int | None = None) -> HttpResponse:
    if shape not in SHAPES:
        raise Http404("no such drawing")
    try:
        answered = drying_plan(_asked(request), _batch(number))
    except Problem as problem:
        raise Http404(str(problem)) from None
    return HttpResponse(draw_curve(answered, SHAPES[shape]), content_type="image/svg+xml")
