"""What is known of each ingredient of a campaign: the person's own weighings, else typical values, with how sure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from slake.ground.evidence import Z80, Range
from slake.ground.numbers import Limits, read_number
from slake.ground.problems import Problem
from slake.paste.ingredients import Ingredient, Role, find, typical_of_role

WATER = "water"
MOST_INGREDIENTS = 12

MOISTURE_WEIGHED_SD = 0.003
"""One oven weighing, wet basis: 0.2-0.5 points (practice)."""
DEMAND_WEIGHED_SD_LOG = 0.05
"""One person's repeat of the drip test (practice); the range of a typical value is far wider."""
DOSE_SD_LOG = 0.25
LOT_SD_LOG, LOTS_WORTH = 0.085, 4
"""How far the water demand of a lot goes from that of its material, and how many lots that expectation counts for:
common practice, no source (a lot dried and ground another day drinks about a tenth more or less)."""
PASTE_SD_LOG = 0.04
"""How far a drip test tells something else than the paste: common practice, no source."""
DRINKS = (Role.FILLER, Role.FIBRE, Role.ADDITIVE)
_ROLE_WORDS = (
    ("plasticis", Role.ADDITIVE),
    ("plasticiz", Role.ADDITIVE),
    ("glycer", Role.PLASTICISER),
    ("gum", Role.THICKENER),
    ("fibre", Role.FIBRE),
    ("fiber", Role.FIBRE),
)


@dataclass(frozen=True)
class Lot:
    """One ingredient as the person has it. `moisture` on wet basis: a fraction, (fraction, sd) or None for typical.

    `water_demand` in g/g: as weighed, (value, sd of its log) where it was worked out, as of a blend from its parents.
    `dose_per_100_water` in g per 100 g of water. Each None for typical of its kind.
    """

    name: str
    moisture: float | tuple[float, float] | None = None
    role: str | None = None
    water_demand: float | tuple[float, float] | None = None
    dose_per_100_water: float | None = None


@dataclass(frozen=True, kw_only=True)
class Facts:
    """Numbers of one ingredient with their spread. `measured` names those that come from the person.

    share_centre, share_span: where its shares among its kind lay and over how wide a span, of many recipes mixed.
    """

    key: str
    name: str
    role: Role
    moisture: float
    moisture_sd: float
    demand: float
    demand_sd_log: float
    dose: float
    dose_sd_log: float
    density_kg_m3: float
    shrinkage: float
    cellulose: float
    measured: tuple[str, ...] = ()
    guessed: bool = False
    share_centre: float | None = None
    share_span: float = 1.0


def facts_of(key: str, lot: Lot | str) -> Facts:
    """Facts of one lot. Raises Problem where a stated number cannot be."""
    stated = lot if isinstance(lot, Lot) else Lot(lot)
    if key == WATER:
        raise Problem("water is always there and is not a lot: name the other ingredients only")
    known = None if stated.role else find(stated.name) or find(key)
    item = known or typical_of_role(stated.name, _role(stated))
    if item.role is Role.COAT:
        raise Problem(f"{item.name} is a coat and goes onto the dried part: leave it out of the paste")
    facts = _typical(key, item, guessed=known is None)
    return _with_dose(_with_demand(_with_moisture(facts, stated), stated), stated)


def _role(lot: Lot) -> Role:
    if lot.role is None:
        words = lot.name.casefold()
        return next((role for word, role in _ROLE_WORDS if word in words), Role.FILLER)
    try:
        return Role(lot.role.strip().casefold())
    except ValueError:
        names = ", ".join(role.value for role in Role)
        raise Problem(f"the role of {lot.name[:40]} is “{lot.role[:20]}”: use one of {names}") from None


def _sd(value: Range) -> float:
    return (value.high - value.low) / (2 * Z80)


def _sd_log(value: Range) -> float:
    return math.log(value.high / max(value.low, 1e-3)) / (2 * Z80)


def _typical(key: str, item: Ingredient, *, guessed: bool) -> Facts:
    demand, dose, moisture = item.water_demand.value, item.dose_per_100_water, item.moisture.value
    drinks = item.role in DRINKS and demand.mid > 0
    shrinkage = getattr(item, "linear_shrinkage", None)
    return Facts(
        key=key,
        name=item.name,
        role=item.role,
        moisture=min(moisture.mid, 0.98),
        moisture_sd=_sd(moisture),
        demand=demand.mid if drinks else 0.0,
        demand_sd_log=min(_sd_log(demand), 0.5) if drinks else 0.0,
        dose=dose.value.mid if dose else 5.0,
        dose_sd_log=DOSE_SD_LOG if dose else 0.0,
        density_kg_m3=item.density_kg_m3.value.mid,
        shrinkage=shrinkage.value.mid if shrinkage else min(0.3, 0.048 * max(demand.mid, 0.05) ** 0.8),
        cellulose=1.0 if item.cellulose_rich or item.role is Role.FIBRE else 0.0,
        guessed=guessed,
    )


def _with_moisture(facts: Facts, lot: Lot) -> Facts:
    if lot.moisture is None:
        return facts
    limits = Limits(low=0, high=0.98, do="give it on wet basis, as a fraction such as 0.06")
    pair = lot.moisture if isinstance(lot.moisture, tuple) else (lot.moisture, MOISTURE_WEIGHED_SD)
    value = read_number(pair[0], f"the moisture of {facts.name}", limits)
    sd = read_number(pair[1], f"the sd of the moisture of {facts.name}", Limits(low=0, high=0.5))
    return replace(facts, moisture=value, moisture_sd=sd, measured=(*facts.measured, "moisture"))


def _with_demand(facts: Facts, lot: Lot) -> Facts:
    if lot.water_demand is None:
        return facts
    limits = Limits(low=0.01, high=20, unit="g/g", do="give grams of water drunk per gram of dry powder")
    if isinstance(lot.water_demand, tuple):
        value = read_number(lot.water_demand[0], f"the water demand of {facts.name}", limits)
        sd_log = read_number(lot.water_demand[1], f"the sd of the water demand of {facts.name}", Limits(low=0, high=1))
        return replace(facts, demand=value, demand_sd_log=sd_log)
    value = read_number(lot.water_demand, f"the water demand of {facts.name}", limits)
    return replace(facts, demand=value, demand_sd_log=DEMAND_WEIGHED_SD_LOG, measured=(*facts.measured, "water demand"))


def _with_dose(facts: Facts, lot: Lot) -> Facts:
    if lot.dose_per_100_water is None:
        return facts
    value = read_number(lot.dose_per_100_water, f"the usual dose of {facts.name}", Limits(low=0.01, high=100))
    return replace(facts, dose=value, measured=(*facts.measured, "dose"))


def all_facts(lots: Mapping[str, Lot | str]) -> tuple[Facts, ...]:
    if not lots:
        raise Problem("a campaign needs at least one ingredient besides water: name your lots")
    if len(lots) > MOST_INGREDIENTS:
        raise Problem(f"{len(lots)} ingredients are more than the {MOST_INGREDIENTS} slake can tell apart: name fewer")
    return settled(tuple(facts_of(key, lot) for key, lot in lots.items()), lots)


def lots_of_each(facts: Sequence[Facts], mine: Iterable[int]) -> list[list[int]]:
    """Of some ingredients those of one name together, in the order seen: they are lots of one material."""
    groups: dict[str, list[int]] = {}
    for i in mine:
        groups.setdefault(facts[i].name, []).append(int(i))
    return list(groups.values())


@dataclass(frozen=True, kw_only=True)
class Alike:
    """Of the lots of one material: middle and spread of the logarithm of their water demands, and how well the middle
    is known.
    """

    middle_log: float
    spread_log: float
    middle_sd_log: float = 0.0


def alike(weighed: Sequence[tuple[float, float]]) -> Alike:
    """From (log of the demand, its sd) of the weighed lots of one material; at least one."""
    logs = [value for value, _ in weighed]
    plain = sum(logs) / len(logs)
    scatter = sum((value - plain) ** 2 for value in logs)
    own = sum(sd**2 for _, sd in weighed) / len(weighed) * (len(weighed) - 1)
    spread = math.sqrt((LOTS_WORTH * LOT_SD_LOG**2 + max(scatter - own, 0.0)) / (LOTS_WORTH + len(weighed) - 1))
    weights = [1 / (spread**2 + sd**2) for _, sd in weighed]
    middle = sum(w * value for w, value in zip(weights, logs, strict=True)) / sum(weights)
    return Alike(middle_log=middle, spread_log=spread, middle_sd_log=sum(weights) ** -0.5)


def settled(facts: tuple[Facts, ...], lots: Mapping[str, Lot | str]) -> tuple[Facts, ...]:
    """Facts with the water demand of each lot that has siblings drawn towards theirs, and its spread with it.

    The level they share is left to the readings: only what a lot does by itself stays unknown.
    """
    found = {f.key: f for f in facts}
    drinkers = [i for i, f in enumerate(facts) if f.role in DRINKS and f.demand > 0]
    for group in (one for one in lots_of_each(facts, drinkers) if len(one) > 1):
        mine = [facts[i] for i in group]
        weighed = [(math.log(f.demand), f.demand_sd_log) for f in mine if _stated(lots[f.key])]
        both = alike(weighed) if weighed else Alike(middle_log=math.log(mine[0].demand), spread_log=LOT_SD_LOG)
        for f in mine:
            found[f.key] = _drawn(f, both, stated=_stated(lots[f.key]))
    return tuple(found[f.key] for f in facts)


def _stated(lot: Lot | str) -> bool:
    return isinstance(lot, Lot) and lot.water_demand is not None


def _drawn(f: Facts, both: Alike, *, stated: bool) -> Facts:
    own = 1 / max(f.demand_sd_log, 1e-3) ** 2 if stated else 0.0
    shared = 1 / both.spread_log**2
    log = (own * math.log(f.demand) + shared * both.middle_log) / (own + shared)
    of_middle = both.middle_sd_log * shared / (own + shared)
    sd_log = math.hypot(1 / math.sqrt(own + shared), of_middle, PASTE_SD_LOG)
    return replace(f, demand=math.exp(log), demand_sd_log=sd_log)
