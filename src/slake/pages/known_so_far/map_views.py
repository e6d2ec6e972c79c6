"""The map of the recipe space: where each line holds and how sure, every batch with how it ended, what is proposed."""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass

import numpy as np
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe
from numpy.typing import NDArray

from slake.actions.campaign import Campaign
from slake.actions.looking import Sight, is_ready, look, told_enough
from slake.actions.proposing import Tried, tried
from slake.campaign.seen_map import Cut
from slake.ground.evidence import percent
from slake.ground.problems import NotEnoughEvidence, Problem

from ..next.chart import PHONE, WIDE
from ..next.marks import NEXT, mark_of
from . import choosing
from .choosing import Chosen, chosen, figure
from .dots import OF_LINE, Dot
from .map_drawing import PANEL, Field, draw_field

SHAPES = {shape.name: shape for shape in (WIDE, PHONE, PANEL)}
TOGETHER = "all lines together"
WORDS_OF_LINE = {True: "held", False: "broke", None: "not read"}
CLASS_OF_LINE = {True: "in", False: "out", None: "unsure"}
TABLE_ACROSS, TABLE_UP = 6, 4
FLAT = "there is only water to look along here: a map needs a gum, a binder or a second waste beside it"
MOST_FIELDS = 64
NOTHING = Field(xs=(), ys=(), chance=(), tried=(), held=(0.0, 0.0), across="", up="", dots=())


_fields: dict[str, Field] = {}
"""What the newest pages show, by its checksum: each drawing of a page is of what stood on that page."""


@dataclass(frozen=True, kw_only=True)
class Panel:
    """One drawing with its words and its table."""

    line: str
    words: str
    query: str
    alt: str
    xs: list[str]
    table: list[tuple[str, list[tuple[str, bool]]]]


@dataclass(frozen=True, kw_only=True)
class Cell:
    """One line of the brief for one batch, in words."""

    words: str
    css: str
    why: str


@require_http_methods(["GET", "HEAD", "POST"])
def show_map(request: HttpRequest) -> HttpResponse:
    """The map; where it takes long and is not worked out yet, a page that asks for it and shows that it works."""
    taken_in = request.GET.get("taken") == "in"
    try:
        told = told_enough()
        if request.method == "POST":
            _work_out(request, told)
            return redirect(request.get_full_path())
        sight = look(told) if is_ready(told) else None
    except NotEnoughEvidence:
        return render(request, "known/map.html", {"taken_in": taken_in})
    except Problem as problem:
        return render(request, "known/map.html", {"taken_in": taken_in, "sentences": [str(problem)]})
    to = chosen(request, sight, 2) if sight else None
    if sight is None or to is None or not (_is_flat(to) or sight.is_cut(to.axes, to.at)):
        return render(request, "known/working.html", {"title": "Map", "taken_in": taken_in})
    context = {"taken_in": taken_in, "sentences": to.sentences, **_table(sight)}
    if _is_flat(to):
        context["sentences"] = [*to.sentences, FLAT]
    else:
        context |= _of_map(sight, to, sight.cut(to.axes, to.at))
    return render(request, "known/map.html", context, status=422 if to.refused else 200)


def _work_out(request: HttpRequest, told: Campaign) -> None:
    """What is known, and the map that was asked for."""
    sight = look(told)
    to = chosen(request, sight, 2)
    if not _is_flat(to):
        sight.cut(to.axes, to.at)


def _is_flat(to: Chosen) -> bool:
    return to.axes[0] is to.axes[1]


def _table(sight: Sight) -> dict[str, object]:
    """Each batch against the brief."""
    past = tried(sight.told)
    return {
        "rows": [_row(one) for one in past],
        "lines": [line for line, _, _ in past[0].lines],
        "given": sight.proposed is not None,
        "next_number": max(sight.numbers) + 1,
    }


def _of_map(sight: Sight, to: Chosen, found: Cut) -> dict[str, object]:
    return {
        "panels": [_panel(sight, to, found, name, words) for name, words in [(TOGETHER, TOGETHER), *sight.seen.lines]],
        "across": choosing.axis_offers(sight, to.axes[0]),
        "up": choosing.axis_offers(sight, to.axes[1]),
        "held_at": choosing.at_offers(sight, to.at),
        "held_words": choosing.held_words(sight, to),
        "across_words": to.axes[0].name,
        "up_words": to.axes[1].name,
        "likeliest": choosing.likeliest_words(sight),
        "off": [number for number, away in zip(sight.numbers, found.off, strict=True) if away],
        "wide": WIDE,
        "phone": PHONE,
    }


def _panel(sight: Sight, to: Chosen, found: Cut, name: str, words: str) -> Panel:
    field = _field(sight, to, found, name)
    step_x, step_y = (max(1, (n - 1) // (k - 1)) for n, k in ((len(found.xs), TABLE_ACROSS), (len(found.ys), TABLE_UP)))
    chance = _chance(found, name)
    table = [
        (
            figure(found.ys[i]),
            [
                (_in_percent(float(c)), bool(near))
                for c, near in zip(chance[i, ::step_x], found.tried[i, ::step_x], strict=True)
            ],
        )
        for i in reversed(range(0, len(found.ys), step_y))
    ]
    return Panel(
        line=name,
        words=words,
        query=to.query(line=name, of=_remembered(field)),
        alt=_alt(found, chance, words),
        xs=[figure(x) for x in found.xs[::step_x]],
        table=table,
    )


def _remembered(field: Field) -> str:
    seen = hashlib.sha256(repr(field).encode()).hexdigest()[:12]
    while len(_fields) >= MOST_FIELDS and seen not in _fields:
        _fields.pop(next(iter(_fields)), None)
    _fields[seen] = field
    return seen


def _in_percent(chance: float) -> str:
    """A chance for a narrow column; nothing where no such recipe can be mixed."""
    if not math.isfinite(chance):
        return ""
    return "<1" if chance < 0.005 else ">99" if chance > 0.995 else f"{100 * chance:.0f}"


@require_safe
def drawing(request: HttpRequest, shape: str) -> HttpResponse:
    """One map as a picture; where there is nothing to draw yet, an empty one."""
    if shape not in SHAPES:
        raise Http404("no such drawing")
    field = _fields.get(request.GET.get("of", "")) or _field_asked(request)
    answer = HttpResponse(draw_field(field, SHAPES[shape]), content_type="image/svg+xml")
    answer["Cache-Control"] = "no-cache"
    return answer


def _field_asked(request: HttpRequest) -> Field:
    """What an address asks for that no page of late showed."""
    try:
        sight = look()
        to = chosen(request, sight, 2)
        found = None if _is_flat(to) else sight.cut(to.axes, to.at)
    except Problem:
        return NOTHING
    return NOTHING if found is None else _field(sight, to, found, request.GET.get("line", TOGETHER))


def _chance(found: Cut, name: str) -> NDArray[np.float64]:
    return found.each.get(name, found.together)


def _field(sight: Sight, to: Chosen, found: Cut, name: str) -> Field:
    return Field(
        xs=tuple(map(float, found.xs)),
        ys=tuple(map(float, found.ys)),
        chance=choosing.rows_of(_chance(found, name)),
        tried=tuple(tuple(bool(x) for x in row) for row in found.tried),
        held=(float(found.held[0]), float(found.held[1])),
        across=choosing.label_of(to.axes[0]),
        up=choosing.label_of(to.axes[1]),
        dots=(*_dots(sight, found, name), *_next(sight, to)),
    )


def _dots(sight: Sight, found: Cut, name: str) -> list[Dot]:
    together = name not in found.each
    dots = []
    for i, (number, words) in enumerate(zip(sight.numbers, sight.endings, strict=True)):
        if not found.off[i]:
            mark = mark_of(words) if together else OF_LINE[_held(sight, i, name)]
            x, y = map(float, found.places[i])
            hollow = not bool(found.alike[i])
            said = words.split(";")[0][:34] if together else ""
            dots.append(Dot(label=str(number), x=x, y=y, mark=mark, words=said, hollow=hollow))
    return dots


def _held(sight: Sight, i: int, name: str) -> bool | None:
    return next((v.held for v in sight.told.book.explain(i) if v.name == name), None)


def _next(sight: Sight, to: Chosen) -> list[Dot]:
    if sight.proposed is None:
        return []
    x, y = (float(axis.values(sight.seen.space, sight.proposed[None, :])[0]) for axis in to.axes)
    return [Dot(label=str(max(sight.numbers) + 1), x=x, y=y, mark=NEXT, words="next")]


def _row(one: Tried) -> dict[str, object]:
    cells = [Cell(words=WORDS_OF_LINE[held], css=CLASS_OF_LINE[held], why=why) for _, held, why in one.lines]
    url = reverse("batch", args=[one.batch.number])
    return {"tried": one, "mark": mark_of(one.outcome), "cells": cells, "url": url}


def _alt(found: Cut, chance: NDArray[np.float64], words: str) -> str:
    text = (
        f"Map over {found.across.name} ({figure(found.xs[0])} to {figure(found.xs[-1])} {found.across.unit}) and "
        f"{found.up.name} ({figure(found.ys[0])} to {figure(found.ys[-1])} {found.up.unit}) with "
        f"{int((~found.off).sum())} batches: chance that {words if words != TOGETHER else 'all lines hold together'}"
    )
    inside = np.where(found.tried, chance, np.nan)
    if not np.isfinite(inside).any():
        return f"{text}; nothing was tried here. The table below holds the same."
    i, j = np.unravel_index(int(np.nanargmax(inside)), inside.shape)
    most = f"{percent(float(inside[i, j]))} at {figure(found.xs[j])} and {figure(found.ys[i])}"
    return f"{text}; at most {most} where batches were tried. The table below holds the same."
