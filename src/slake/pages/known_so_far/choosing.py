"""What to look along and what to hold the rest at: read from the address, offered again on the page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import urlencode

import numpy as np
from django.http import HttpRequest
from numpy.typing import NDArray

from slake.actions.looking import BEST, Sight
from slake.campaign.seen_axes import Axis
from slake.ground.evidence import percent
from slake.ground.problems import Problem

LEAST_SAID = 0.005


@dataclass(frozen=True, kw_only=True)
class Offer:
    """One choice of a list."""

    value: str
    words: str
    chosen: bool


@dataclass(frozen=True, kw_only=True)
class Chosen:
    """`held`: the recipe that everything not looked along is held at; `sentences`: what could not be read, `refused`
    where that is no batch number: a batch may have nothing to be seen yet.
    """

    axes: tuple[Axis, ...]
    held: NDArray[np.float64]
    at: str
    sentences: tuple[str, ...] = ()
    refused: bool = False

    def query(self, **more: str) -> str:
        """The same choice for an address of this page or of its drawings."""
        named = dict(zip(("across", "up"), (axis.name for axis in self.axes), strict=False))
        return urlencode({**named, "at": self.at, **more})


def chosen(request: HttpRequest, sight: Sight, count: int) -> Chosen:
    """`count` axes, no two alike; what cannot be read gives way to the usual choice, and is said."""
    sentences: list[str] = []
    axes: list[Axis] = []
    for name in ("across", "up")[:count]:
        axes.append(_axis(sight, request.GET.get(name, ""), axes, sentences))
    at = request.GET.get("at", BEST) or BEST
    refused = bool(sentences) or not (at == BEST or (at.isascii() and at.isdigit()))
    try:
        held = sight.held(at)
    except Problem as problem:
        sentences.append(str(problem))
        at, held = BEST, sight.held(BEST)
    return Chosen(axes=tuple(axes), held=held, at=at, sentences=tuple(sentences), refused=refused)


def _axis(sight: Sight, name: str, taken: Iterable[Axis], sentences: list[str]) -> Axis:
    free = [axis for axis in sight.seen.axes if axis not in taken]
    if name:
        try:
            found = sight.axis(name)
        except Problem as problem:
            sentences.append(str(problem))
        else:
            if found in free:
                return found
            sentences.append(f"across and up are both {found.name}: choose two that differ")
    return (free or sight.seen.axes)[0]


def axis_offers(sight: Sight, now: Axis) -> list[Offer]:
    return [Offer(value=a.name, words=f"{a.name}, {a.unit}", chosen=a is now) for a in sight.seen.axes]


def at_offers(sight: Sight, at: str) -> list[Offer]:
    best = Offer(value=BEST, words="the likeliest recipe now", chosen=at == BEST)
    past = zip(sight.numbers, sight.endings, strict=True)
    return [
        best,
        *(
            Offer(value=str(number), words=f"batch {number}: {words or 'no ending'}"[:60], chosen=str(number) == at)
            for number, words in reversed(list(past))
        ),
    ]


def held_words(sight: Sight, to: Chosen) -> str:
    """The recipe the rest is held at, in the doses of the page; what it does without is left out."""
    doses = [(axis, float(axis.values(sight.seen.space, to.held[None, :])[0])) for axis in sight.seen.axes]
    return ", ".join(f"{axis.name} {figure(dose)} {axis.unit}" for axis, dose in doses if dose >= LEAST_SAID)


def likeliest_words(sight: Sight) -> str:
    return f"The likeliest recipe now: chance that all lines hold {percent(sight.seen.chance)}."


def figure(value: float) -> str:
    """As many figures as a scale bears."""
    return f"{value:.0f}" if abs(value) >= 100 else f"{value:.1f}" if abs(value) >= 10 else f"{value:.2f}"


def label_of(axis: Axis) -> str:
    return f"{axis.name}, {axis.unit}"


def rows_of(values: NDArray[np.float64]) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(float(x) for x in row) for row in values)
