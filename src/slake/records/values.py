"""Rows to values and back. No arithmetic: what a lot or reading is worth is worked out by the science rooms."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from slake.bench.declaration import BenchTest, Context, Raw
from slake.bench.shelf import test_named
from slake.ground.evidence import Evidence, Range
from slake.ground.units import to_si
from slake.paste.ingredients import HowKnown, Ingredient, Known, Role, find, typical_of_role
from slake.paste.lot import at_least, measured_moisture, stated_moisture, usual_moisture

from .models import Batch, Brief, Lot, Reading

MOISTURE_TEST = "oven_moisture"


def ingredient_of(lot: Lot) -> Ingredient:
    return find(lot.ingredient) or typical_of_role(lot.ingredient, Role(lot.role))


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
    batch = reading.batch
    layer = batch.machine.layer_height_mm if batch is not None and batch.machine is not None else None
    more = {} if layer is None else {"layer_height_m": to_si(layer, "mm")}
    which = reading.instrument.name if reading.instrument is not None else ""
    return Context(age_s=reading.age_s, with_which=which, **more)


def standing(thing: Lot | Batch, name: str) -> list[Any]:
    """Its readings, weighings or outcomes that are not struck through, oldest first; taken from what was fetched
    together with the thing where it was.
    """
    rows = getattr(thing, name)
    fetched = name in getattr(thing, "_prefetched_objects_cache", {})
    return [row for row in (rows.all() if fetched else rows.select_related("strike")) if not hasattr(row, "strike")]


def standing_readings(thing: Lot | Batch, test: str | None = None) -> list[Reading]:
    """Readings that stand (not struck through), oldest first."""
    return [row for row in standing(thing, "readings") if test is None or row.test == test]


def moisture_of(lot: Lot) -> Known:
    """Moisture, wet basis: the last oven reading that stands and came out dry, else what the person stated, else the
    typical range; at least what later readings of a sample not yet dry say.
    """
    known, least = None, 0.0
    for row in standing_readings(lot, MOISTURE_TEST):
        found = evidence_of(row)
        around = found.range80()
        if around is not None:
            known, least = measured_moisture(around), 0.0
        elif found.low is not None:
            least = max(least, found.low)
    return at_least(known or _unread_moisture(lot), least)


def _unread_moisture(lot: Lot) -> Known:
    if lot.moisture_percent is not None:
        return stated_moisture(to_si(lot.moisture_percent, "%"))
    return usual_moisture(ingredient_of(lot), lot.dried)


def water_demand_of(lot: Lot) -> Known:
    if lot.water_demand is not None:
        return Known(
            value=Range(low=lot.water_demand, mid=lot.water_demand, high=lot.water_demand), how=HowKnown.MEASURED
        )
    return ingredient_of(lot).water_demand


def windows_of(brief: Brief | None) -> Mapping[str, tuple[float | None, float | None]]:
    if brief is None:
        return {}
    return {w.reading: (w.low, w.high) for w in brief.windows.all()}
