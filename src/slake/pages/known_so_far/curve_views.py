"""One ingredient at a time: every line of the brief over its dose, with the 80 % range of the next reading."""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass

import numpy as np
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from slake.actions.looking import Sight, is_ready, look, told_enough
from slake.campaign.brief import Line
from slake.campaign.history import Seen
from slake.campaign.seen_curve import Curve, curve
from slake.campaign.seen_left_out import said
from slake.ground.evidence import Range, percent
from slake.ground.problems import NotEnoughEvidence, Problem

from ..next.marks import mark_of
from ..next.words import figures
from . import choosing
from .choosing import Chosen, chosen, figure
from .curve_drawing import Band, draw_band
from .dots import Dot
from .map_drawing import PANEL

TOGETHER = "all lines together"
TABLE_STEP = 5


@dataclass(frozen=True, kw_only=True)
class Panel:
    """One drawing with its words."""

    line: str
    words: str
    query: str
    alt: str


@require_http_methods(["GET", "HEAD", "POST"])
def show_curves(request: HttpRequest) -> HttpResponse:
    """Every line over one dose; where it takes long and is not worked out yet, a page that asks for it."""
    try:
        told = told_enough()
        if request.method == "POST":
            look(told)
            return redirect(request.get_full_path())
        if not is_ready(told):
            return render(request, "known/working.html", {"title": "Curves"})
        sight = look(told)
    except NotEnoughEvidence:
        return render(request, "known/curves.html", {})
    except Problem as problem:
        return render(request, "known/curves.html", {"sentences": [str(problem)]})
    to = chosen(request, sight, 1)
    found = curve(sight.seen, to.axes[0], to.held)
    context = {"sentences": to.sentences, **_context(sight, to, found)}
    return render(request, "known/curves.html", context, status=422 if to.refused else 200)


def _context(sight: Sight, to: Chosen, found: Curve) -> dict[str, object]:
    lines = [(line.name, line.words) for line in sight.seen.brief.lines]
    return {
        "panels": [_panel(sight, to, found, name, words) for name, words in [*lines, (TOGETHER, TOGETHER)]],
        "across": choosing.axis_offers(sight, to.axes[0]),
        "held_at": choosing.at_offers(sight, to.at),
        "likeliest": choosing.likeliest_words(sight),
        "held_words": choosing.held_words(sight, to),
        "axis": to.axes[0],
        "columns": [words for _, words in lines],
        "rows": [_row(sight, found, i) for i in range(0, len(found.doses), TABLE_STEP)],
        "off": [number for number, away in zip(sight.numbers, found.off, strict=True) if away],
        "marks": list(dict.fromkeys(mark_of(words) for words in sight.endings)),
        "held_dose": figure(found.held),
    }


def _panel(sight: Sight, to: Chosen, found: Curve, name: str, words: str) -> Panel:
    band = _band(sight, to, found, name)
    seen = hashlib.sha256(repr(band).encode()).hexdigest()[:12]
    tried = [d for d, near in zip(found.doses, found.tried, strict=True) if near]
    between = f"tried from {figure(tried[0])} to {figure(tried[-1])} {to.axes[0].unit}" if tried else "not tried"
    alt = f"{words.capitalize()} over {to.axes[0].name}, {between}. The table below holds the same."
    return Panel(line=name, words=words, query=to.query(line=name, of=seen), alt=alt)


def _row(sight: Sight, found: Curve, i: int) -> dict[str, object]:
    cells = [
        (line.words, _range_words(found.readings[line.name][i], line.gauge.unit)) for line in sight.seen.brief.lines
    ]
    chance = float(found.together[i])
    together = percent(chance) if math.isfinite(chance) else "cannot be mixed"
    return {"dose": figure(found.doses[i]), "cells": cells, "together": together, "tried": bool(found.tried[i])}


def _range_words(around: Range | None, unit: str) -> str:
    if around is None:
        return "cannot be mixed"
    low, mid, high = (figures(x, unit) for x in (around.low, around.mid, around.high))
    return f"{mid} ({low} to {high})"


@require_safe
def drawing(request: HttpRequest, shape: str) -> HttpResponse:
    """One line over one dose as a picture."""
    if shape != PANEL.name:
        raise Http404("no such drawing")
    try:
        sight = look()
    except Problem as problem:
        raise Http404(str(problem)) from None
    to = chosen(request, sight, 1)
    found = curve(sight.seen, to.axes[0], to.held)
    name = request.GET.get("line", TOGETHER)
    answer = HttpResponse(draw_band(_band(sight, to, found, name), PANEL), content_type="image/svg+xml")
    answer["Cache-Control"] = "no-cache"
    return answer


def _band(sight: Sight, to: Chosen, found: Curve, name: str) -> Band:
    line = sight.seen.brief.line(name)
    low, mid, high = _three(found, line)
    return Band(
        doses=tuple(map(float, found.doses)),
        low=low,
        mid=mid,
        high=high,
        tried=tuple(map(bool, found.tried)),
        window=_window(line),
        held=found.held,
        across=choosing.label_of(to.axes[0]),
        up=_up(line),
        dots=tuple(_dots(sight, found, line)) if line else (),
        ends=None if line else (0.0, 100.0),
    )


def _up(line: Line | None) -> str:
    if line is None:
        return "chance that all lines hold, %"
    unit = "" if line.gauge.unit in ("", "grade", "layers") else f", {line.gauge.unit}"
    return f"{line.gauge.words}{unit}"


def _window(line: Line | None) -> tuple[float, float]:
    if line is None:
        return math.nan, math.nan
    return (math.nan if line.low is None else line.low, math.nan if line.high is None else line.high)


Row = tuple[float, ...]


def _three(found: Curve, line: Line | None) -> tuple[Row, Row, Row]:
    """Low, middle and high; of the chance, in percent, the chance three times."""
    if line is None:
        same = tuple(100 * float(c) for c in found.together)
        return same, same, same
    each = found.readings[line.name]
    parts = [tuple(math.nan if r is None else getattr(r, end) for r in each) for end in ("low", "mid", "high")]
    return parts[0], parts[1], parts[2]


def _dots(sight: Sight, found: Curve, line: Line) -> list[Dot]:
    """What was read of this line, each where its batch lies; what is open to one side at the end that is known."""
    dots = []
    for i, (number, words) in enumerate(zip(sight.numbers, sight.endings, strict=True)):
        mine = [s for s in sight.told.book.batches[i].mixed.readings if s.gauge.name == line.name]
        if mine and not found.off[i]:
            value, sign = _read(min(reversed(mine), key=lambda one: abs(one.log_age)))
            label = f"{number}{sign}"
            x, hollow = float(found.places[i]), not bool(found.alike[i])
            dots.append(Dot(label=label, x=x, y=value, mark=mark_of(words), hollow=hollow))
    return dots


def _read(seen: Seen) -> tuple[float, str]:
    low, high = said(seen)
    if not np.isfinite(high):
        return low, "↑"
    return (high, "↓") if not np.isfinite(low) and seen.gauge.half_step == 0 else (seen.value, "")
