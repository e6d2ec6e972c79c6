"""Physical features of a recipe, and how they move with what is not known of its lots.

Recipes are rows of fractions of total wet paste, ingredients as received, water last.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from slake.paste.ingredients import Role

from .lots import DRINKS, MOISTURE_WEIGHED_SD, Facts, lots_of_each

Array = NDArray[np.float64]
WATER_KG_M3 = 998.2
USUAL_WET = 1.3
"""Water per water demand of a printable paste, the centre of the features (practice)."""
USUAL_THIRST = 0.8
LEAST_DEMAND = 0.02
TRACE_DOSE = 0.15
"""In usual doses: below this a thickener no longer counts on the log scale."""
COMMON = ("one", "wet", "wet2", "gum", "bind", "thirst", "cellulose", "wet x gum")
DEMAND_DRIP_SD_LOG = 0.08
MANY_RECIPES = 40
SPAN_IN_SD = 4.0
LEAST_SPAN = 1e-3
LEAST_SPREAD = 3e-4


@dataclass(frozen=True, kw_only=True)
class Unknown:
    """One number of a lot that is only known in a range: its kind, sd, and the sd one weighing would leave."""

    what: str
    lot: int
    kind: str
    sd: float
    weighed_sd: float
    test: str


@dataclass(frozen=True, kw_only=True)
class Space:
    """The ingredients in their order and which extra features they call for. `mixed`: middle and spread of the share of
    each in the recipes mixed so far, water last.
    """

    facts: tuple[Facts, ...]
    mixed: tuple[tuple[float, float], ...] = ()

    def column(self, name: str) -> Array:
        return np.array([getattr(f, name) for f in self.facts], dtype=np.float64)

    def where(self, *roles: Role) -> NDArray[np.bool_]:
        return np.array([f.role in roles for f in self.facts], dtype=np.bool_)

    @property
    def unfamiliar(self) -> bool:
        """Whether some filler is neither in the catalogue nor has its water demand measured."""
        return any(f.guessed and f.demand > 0 and "water demand" not in f.measured for f in self.facts)

    def centred(self, rows: Array) -> Space:
        """Water demands nobody knows are taken so that recipes mixed so far are about as wet as usual."""
        if not self.unfamiliar or not len(rows):
            return self
        now = wet(self, rows)
        thirst = now.dry @ self.column("demand") / np.maximum(now.dry.sum(1), 1e-9)
        times = float(np.exp(np.median(np.log(now.water_per_dry / USUAL_WET / np.maximum(thirst, 1e-6)))))
        guessed = [f.guessed and "water demand" not in f.measured for f in self.facts]
        facts = [replace(f, demand=f.demand * times) if g else f for f, g in zip(self.facts, guessed, strict=True)]
        return replace(self, facts=tuple(facts))

    def spanned(self, rows: Array) -> Space:
        """Shares of ingredients nobody knows count over the span they were mixed in, once many recipes show it."""
        if len(rows) < MANY_RECIPES or not self.unfamiliar:
            return self
        facts = list(self.facts)
        for mine, share in _shares(self, wet(self, rows)):
            for j, i in enumerate(mine):
                span = float(np.clip(SPAN_IN_SD * share[:, j].std(), LEAST_SPAN, 1.0))
                if facts[i].guessed:
                    facts[i] = replace(facts[i], share_centre=float(share[:, j].mean()), share_span=span)
        return replace(self, facts=tuple(facts))

    def having(self, rows: Array) -> Space:
        """Knowing how the shares of all ingredients spread in the recipes mixed so far."""
        spread = np.maximum(rows.std(0), LEAST_SPREAD)
        return replace(self, mixed=tuple(zip(rows.mean(0).tolist(), spread.tolist(), strict=True)))

    def placed(self, rows: Array) -> Array:
        """(n, q) shares of recipes over how they spread in the recipes mixed so far."""
        if not self.mixed:
            return rows
        middle, spread = np.array(self.mixed).T
        return np.asarray((rows - middle) / spread)

    @cached_property
    def extras(self) -> tuple[str, ...]:
        names: list[str] = []
        for role in (DRINKS, (Role.THICKENER,), (Role.BINDER,)):
            groups = lots_of_each(self.facts, np.flatnonzero(self.where(*role)))
            names += [f"share {self.facts[group[0]].key}" for group in groups[1:]]
            names += [f"lot {self.facts[i].key}" for group in groups for i in group[1:]]
        names += [f"part {f.key}" for f in self.facts if f.role in (Role.PLASTICISER, Role.LIQUID)]
        return tuple(names)

    @cached_property
    def names(self) -> tuple[str, ...]:
        return (*COMMON, *self.extras)

    def unknowns(self) -> tuple[Unknown, ...]:
        found = []
        for i, f in enumerate(self.facts):
            if f.moisture_sd > 1e-6 and f.role is not Role.LIQUID:
                weighed = min(MOISTURE_WEIGHED_SD, f.moisture_sd)
                found.append(_unknown(f"the moisture of your {f.name}", i, "moisture", f.moisture_sd, weighed))
            if f.demand_sd_log > 1e-6:
                weighed = min(DEMAND_DRIP_SD_LOG, f.demand_sd_log)
                found.append(_unknown(f"the water demand of your {f.name}", i, "demand", f.demand_sd_log, weighed))
        return tuple(found)


def _unknown(what: str, lot: int, kind: str, sd: float, weighed_sd: float) -> Unknown:
    test = "one oven weighing" if kind == "moisture" else "one drip test on 10 g"
    return Unknown(what=what, lot=lot, kind=kind, sd=sd, weighed_sd=weighed_sd, test=test)


@dataclass(frozen=True, kw_only=True)
class Wet:
    """The wet arithmetic of n recipes: dry mass by ingredient, all water, per unit of paste."""

    dry: Array
    water: Array

    @property
    def water_per_dry(self) -> Array:
        return np.asarray(self.water / np.maximum(self.dry.sum(1), 1e-9))


def wet(space: Space, rows: Array, moisture: Array | None = None) -> Wet:
    moist = np.clip(space.column("moisture") if moisture is None else moisture, 0, 0.995)
    solids = rows[:, :-1] * (1 - moist)
    return Wet(dry=solids, water=np.maximum(rows[:, -1] + rows[:, :-1] @ moist, 1e-6))


def features(space: Space, rows: Array, shift: tuple[Unknown, float] | None = None) -> Array:
    """(n, F) features in the order of `space.names`; `shift` moves one unknown by an amount first."""
    moisture, demand = space.column("moisture"), space.column("demand")
    if shift is not None:
        unknown, amount = shift
        if unknown.kind == "moisture":
            moisture[unknown.lot] += amount
        else:
            demand[unknown.lot] *= np.exp(amount)
    paste = wet(space, rows, moisture)
    dry_all = np.maximum(paste.dry.sum(1), 1e-9)
    thirst = np.maximum(paste.dry @ demand / dry_all, LEAST_DEMAND)
    wetness = np.log(paste.water_per_dry / thirst / USUAL_WET)
    gum, bind = (_doses(space, paste, role) for role in (Role.THICKENER, Role.BINDER))
    drinkers = paste.dry * space.where(*DRINKS)
    cellulose = drinkers @ space.column("cellulose") / np.maximum(drinkers.sum(1), 1e-9)
    one = np.ones(len(rows))
    common = [one, wetness, wetness**2, gum, bind, np.log(thirst / USUAL_THIRST), cellulose, wetness * gum]
    return np.column_stack([*common, *_extras(space, paste)])


def _doses(space: Space, paste: Wet, role: Role) -> Array:
    """log of usual doses per water; 0 at the usual dose, and where the campaign has none of that role."""
    mine = space.where(role)
    if not mine.any():
        return np.zeros(len(paste.water))
    units = (paste.dry[:, mine] / space.column("dose")[mine]).sum(1) * 100 / paste.water
    return np.asarray(np.log((units + TRACE_DOSE) / (1 + TRACE_DOSE)))


def _shares(space: Space, paste: Wet) -> Iterator[tuple[NDArray[np.intp], Array]]:
    """Of each kind with two members or more: which ingredients, and the (n, members) share of each among its kind."""
    for roles in (DRINKS, (Role.THICKENER,), (Role.BINDER,)):
        mine = np.flatnonzero(space.where(*roles))
        if len(mine) > 1:
            weight = paste.dry[:, mine] / (space.column("dose")[mine] if Role.FILLER not in roles else 1.0)
            yield mine, weight / np.maximum(weight.sum(1, keepdims=True), 1e-12)


def _extras(space: Space, paste: Wet) -> list[Array]:
    found: list[Array] = []
    for mine, share in _shares(space, paste):
        groups, column = lots_of_each(space.facts, mine), {int(i): j for j, i in enumerate(mine)}
        for group in groups[1:]:
            facts = space.facts[group[0]]
            centre = 1 / len(groups) if facts.share_centre is None else facts.share_centre
            found.append((share[:, [column[i] for i in group]].sum(1) - centre) / facts.share_span)
        found += [share[:, column[i]] for group in groups for i in group[1:]]
    dry_all = np.maximum(paste.dry.sum(1), 1e-9)
    for i in np.flatnonzero(space.where(Role.PLASTICISER, Role.LIQUID)):
        amount = rows_of(paste, int(i), space)
        found.append(amount / dry_all / 0.1)
    return found


def rows_of(paste: Wet, i: int, space: Space) -> Array:
    """Mass of one liquid ingredient, whatever of it counts as dry."""
    return np.asarray(paste.dry[:, i] / max(1 - min(space.facts[i].moisture, 0.995), 1e-3))


def gradients(space: Space, rows: Array, unknowns: tuple[Unknown, ...]) -> Array:
    """(U, n, F): change of the features per one standard deviation of each unknown, by central differences."""
    step = 0.5
    found = np.zeros((len(unknowns), len(rows), len(space.names)))
    for i, unknown in enumerate(unknowns):
        up = features(space, rows, (unknown, step * unknown.sd))
        down = features(space, rows, (unknown, -step * unknown.sd))
        found[i] = (up - down) / (2 * step)
    return found


def water_gradient(space: Space, rows: Array) -> Array:
    """(n, F) change of the features per unit of the log of the water added, by central differences."""
    step = 0.005
    up, down = rows.copy(), rows.copy()
    up[:, -1] *= 1 + step
    down[:, -1] *= 1 - step
    return np.asarray((features(space, up) - features(space, down)) / (2 * step))


def log_air_free_density(space: Space, rows: Array) -> Array:
    """log of g per mL of the paste without air, volumes added."""
    paste = wet(space, rows)
    volume = paste.water / WATER_KG_M3 + (paste.dry / space.column("density_kg_m3")).sum(1)
    return np.asarray(np.log((paste.water + paste.dry.sum(1)) / volume / 1000))


def log_usual_shrinkage(space: Space, rows: Array) -> Array:
    """log of the percent a printable paste of this blend usually shrinks, blended by swollen volume (practice)."""
    paste = wet(space, rows)
    swollen = paste.dry * (space.column("demand") / WATER_KG_M3 + 1 / space.column("density_kg_m3"))
    swollen = swollen * space.where(*DRINKS)
    blend = swollen @ space.column("shrinkage") / np.maximum(swollen.sum(1), 1e-12)
    return np.asarray(np.log(np.clip(100 * blend, 0.2, 40)))
