"""The map: every batch over water and gum, how it ended, which line of the brief it broke, and what is proposed."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from slake.actions.campaign import tell
from slake.actions.proposing import Tried, standing_proposal, tried
from slake.ground.problems import NotEnoughEvidence
from slake.records.models import ProposalGiven

from .chart import PHONE, SHAPES, WIDE, Dot, draw
from .marks import GOOD, NEXT, mark_of

WORDS_OF_LINE = {True: "held", False: "broke", None: "not read"}
CLASS_OF_LINE = {True: "in", False: "out", None: "unsure"}


@dataclass(frozen=True, kw_only=True)
class Cell:
    """One line of the brief for one batch, in words."""

    words: str
    css: str
    why: str


@require_safe
def show_map(request: HttpRequest) -> HttpResponse:
    past, given = _known()
    dots = _dots(past, given)
    context = {
        "rows": [_row(one) for one in past],
        "lines": [line for line, _, _ in past[0].lines] if past else [],
        "given": given,
        "taken_in": request.GET.get("taken") == "in",
        "next_number": _next_number(past),
        "alt": _alt(past, given),
        "seen": hashlib.sha256(repr(dots).encode()).hexdigest()[:12],
        "wide": WIDE,
        "phone": PHONE,
        "marks": list(dict.fromkeys(dot.mark for dot in dots)),
    }
    return render(request, "next/map.html", context)


@require_safe
def drawing(request: HttpRequest, shape: str) -> HttpResponse:
    if shape not in SHAPES:
        raise Http404("no such drawing")
    answer = HttpResponse(draw(_dots(*_known()), SHAPES[shape]), content_type="image/svg+xml")
    answer["Cache-Control"] = "no-cache"
    return answer


def _known() -> tuple[Sequence[Tried], ProposalGiven | None]:
    """Everything tried, and the proposal that still answers it; nothing where there is no lot yet."""
    try:
        told = tell()
    except NotEnoughEvidence:
        return (), None
    return tried(told), standing_proposal(told)


def _next_number(past: Sequence[Tried]) -> int:
    return max((one.batch.number for one in past), default=0) + 1


def _dots(past: Sequence[Tried], given: ProposalGiven | None) -> tuple[Dot, ...]:
    dots = [
        Dot(
            label=str(one.batch.number),
            water_per_dry=one.water_per_dry,
            thickener_per_100_water=one.thickener_per_100_water,
            mark=mark_of(one.outcome),
            words=one.outcome[:34],
        )
        for one in past
    ]
    if given is not None:
        dots.append(
            Dot(
                label=str(_next_number(past)),
                water_per_dry=given.answer["water_per_dry"],
                thickener_per_100_water=given.answer["thickener_per_100_water"],
                mark=NEXT,
                words="next",
            )
        )
    return tuple(dots)


def _row(one: Tried) -> dict[str, object]:
    cells = [Cell(words=WORDS_OF_LINE[held], css=CLASS_OF_LINE[held], why=why) for _, held, why in one.lines]
    return {"tried": one, "mark": mark_of(one.outcome), "cells": cells, "url": _batch_url(one.batch.number)}


def _batch_url(number: int) -> str:
    return f"{reverse('home')}batches/{number}/"


def _alt(past: Sequence[Tried], given: ProposalGiven | None) -> str:
    if not past:
        return "An empty map: no batch has an ending or a reading yet."
    waters = [one.water_per_dry for one in past]
    gums = [one.thickener_per_100_water for one in past]
    good = sum(mark_of(one.outcome) is GOOD for one in past)
    text = (
        f"Map of {len(past)} batches over water ({min(waters):.2f} to {max(waters):.2f} g per g dry solids) and gum "
        f"({min(gums):.1f} to {max(gums):.1f} g per 100 g water); {good} ended well."
    )
    if given is not None:
        water, gum = given.answer["water_per_dry"], given.answer["thickener_per_100_water"]
        text += f" Proposed next: water {water:.2f}, gum {gum:.1f}."
    return f"{text} The table below holds the same."
