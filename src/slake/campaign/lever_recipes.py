"""Recipes changed one way at a time, their water worked out anew so that the paste stays as stiff as it must be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slake.ground.units import to_si
from slake.paste.ingredients import Role

from .belief import Belief, forecast
from .features import Space, log_air_free_density, wet
from .layout import Look, table
from .lots import DRINKS

Array = NDArray[np.float64]
THIRSTY = 0.9
"""g of water a gram of dry filler drinks, from which it is called thirsty: common practice, no source."""
LESS_THIRSTY, MINERAL_KG_M3 = 0.85, 2000.0
LEAST_SHARE = 0.05
"""Of the dry fillers: less of one is not counted as what the paste is made of."""
SHIFTS, THINNER, MORE_BINDER, PLASTICISED = (0.1, 0.2, 0.35, 0.5), (0.75, 0.5), (1.4, 2.0), (0.05, 0.1)
NEW_BINDER = 0.5
"""Of its usual dose, where the recipe has none yet."""
STIFF_END, STIFFER = (0.5, 0.85), (0.2, 0.4)
"""How far from the softest to the stiffest the window allows, and by how much (log) where there is no window."""
WATER_SPAN, HALVINGS = 4.0, 22


@dataclass(frozen=True, kw_only=True)
class Mixture:
    """A recipe by what it is made of: dry grams per gram of dry filler, grams of gums per gram of water, and how stiff
    it is to be (log of the yield stress, as the line of the brief reads it).
    """

    solid: Array
    dose: Array
    stiff: float


@dataclass(frozen=True, kw_only=True)
class Turn:
    """One way to change a recipe by so much. `words` say how much."""

    key: str
    words: str
    by: Callable[[Mixture], Mixture]


@dataclass(frozen=True, kw_only=True)
class Stiffness:
    """What says how stiff a recipe is, and the softest and stiffest it may be; None where the brief has no line."""

    look: Look
    soft: float | None
    stiff: float | None

    def ends(self, now: float) -> tuple[float, float]:
        low = now if self.soft is None or not np.isfinite(self.soft) else self.soft
        high = low + max(STIFFER) if self.stiff is None or not np.isfinite(self.stiff) else self.stiff
        return low, max(high, low)

    def kept(self, now: float) -> float:
        """As stiff as now, or just inside the window."""
        if self.soft is None and self.stiff is None:
            return now
        low, high = self.ends(now)
        room = 0.15 * (high - low)
        return min(max(now, low + room), high - room)


def taken_apart(space: Space, row: Array, stiff: float) -> Mixture:
    """Raises no error: a recipe without filler is counted on its whole dry mass."""
    paste = wet(space, row[None, :])
    gums = space.where(Role.THICKENER, Role.BINDER)
    dry = paste.dry[0]
    per = float((dry * ~gums).sum()) or float(dry.sum())
    return Mixture(solid=dry * ~gums / per, dose=dry * gums / paste.water[0], stiff=stiff)


def put_together(space: Space, mixtures: list[Mixture], water: Array) -> Array:
    """(n, q) fractions of the wet paste as received; `water`: all of it, per gram of dry filler. A recipe whose lots
    carry more water than that gets none added, and so reads wetter.
    """
    solid, dose = (np.stack([getattr(m, name) for m in mixtures]) for name in ("solid", "dose"))
    dry = solid + dose * water[:, None]
    received = dry / (1 - np.clip(space.column("moisture"), 0, 0.98))
    added = np.maximum(water - (received - dry).sum(1), 0.0)
    rows = np.column_stack([received, added])
    return np.asarray(rows / rows.sum(1, keepdims=True))


def watered_to(belief: Belief, look: Look, mixtures: list[Mixture]) -> Array:
    """The recipes with the water at which each is as stiff as it is to be, by halving. The stiffness is taken to fall
    with water, as it does in every paste within the span tried.
    """
    space = belief.layout.space
    thirst = np.array([max(float(m.solid @ space.column("demand")), 0.05) for m in mixtures])
    aim = np.array([m.stiff for m in mixtures])
    low, high = np.log(thirst) - np.log(WATER_SPAN) / 2, np.log(thirst) + np.log(WATER_SPAN)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        rows = put_together(space, mixtures, np.exp(middle))
        too_stiff = forecast(belief, table(belief.layout, rows), [look]).mean[:, 0] > aim
        low, high = np.where(too_stiff, middle, low), np.where(too_stiff, high, middle)
    return put_together(space, mixtures, np.exp((low + high) / 2))


def turns(space: Space, mixture: Mixture, allowed: frozenset[str], stiffness: Stiffness) -> list[Turn]:
    """Every way to change this recipe that makes sense with what is on the shelf (`allowed`)."""
    usable = np.array([f.key in allowed for f in space.facts])
    found = [*_fillers(space, mixture, usable), *_drier(mixture, stiffness)]
    return [*found, *_gums(space, mixture, usable), *_plasticised(space, mixture, usable)]


def thirstiest(space: Space, mixture: Mixture) -> int | None:
    """The filler that drinks most, of those the paste is made of; None where none is thirsty."""
    part = mixture.solid * space.where(*DRINKS)
    demand = np.where(part >= LEAST_SHARE * max(float(part.sum()), 1e-12), space.column("demand"), 0.0)
    return int(np.argmax(demand)) if float(demand.max(initial=0.0)) >= THIRSTY else None


def _fillers(space: Space, mixture: Mixture, usable: NDArray[np.bool_]) -> list[Turn]:
    worst = thirstiest(space, mixture)
    if worst is None:
        return []
    demand, density = space.column("demand"), space.column("density_kg_m3")
    other = usable & space.where(Role.FILLER) & (demand > 0) & (demand < LESS_THIRSTY * demand[worst])
    mineral = other & (density >= MINERAL_KG_M3) & (space.column("cellulose") == 0)
    kinds = (("skeleton", mineral), ("less_thirsty", other & ~mineral))
    found = []
    for key, which in kinds:
        if not which.any():
            continue
        best = int(np.argmin(np.where(which, demand, np.inf)))
        found += [_shift(space, key, (worst, best), share) for share in SHIFTS]
    return found


def _shift(space: Space, key: str, pair: tuple[int, int], share: float) -> Turn:
    """This share of all dry filler goes from one to the other, or as much as there is."""
    worst, best = pair

    def by(mixture: Mixture) -> Mixture:
        moved = min(share, 0.95 * mixture.solid[worst])
        solid = mixture.solid.copy()
        solid[worst] -= moved
        solid[best] += moved
        return replace(mixture, solid=solid)

    names = [space.facts[i].key for i in pair]
    return Turn(key=key, words=f"{100 * share:.0f} of 100 g dry filler: {names[1]} for {names[0]}", by=by)


def _drier(mixture: Mixture, stiffness: Stiffness) -> list[Turn]:
    low, high = stiffness.ends(mixture.stiff)
    found = []
    for part, more in zip(STIFF_END, STIFFER, strict=True):
        aim = mixture.stiff + more if stiffness.stiff is None else low + part * (high - low)
        if aim > mixture.stiff + 0.05:
            words = "less water, as stiff as the window allows" if part == max(STIFF_END) else "a little less water"
            found.append(Turn(key="less_water", words=words, by=_stiffened(aim)))
    return found


def _stiffened(aim: float) -> Callable[[Mixture], Mixture]:
    return lambda mixture: replace(mixture, stiff=aim)


def _gums(space: Space, mixture: Mixture, usable: NDArray[np.bool_]) -> list[Turn]:
    thick, bind = space.where(Role.THICKENER), space.where(Role.BINDER)
    found = []
    if float((mixture.dose * thick).sum()) > 0:
        found += [_dosed("less_thickener", thick, times) for times in THINNER]
    if float((mixture.dose * bind).sum()) > 0:
        found += [_dosed("more_binder", bind & usable, times) for times in MORE_BINDER]
    elif (bind & usable).any():
        which = int(np.flatnonzero(bind & usable)[0])
        found.append(_new_binder(space, which))
    return found


def _dosed(key: str, which: NDArray[np.bool_], times: float) -> Turn:
    words = f"{abs(100 * (times - 1)):.0f} % {'less thickener' if times < 1 else 'more binder'} in the water"
    return Turn(key=key, words=words, by=lambda m: replace(m, dose=np.where(which, m.dose * times, m.dose)))


def _new_binder(space: Space, which: int) -> Turn:
    facts = space.facts[which]

    def by(mixture: Mixture) -> Mixture:
        dose = mixture.dose.copy()
        dose[which] += NEW_BINDER * facts.dose / 100
        return replace(mixture, dose=dose)

    return Turn(key="more_binder", words=f"{facts.key} at half its usual dose", by=by)


def _plasticised(space: Space, mixture: Mixture, usable: NDArray[np.bool_]) -> list[Turn]:
    which = np.flatnonzero(usable & space.where(Role.PLASTICISER))
    return [_softened(space, int(which[0]), part) for part in PLASTICISED] if len(which) else []


def _softened(space: Space, which: int, part: float) -> Turn:
    def by(mixture: Mixture) -> Mixture:
        solid = mixture.solid.copy()
        solid[which] += part
        return replace(mixture, solid=solid)

    name = space.facts[which].key
    return Turn(key="plasticiser", words=f"{100 * part:.0f} g of {name} for 100 g dry filler", by=by)


def water_in(space: Space, row: Array) -> float:
    """kg of water in a cubic metre of the paste, without air."""
    density = float(np.exp(log_air_free_density(space, row[None, :])[0]))
    return to_si(density, "g/mL") * float(wet(space, row[None, :]).water[0]) / float(row.sum())
