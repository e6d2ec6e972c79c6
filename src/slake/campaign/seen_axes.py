"""Ways one looks along through the space of recipes: water per dry solids, and one dose for each kind of ingredient."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.paste.ingredients import Role

from .features import Space, wet
from .lots import WATER

Array = NDArray[np.float64]
IN_WATER = (Role.THICKENER, Role.BINDER)
ALL_WATER = 0.995
"""An ingredient as moist as this brings no solids: it is no dose of its own."""
MOST_DOSED = 0.95
"""Of the dry solids: above this nothing is left for the rest."""


@dataclass(frozen=True, kw_only=True)
class Axis:
    """`columns`: of a recipe, every lot of one kind; none for water. A dose counts dry mass.

    `in_water`: per 100 g of all the water in the paste, else per 100 g of dry solids.
    """

    name: str
    columns: tuple[int, ...] = ()
    in_water: bool = False

    @property
    def unit(self) -> str:
        if not self.columns:
            return "g per g dry solids"
        return "g per 100 g water" if self.in_water else "g per 100 g dry solids"

    def values(self, space: Space, rows: Array) -> Array:
        """(n,) where these recipes (fractions as received, water last) lie along it."""
        paste = wet(space, rows)
        if not self.columns:
            return paste.water_per_dry
        dose = paste.dry[:, list(self.columns)].sum(1)
        return np.asarray(100 * dose / (paste.water if self.in_water else np.maximum(paste.dry.sum(1), 1e-9)))


def axes_of(space: Space, rows: Array) -> tuple[Axis, ...]:
    """Water, then each kind that any of these recipes holds: gums and binders first. What would be the only kind
    counted per dry solids is left out: it is the rest of them.
    """
    kinds: dict[str, list[int]] = {}
    for i, facts in enumerate(space.facts):
        if facts.moisture < ALL_WATER:
            kinds.setdefault(facts.name, []).append(i)
    held = {name: columns for name, columns in kinds.items() if rows[:, columns].any()}
    found = [
        Axis(name=name, columns=tuple(columns), in_water=space.facts[columns[0]].role in IN_WATER)
        for name, columns in held.items()
    ]
    gums = [axis for axis in found if axis.in_water]
    gums.sort(key=lambda axis: IN_WATER.index(space.facts[axis.columns[0]].role))
    rest = [axis for axis in found if not axis.in_water]
    return (Axis(name=WATER), *gums, *(rest if len(rest) > 1 else []))


def moved(space: Space, base: Array, wanted: Mapping[Axis, Array]) -> Array:
    """(n, k) recipes: `base` with these values along these axes; all other solids keep their proportions, and water
    per dry solids stays where it is not an axis itself. A row of nan where no such recipe can be mixed.
    """
    paste = wet(space, base[None, :])
    share = paste.dry[0] / max(float(paste.dry[0].sum()), 1e-12)
    count = len(next(iter(wanted.values())))
    water = np.full(count, float(paste.water_per_dry[0]))
    for axis, values in wanted.items():
        water = values if not axis.columns else water
    dry, free = np.zeros((count, len(share))), np.ones(len(share), dtype=np.bool_)
    for axis, values in wanted.items():
        if axis.columns:
            mine = list(axis.columns)
            dry[:, mine] = (values / 100 * (water if axis.in_water else 1.0))[:, None] * _among(share[mine])
            free[mine] = False
    left = 1 - dry.sum(1)
    dry[:, free] = left[:, None] * share[free] / max(float(share[free].sum()), 1e-12)
    return _as_received(space, dry, water, possible=(left >= 1 - MOST_DOSED) & (share[free].sum() > 0))


def _among(share: Array) -> Array:
    """How a dose is shared among the lots of its kind: as in the base, or all from the newest where it holds none."""
    if share.sum() > 0:
        return np.asarray(share / share.sum())
    return np.asarray(np.arange(len(share)) == len(share) - 1, dtype=np.float64)


def _as_received(space: Space, dry: Array, water: Array, possible: NDArray[np.bool_]) -> Array:
    received = dry / (1 - np.clip(space.column("moisture"), 0, ALL_WATER))
    added = water - (received - dry).sum(1)
    rows = np.column_stack([received, added])
    rows /= rows.sum(1, keepdims=True)
    rows[(added < 0) | ~possible] = np.nan
    return rows
