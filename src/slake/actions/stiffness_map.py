"""Stiffness over water and gum as far as this bench knows it: a grid of recipes, and the batches it rests on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from slake.campaign.seen_near import ROOM, fence, near_what_was_tried
from slake.campaign.stiffness import stiffness_of
from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit, NotEnoughEvidence, Problem
from slake.paste.bases import paste_fractions
from slake.paste.ingredients import Role
from slake.paste.recipe import Recipe, composition, facts_of
from slake.records.models import Lot
from slake.records.values import ingredient_of, moisture_of

from .campaign import Campaign, tell
from .proposing import Tried, tried

ACROSS, UP = 21, 15
LEAST_ROOM = (0.04, 0.2)
MOST_KEPT = 8
LEAST_BATCHES = 2


@dataclass(frozen=True, kw_only=True)
class StiffnessMap:
    """Yield stress (Pa, 80 %) over water (g per g dry) and gum (g per 100 g water): `around[up][across]`.

    The other ingredients keep the proportions of the batch named `like`. `tried`: where batches lie near enough for a
    number. `off`: batches so far from most that they lie off the map. `seen`: checksum of the evidence.
    """

    waters: tuple[float, ...]
    gums: tuple[float, ...]
    around: tuple[tuple[Range | None, ...], ...]
    tried: tuple[tuple[bool, ...], ...]
    batches: tuple[Tried, ...]
    off: tuple[Tried, ...]
    like: int
    seen: str


_kept: dict[str, StiffnessMap] = {}


def worked_out() -> StiffnessMap | None:
    """The map where it was worked out already for what is known now. Raises as `stiffness_map` does."""
    return _kept.get(_enough(tell()).seen)


def stiffness_map() -> StiffnessMap:
    """The map for everything known now; worked out once for the same evidence.

    Raises NotEnoughEvidence for fewer than two batches, DoesNotFit where no recipe holds a gum.
    """
    told = _enough(tell())
    found = _kept.get(told.seen)
    if found is None:
        found = _worked_out(told)
        while len(_kept) >= MOST_KEPT:
            _kept.pop(next(iter(_kept)))
        _kept[told.seen] = found
    return found


def _enough(told: Campaign) -> Campaign:
    if len(told.batches) < LEAST_BATCHES:
        raise NotEnoughEvidence(
            "the map of stiffness", have=len(told.batches), need=LEAST_BATCHES, do="read the cone of one batch more"
        )
    return told


def _worked_out(told: Campaign) -> StiffnessMap:
    past, off = _most_of(tried(told))
    like = told.batches[-1]
    lots = {row.lot.name: row.lot for row in like.amounts.all() if row.lot}
    base = Recipe(parts=like.recipe.parts, water_per_dry=like.recipe.water_per_dry)
    gums = {name for name, lot in lots.items() if Role(lot.role) is Role.THICKENER and base.parts.get(name, 0) > 0}
    if not gums:
        raise DoesNotFit(f"batch {like.number} holds no thickener: a map over water and gum needs one")
    waters = _axis([one.water_per_dry for one in past], LEAST_ROOM[0], ACROSS)
    doses = _axis([one.thickener_per_100_water for one in past], LEAST_ROOM[1], UP)
    grid = [[_recipe(base, lots, gums, water, dose) for water in waters] for dose in doses]
    return StiffnessMap(
        waters=waters,
        gums=doses,
        around=_stiffness(told, grid, lots),
        tried=near_what_was_tried(waters, doses, [(one.water_per_dry, one.thickener_per_100_water) for one in past]),
        batches=past,
        off=off,
        like=like.number,
        seen=told.seen,
    )


def _most_of(past: Sequence[Tried]) -> tuple[tuple[Tried, ...], tuple[Tried, ...]]:
    """Those where most batches lie, and those far off: one slip must not stretch the map."""
    fences = [
        fence([one.water_per_dry for one in past], LEAST_ROOM[0]),
        fence([one.thickener_per_100_water for one in past], LEAST_ROOM[1]),
    ]
    places = [(one.water_per_dry, one.thickener_per_100_water) for one in past]
    inside = [all(low <= x <= high for x, (low, high) in zip(place, fences, strict=True)) for place in places]
    kept = tuple(one for one, near in zip(past, inside, strict=True) if near)
    return kept, tuple(one for one, near in zip(past, inside, strict=True) if not near)


def _axis(values: Sequence[float], least: float, count: int) -> tuple[float, ...]:
    low, high = min(values), max(values)
    room = max((high - low) * ROOM, least)
    return tuple(float(x) for x in np.linspace(max(low - room, least / 4), high + room, count))


def _recipe(base: Recipe, lots: Mapping[str, Lot], gums: set[str], water: float, dose: float) -> Recipe:
    """The base with this much water and gum; the other solids keep their proportions, the gums theirs."""
    at = replace(base, water_per_dry=water)
    facts = {name: facts_of([ingredient_of(lot)])[ingredient_of(lot).key] for name, lot in lots.items()}
    now = composition(at, facts).thickener_per_100_water
    gum_share = sum(base.parts[name] for name in gums)
    wanted = min(gum_share * dose / now, 0.9)
    scale = {True: wanted / gum_share, False: (1 - wanted) / (1 - gum_share)}
    return Recipe(parts={n: part * scale[n in gums] for n, part in base.parts.items()}, water_per_dry=water)


def _stiffness(
    told: Campaign, grid: Sequence[Sequence[Recipe]], lots: Mapping[str, Lot]
) -> tuple[tuple[Range | None, ...], ...]:
    book = told.book
    moisture = {name: moisture_of(lot).value.mid for name, lot in lots.items()}
    rows, places = [], []
    for up, line in enumerate(grid):
        for across, recipe in enumerate(line):
            fractions = _fractions(recipe, moisture)
            if fractions is not None:
                rows.append([fractions.get(key, 0.0) for key in book.keys])
                places.append((up, across))
    aim = book.aim()
    found = stiffness_of(book.belief(), rows, aim.looks[0].lots, aim.looks[0].machine or "")
    by_place = dict(zip(places, found, strict=True))
    return tuple(tuple(by_place.get((up, n)) for n in range(len(line))) for up, line in enumerate(grid))


def _fractions(recipe: Recipe, moisture: Mapping[str, float]) -> Mapping[str, float] | None:
    """None where the lots alone carry more water than the recipe asks for."""
    try:
        return paste_fractions(recipe, moisture)
    except Problem:
        return None
