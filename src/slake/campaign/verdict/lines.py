"""The lines of a verdict: what each needs, what there is, the limit, and the chance that it holds."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Range
from slake.paste.air import late_start_s
from slake.paste.grains import FIBRES_PER_NOZZLE

from . import notes, practice
from .draws import Draws, drawn
from .inputs import Question
from .spread import Spread

Array = NDArray[np.float64]
Yes = NDArray[np.bool_]
LEAST_STARTS = 0.2
"""Below this chance of starting at all, how long the paste keeps is not judged."""
FAR, TINY = 30.0, 1e-12


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line. value and limit: 80 % ranges in SI, to be shown in `unit`; `at_most`: the value must stay below.

    chance: that it holds; None where it cannot be judged because an earlier line fails. guessed: it rests on a usual
    value that nobody read or stated here.
    """

    name: str
    words: str
    value: Range
    limit: Range
    unit: str
    at_most: bool
    chance: float | None
    note: str
    guessed: bool = False


@dataclass(frozen=True, kw_only=True)
class Sides:
    """One line before it is worded: in each draw, what it is and its limit. among: weights of the draws asked.

    rate: where the two are times, of what fades at this rate: their distance is told by it, not as a ratio.
    """

    name: str
    value: Array
    limit: Array
    at_most: bool
    among: Array
    rate: Array | None = None

    @property
    def holds(self) -> Yes:
        return np.asarray(self.value <= self.limit if self.at_most else self.value >= self.limit)

    @property
    def chance(self) -> float | None:
        whole = float(self.among.sum())
        return None if whole == 0 else float(self.among[self.holds].sum()) / whole

    @property
    def margins(self) -> Array:
        """How far on the right side each draw is, as a log ratio; below zero the line does not hold."""
        if self.rate is not None:
            return np.asarray(np.clip((self.value - self.limit) * self.rate, -FAR, FAR))
        ratio = np.log(np.maximum(self.limit, TINY) / np.maximum(self.value, TINY))
        return np.asarray(np.clip(ratio if self.at_most else -ratio, -FAR, FAR))


def range_of(values: Array, weight: Array) -> Range:
    """The middle and the 80 % range of weighted draws."""
    if values.size == 1:
        only = float(values[0])
        return Range(low=only, mid=only, high=only)
    order = np.argsort(values)
    upto = np.cumsum(weight[order]) - weight[order] / 2
    low, mid, high = np.interp(np.array([0.1, 0.5, 0.9]) * weight.sum(), upto, values[order])
    return Range(low=float(low), mid=float(mid), high=float(high))


def sides(question: Question, got: Draws) -> tuple[Sides, ...]:
    """Every line there is to this question."""
    paste, plan, nozzle_m = question.paste, question.plan, question.press.barrel.nozzle_m
    found = [
        Sides(name="force", value=got.need_n, limit=got.have_n, at_most=True, among=got.weight),
        Sides(name="time", value=got.stall_s, limit=got.print_s, at_most=False, among=_begun(got), rate=got.rate),
    ]
    if plan.wall is not None:
        height = np.array([plan.wall.height_m])
        found.append(Sides(name="foot", value=got.foot_m, limit=height, at_most=False, among=got.weight))
        found.append(Sides(name="fold", value=got.fold_m, limit=height, at_most=False, among=got.weight))
    for name, spread, limit in (
        ("grains", paste.largest_grain_m, nozzle_m / plan.grains_per_nozzle),
        ("fibres", paste.longest_fibre_m, nozzle_m / FIBRES_PER_NOZZLE),
        ("bleed", paste.bleed, practice.BLEED_LIMIT),
        ("air", paste.air_fraction, practice.AIR_LIMIT),
    ):
        value, most = drawn(NAMED[name], spread, len(got.weight)), np.array([limit])
        found.append(Sides(name=name, value=value, limit=most, at_most=True, among=got.weight))
    return tuple(found)


NAMED = {"grains": "grain", "fibres": "fibre", "bleed": "bleed", "air": "air"}


def _begun(got: Draws) -> Array:
    """How long it keeps is asked of the draws in which it starts, where enough of them do."""
    begun = np.where(got.need_n <= got.have_n, got.weight, 0.0)
    return begun if begun.sum() >= LEAST_STARTS * got.weight.sum() else np.zeros_like(begun)


Said = Callable[[Question, Draws], str]
WORDS: Mapping[str, tuple[str, str, Said]] = {
    "force": ("force to push it", "N", lambda q, d: notes.force(q, range_of(d.pressure_pa, d.weight), d.contradicted)),
    "time": ("time before ageing stalls it", "h", lambda q, d: notes.time_left(q, bool(_begun(d).any()))),
    "foot": ("height at which the foot yields", "mm", lambda q, d: notes.foot(q)),
    "fold": ("height at which the wall folds", "mm", lambda q, d: notes.fold(q)),
    "grains": ("largest grain", "mm", lambda q, d: notes.grains(q)),
    "fibres": ("longest fibre", "mm", lambda q, d: notes.fibres(q)),
    "bleed": ("liquid it weeps, of its mass", "%", lambda q, d: notes.bleed(q)),
    "air": (
        "air in the paste, by volume",
        "%",
        lambda q, d: notes.air(
            q, range_of(d.stored_m3, d.weight), range_of(late_start_s(d.stored_m3, d.flow_m3_s), d.weight)
        ),
    ),
}


RESTS_ON: Mapping[str, Callable[[Question], tuple[Spread, ...]]] = {
    "force": lambda q: (q.paste.yield_stress_pa, q.press.force_n),
    "time": lambda q: (q.paste.yield_stress_pa, q.press.force_n, q.paste.stiffening_per_s),
    "foot": lambda q: (q.paste.yield_stress_pa,),
    "fold": lambda q: (q.paste.yield_stress_pa, q.paste.modulus_per_yield),
    "grains": lambda q: (q.paste.largest_grain_m,),
    "fibres": lambda q: (q.paste.longest_fibre_m,),
    "bleed": lambda q: (q.paste.bleed,),
    "air": lambda q: (q.paste.air_fraction,),
}
"""What a line mostly rests on: where one of these is a usual value, a reading here would tell more."""


def worded(question: Question, got: Draws, side: Sides) -> Line:
    words, unit, said = WORDS[side.name]
    among = side.among if side.among.any() else got.weight
    return Line(
        name=side.name,
        words=words,
        value=range_of(np.maximum(side.value, 0.0), among),
        limit=range_of(side.limit, got.weight),
        unit=unit,
        at_most=side.at_most,
        chance=side.chance,
        note=said(question, got),
        guessed=any(spread.guessed for spread in RESTS_ON[side.name](question)),
    )
