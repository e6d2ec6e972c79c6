"""Rows to values and back. No arithmetic: what a lot or reading is worth is worked out by the science rooms."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from slake.bench.declaration import BenchTest, Context, Raw
from slake.bench.shelf import test_named, tests_of_files
from slake.bench.sieve_split import FIBRE, largest_grain_m
from slake.ground.evidence import Z80, Evidence, Range
from slake.ground.problems import Problem
from slake.ground.units import to_si
from slake.paste.blending import blended_ingredient, blended_moisture, blended_water_demand
from slake.paste.ingredients import HowKnown, Ingredient, Known, Role, find, typical_of_role
from slake.paste.lot import at_least, measured_moisture, stated_moisture, usual_moisture
from slake.paste.recipe import Recipe, composition, facts_of

from .models import Batch, Blend, Brief, Lot, Reading

MOISTURE_TEST, DENSITY_TEST, DEMAND_TEST, SIEVE_TEST = "oven_moisture", "paste_density", "water_demand", "sieve_split"
NEEDS_DENSITY = {"slump", "spread", "layers_stood", DENSITY_TEST}
USUAL_FULL, RECIPE_SD_LOG, AIR_FREE_SD_LOG = 0.98, 0.05, 0.03
"""Packed by hand a paste holds about 2 % air; densities of dry solids are known to some 3 %. Practice, no source."""


@dataclass
class _Seen:
    """What was found out of lots on the way back through blends, each once, by row."""

    moisture: dict[int, Known] = field(default_factory=dict)
    demand: dict[int, Known] = field(default_factory=dict)
    item: dict[int, Ingredient] = field(default_factory=dict)


def ingredient_of(lot: Lot) -> Ingredient:
    """The ingredient as the catalogue has it; else a blend's from its parents; else what its role usually brings."""
    return _ingredient(lot, _Seen())


def _ingredient(lot: Lot, seen: _Seen) -> Ingredient:
    known = find(lot.ingredient)
    if known is not None:
        return known
    if lot.pk not in seen.item:
        parts = [(_dry_kg(row, seen), _ingredient(row.parent, seen)) for row in parents_of(lot)]
        role = Role(lot.role)
        typical = typical_of_role(lot.ingredient, role)
        seen.item[lot.pk] = blended_ingredient(lot.ingredient, role, parts) if parts else typical
    return seen.item[lot.pk]


def parents_of(lot: Lot) -> list[Blend]:
    """What a blend was made of, with the grams of each; nothing for a lot that is no blend."""
    fetched = "parents" in getattr(lot, "_prefetched_objects_cache", {})
    return list(lot.parents.all() if fetched else lot.parents.select_related("parent"))


def _dry_kg(row: Blend, seen: _Seen) -> float:
    return to_si(row.grams, "g") * (1 - _moisture(row.parent, seen).value.mid)


def raw_of(reading: Reading) -> Raw:
    """The reading read again from what was typed, through today's declaration."""
    return raw_of_typed(test_of(reading), reading.typed)


def raw_of_typed(test: BenchTest, typed: Mapping[str, Any]) -> Raw:
    """What was typed, read through the declaration; a notebook line may carry the headline number alone."""
    if "alone" in typed:
        return test.quick(float(typed["alone"]))
    return test.read(typed.get("fields", {}), typed.get("rows", []))


def test_of(reading: Reading) -> BenchTest:
    return test_named(reading.test)


def evidence_of(reading: Reading) -> Evidence:
    return test_of(reading).inverse(raw_of(reading), context_of(reading))


def context_of(reading: Reading) -> Context:
    """What the test needs to know of the thing read: of a batch its layer and densities, of a lot its moisture."""
    more: dict[str, float | None] = {}
    if reading.batch is not None:
        more = _of_batch(reading.batch, reading)
    elif reading.lot is not None and reading.test != MOISTURE_TEST:
        around = moisture_of(reading.lot).value
        more = {"moisture_wet_basis": around.mid, "moisture_sd": (around.high - around.low) / (2 * Z80)}
    which = reading.instrument.name if reading.instrument is not None else ""
    return Context(age_s=reading.age_s, with_which=which, **more)  # type: ignore[arg-type]


def _of_batch(batch: Batch, reading: Reading) -> dict[str, float | None]:
    layer = batch.machine.layer_height_mm if batch.machine is not None else None
    found: dict[str, float | None] = {} if layer is None else {"layer_height_m": to_si(layer, "mm")}
    if reading.test not in NEEDS_DENSITY:
        return found
    air_free = air_free_density(batch)
    if air_free is not None:
        found |= {"air_free_kg_m3": air_free, "air_free_sd_log": AIR_FREE_SD_LOG}
        found |= {"density_kg_m3": air_free * USUAL_FULL, "density_sd_log": RECIPE_SD_LOG}
    weighed = [row for row in standing_readings(batch, DENSITY_TEST) if row.pk != reading.pk]
    if weighed:
        density = test_of(weighed[-1]).inverse(raw_of(weighed[-1]), Context())
        found |= {"density_kg_m3": density.low, "density_sd_log": density.total_sd}
    return found


def air_free_density(batch: Batch) -> float | None:
    """kg/m3 of the paste without air, from the recipe asked for; None where not all of it is known."""
    lots = {row.lot.name: row.lot for row in batch.amounts.all() if row.lot}
    parts = batch.recipe.parts
    if not lots or not set(parts) <= set(lots):
        return None
    items = {name: ingredient_of(lots[name]) for name in parts}
    if any(item.density_kg_m3.how is HowKnown.TYPICAL for item in items.values()):
        return None
    facts = {name: facts_of([item])[item.key] for name, item in items.items()}
    try:
        return composition(Recipe(parts=parts, water_per_dry=batch.recipe.water_per_dry), facts).paste_density_kg_m3
    except Problem:
        return None


def standing(thing: Lot | Batch, name: str) -> list[Any]:
    """Its readings, weighings or outcomes that are not struck through, oldest first; taken from what was fetched
    together with the thing where it was.
    """
    rows = getattr(thing, name)
    fetched = name in getattr(thing, "_prefetched_objects_cache", {})
    return [row for row in (rows.all() if fetched else rows.select_related("strike")) if not hasattr(row, "strike")]


def standing_readings(thing: Lot | Batch, test: str | None = None) -> list[Reading]:
    """Readings that stand (not struck through) and say something, oldest first."""
    rows = (row for row in standing(thing, "readings") if test is None or row.test == test)
    return [row for row in rows if not says_nothing_yet(row)]


def says_nothing_yet(reading: Reading) -> bool:
    """Whether it was only begun, such as a bar marked wet: kept, and to be gone on with. A reading a lab declared as
    data is never gone on with: those need not be looked up, once a reading, in every list of them.
    """
    test = tests_of_files().get(reading.test)
    return test is not None and test.goes_on is not None and reading.headline_name != test.notebook_name


def moisture_of(lot: Lot) -> Known:
    """Moisture, wet basis: the last oven reading that stands and came out dry, else what the person stated, else the
    typical range (of a blend: what its parents bring); at least what later readings of a sample not yet dry say.
    """
    return _moisture(lot, _Seen())


def _moisture(lot: Lot, seen: _Seen) -> Known:
    if lot.pk not in seen.moisture:
        seen.moisture[lot.pk] = _read_moisture(lot, seen)
    return seen.moisture[lot.pk]


def _read_moisture(lot: Lot, seen: _Seen) -> Known:
    known, least = None, 0.0
    for row in standing_readings(lot, MOISTURE_TEST):
        found = evidence_of(row)
        around = found.range80()
        if around is not None:
            known, least = measured_moisture(around), 0.0
        elif found.low is not None:
            least = max(least, found.low)
    return at_least(known or _unread_moisture(lot, seen), least)


def _unread_moisture(lot: Lot, seen: _Seen) -> Known:
    if lot.moisture_percent is not None:
        return stated_moisture(to_si(lot.moisture_percent, "%"))
    parents = parents_of(lot)
    if parents:
        return blended_moisture([(to_si(row.grams, "g"), _moisture(row.parent, seen).value) for row in parents])
    return usual_moisture(ingredient_of(lot), lot.dried)


def water_demand_of(lot: Lot) -> Known:
    """Water it drinks per dry mass: as last read, else stated, of a blend by dry mass of its parents, else typical."""
    return _demand(lot, _Seen())


def _demand(lot: Lot, seen: _Seen) -> Known:
    for row in reversed(standing_readings(lot, DEMAND_TEST)):
        around = evidence_of(row).range80()
        if around is not None:
            return Known(value=around, how=HowKnown.MEASURED)
    if lot.water_demand is not None:
        return Known(
            value=Range(low=lot.water_demand, mid=lot.water_demand, high=lot.water_demand), how=HowKnown.MEASURED
        )
    if lot.pk not in seen.demand:
        parts = [(_dry_kg(row, seen), _demand(row.parent, seen).value) for row in parents_of(lot)]
        seen.demand[lot.pk] = blended_water_demand(parts) if parts else _ingredient(lot, seen).water_demand
    return seen.demand[lot.pk]


@dataclass(frozen=True, kw_only=True)
class Grains:
    """Largest grain and longest fibre of a lot, None where nothing is known; `read` by a sieve split here."""

    largest_m: float | None
    fibre_m: float | None
    read: bool


def grains_of(lot: Lot) -> Grains:
    """From the last sieve split that stands, else the sieve the lot is said to have passed; of a blend that was not
    sieved finer than its parents, the coarsest of them, and nothing where one of them is not known.
    """
    for row in reversed(standing_readings(lot, SIEVE_TEST)):
        raw = raw_of(row)
        largest, _ = largest_grain_m(raw)
        fibre = raw.numbers[FIBRE.name]
        return Grains(largest_m=largest, fibre_m=fibre if fibre > 0 else None, read=True)
    parents = [row.parent for row in parents_of(lot)]
    if parents and lot.sieve_um in (None, max((one.sieve_um or 0.0 for one in parents), default=0.0)):
        return _coarsest([grains_of(one) for one in parents])
    return Grains(largest_m=None if lot.sieve_um is None else to_si(lot.sieve_um, "um"), fibre_m=None, read=False)


def _coarsest(parents: list[Grains]) -> Grains:
    sizes, fibres = [one.largest_m for one in parents], [one.fibre_m or 0.0 for one in parents]
    largest_m = None if None in sizes else max(size or 0.0 for size in sizes)
    return Grains(largest_m=largest_m, fibre_m=max(fibres) or None, read=all(one.read for one in parents))


def windows_of(brief: Brief | None) -> Mapping[str, tuple[float | None, float | None]]:
    if brief is None:
        return {}
    return {w.reading: (w.low, w.high) for w in brief.windows.all()}
