"""Chance of each crack grade and of warping, from what keeps a drying piece from shrinking alike everywhere.

Strains, not stresses: no strength of a wet paste is measured at the bench. What the paste bears is a wide guess until
its own crack grades are read; pieces of like shape dried openly are compared.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange

from .drying_run import Drawn, PieceRun, Way
from .drying_slab import SlabRun
from .drying_unknowns import Drying

FloatArray = NDArray[np.float64]
GRADE_FROM = (1.0, 1.5, 2.5, 4.0, 6.0)
"""Times what the paste bears at which grades 1 to 5 begin. Practice, no source."""
GRADE_SD = 0.8
"""Two people differ by up to a grade, and no two pieces are alike. Practice, no source."""
UNLIKE_SHARE = 0.5
"""Share of what two joined parts shrink unlike that either has to bear. Practice, no source."""
GOOD_WARP_PER, BAD_WARP_PER = 0.01, 0.03
"""Warp per length: under 1 mm in 100 is good, over 3 mm is rejected. Practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Drive:
    """Linear strain that shrinking is kept back by, one entry per draw: (draws,).

    uneven: faces before the middle; held: by the bed until it is free; unlike: base and wall, first and last bead.
    """

    uneven: FloatArray
    held: FloatArray
    unlike: FloatArray

    @property
    def whole(self) -> FloatArray:
        return np.asarray(self.uneven + self.held + self.unlike)


def drive(asked: Drying, found: Drawn, done: PieceRun, way: Way) -> Drive:
    """What drives cracks, of a piece dried this way."""
    parts = done.parts
    uneven = np.max([_uneven(found, one) for one in parts.values()], axis=0)
    held, unlike = np.zeros_like(uneven), np.zeros_like(uneven)
    if "base" in parts:
        until = min(way.freed_s, float(done.times_s[-1]))
        at = int(np.searchsorted(done.times_s, until, side="right")) - 1
        held = found.also["grips"] * _shrunk(found, parts["base"].mean[at])
    if len(parts) == 2:
        wall, base = (_shrunk(found, parts[name].mean) for name in ("wall", "base"))
        unlike = UNLIKE_SHARE * np.max(np.abs(wall - base), axis=0)
    wetter = np.minimum(np.abs(found.also["first_wetter"]) * found.strain_per_water, found.shrinkage)
    return Drive(uneven=uneven, held=held, unlike=unlike + UNLIKE_SHARE * wetter * _evened(found))


def _evened(found: Drawn) -> FloatArray:
    """A heater at the nozzle takes from every bead alike, so that less is left for first and last to differ by."""
    return np.asarray(1 - np.minimum(5 * found.also["heater"], 0.5))


def _shrunk(found: Drawn, water: FloatArray) -> FloatArray:
    """Free linear shrinkage at a water, any shape (..., draws)."""
    return np.asarray(found.strain_per_water * np.maximum(found.water - np.maximum(water, found.shrinks_to), 0.0))


def _uneven(found: Drawn, one: SlabRun) -> FloatArray:
    """The most a face has shrunk before the mean of its wall while that still shrinks."""
    ahead = _shrunk(found, one.mean - one.behind) - _shrunk(found, one.mean)
    return np.asarray(ahead.max(axis=0))


def grades_of(strain: FloatArray, tolerance: FloatArray) -> FloatArray:
    """Crack grade that runs through the grades: 0 where the paste bears the strain, 5 beyond six times. Practice."""
    times = np.maximum(strain, 1e-9) / tolerance
    return np.asarray(np.interp(np.log(times), np.log((0.67, *GRADE_FROM, 9.0)), (0.0, 0.5, 1.5, 2.5, 3.5, 4.5, 5.0)))


def grade_weights(expected: FloatArray, read: tuple[float, ...]) -> FloatArray:
    """How well each draw foretold the grades read of this paste, (draws,), summing to one."""
    if any(not 0 <= grade <= 5 for grade in read):
        raise OutsideRange("crack grade", got=max(read), low=0, high=5, do="grade it from 0 to 5")
    log = -0.5 * sum((((grade - expected) / GRADE_SD) ** 2 for grade in read), np.zeros_like(expected))
    weights = np.exp(log - log.max())
    return np.asarray(weights / weights.sum())


@dataclass(frozen=True, kw_only=True)
class Cracks:
    """chances: of grades 0 to 5; drawn_by: 80 % range of the strain each cause keeps back."""

    chances: tuple[float, ...]
    drawn_by: Mapping[str, Range]

    @property
    def two_or_worse(self) -> float:
        return sum(self.chances[2:])

    @property
    def mean_grade(self) -> float:
        return sum(grade * chance for grade, chance in enumerate(self.chances))

    @property
    def worst_cause(self) -> str:
        return max(self.drawn_by, key=lambda name: self.drawn_by[name].mid)


def cracks(found: Drawn, driven: Drive, usual: Drive, read: tuple[float, ...]) -> Cracks:
    """Chance of each grade; `usual` is the drive of the pieces whose grades were read: this piece dried openly."""
    tolerance = found.also["tolerance"]
    weights = grade_weights(grades_of(usual.whole, tolerance), read)
    smeared = _smeared(grades_of(driven.whole, tolerance))
    causes = {"uneven": driven.uneven, "held": driven.held, "unlike": driven.unlike}
    return Cracks(
        chances=tuple(float(c) for c in weights @ smeared),
        drawn_by={name: weighted_range(strain, weights) for name, strain in causes.items()},
    )


def _smeared(grade: FloatArray) -> FloatArray:
    """Chance of each whole grade around the one that runs through them, (draws, 6): neighbours share by distance."""
    return np.asarray(np.maximum(1 - np.abs(np.clip(grade, 0, 5)[:, None] - np.arange(6.0)[None, :]), 0.0))


def weighted_range(values: FloatArray, weights: FloatArray) -> Range:
    """80 % range of draws that do not all count alike. Own bookkeeping."""
    order = np.argsort(values)
    so_far = np.cumsum(weights[order]) - 0.5 * weights[order]
    low, mid, high = (float(np.interp(q, so_far, values[order])) for q in (0.1, 0.5, 0.9))
    return Range(low=low, mid=mid, high=high)


@dataclass(frozen=True, kw_only=True)
class Warp:
    """How far the middle of a base of this length stands off a straight edge once dry, and the chance of each grade."""

    middle_m: Range
    good_chance: float
    bad_chance: float


def warp(asked: Drying, found: Drawn, done: PieceRun) -> Warp | None:
    """Bending of the base from its upper side shrinking first: k l^2 / 8, k twice the strain between halves over the
    thickness; the part of it that stays is practice. None where nothing lies.
    """
    if "base" not in done.parts:
        return None
    base, length_m = done.parts["base"], asked.piece.across_m
    near, far = (_shrunk(found, base.mean + side * 0.5 * base.apart) for side in (1, -1))
    bent = 2 * np.max(np.abs(near - far), axis=0) / found.also["base"]
    off = found.also["lasting"] * bent * length_m**2 / 8
    even = np.full(len(off), 1 / len(off))
    return Warp(
        middle_m=weighted_range(off, even),
        good_chance=float(np.mean(off < GOOD_WARP_PER * length_m)),
        bad_chance=float(np.mean(off > BAD_WARP_PER * length_m)),
    )
