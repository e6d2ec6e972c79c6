"""Readings of one row that cannot both be: one says the lifted shape moved, the other that it did not."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import permutations

from slake.bench.declaration import BenchTest, Headline
from slake.bench.slump import MOULD
from slake.bench.slump import TEST as SLUMP
from slake.ground.problems import plain
from slake.ground.units import UNITS, from_si, to_si

CONE_TOP_M, CONE_FOOT_M, CONE_HEIGHT_M = 0.1, 0.2, 0.3
"""The concrete cone, as the slump test names it."""
Told = tuple[BenchTest, float, str]
"""A test, the value read in its bench unit, and the mould it was read with ("" where it has none)."""


def height_lost_over_its_foot_m() -> float:
    """How far the concrete cone can sink while its foot stays as wide as it was: its paste as a column of that width.

    From the volumes alone (a frustum and a cylinder), for a paste that neither overhangs nor loses volume.
    """
    top, foot = CONE_TOP_M / 2, CONE_FOOT_M / 2
    volume_m3 = math.pi * CONE_HEIGHT_M / 3 * (top**2 + top * foot + foot**2)
    return CONE_HEIGHT_M - volume_m3 / (math.pi * foot**2)


def contradiction(told: Sequence[Told]) -> str:
    """One sentence where a slump of the concrete cone and the width of its foot cannot both be, else ""."""
    for slump, width in permutations(told, 2):
        if slump[0].id == SLUMP.id and slump[2] == "concrete_cone" and _is_width_of_the_foot(width[0]):
            found = _cone(slump, width)
            if found:
                return found
    return ""


def _is_width_of_the_foot(test: BenchTest) -> bool:
    """A lab's own reading of a width whose scale begins at the foot of the cone."""
    unit = UNITS.get(test.notebook_unit)
    if unit is None or test.id == SLUMP.id or not 0 < test.floor < math.inf:
        return False
    return test.notebook_unit in {"mm", "cm", "m"} and math.isclose(to_si(test.floor, test.notebook_unit), CONE_FOOT_M)


def told_of_the_foot(test: BenchTest, headline: Headline) -> Headline:
    """A width that is still that of the cone's foot says so in words: the paste did not spread."""
    if not _is_width_of_the_foot(test) or headline.value > test.floor:
        return headline
    return replace(headline, words=f"did not spread, {headline.words}".rstrip(", "))


def _cone(slump: Told, width: Told) -> str:
    slump_m, width_m = (to_si(value, test.notebook_unit) for test, value, _ in (slump, width))
    room_m = height_lost_over_its_foot_m()
    if width_m <= CONE_FOOT_M and slump_m > room_m:
        return (
            f"{_said(slump)} and {_said(width)} cannot both be: a cone that did not spread can sink "
            f"{from_si(room_m, 'mm'):.0f} mm at most: look which of the two is right"
        )
    if slump_m <= 0 and width_m > CONE_FOOT_M:
        return f"{_said(slump)} and {_said(width)} cannot both be: it spread but did not sink: look which is right"
    return ""


def _said(one: Told) -> str:
    test, value, _ = one
    return f"{test.title.casefold()} {plain(value)} {test.notebook_unit}".strip()


def mould_of(words: object) -> str:
    """The mould among a reading's typed fields, or ""."""
    return str(words.get(MOULD.name, "")) if isinstance(words, dict) else ""
