"""A reading of a lot that is far from what is usual for it, or from what was said of it: a slip? Reads only."""

from __future__ import annotations

from slake.bench.sieve_split import largest_grain_m
from slake.ground.evidence import Range
from slake.ground.problems import Problem, plain
from slake.ground.units import from_si, to_si
from slake.paste.ingredients import HowKnown
from slake.records.models import Lot, Reading
from slake.records.values import DEMAND_TEST, MOISTURE_TEST, SIEVE_TEST, evidence_of, ingredient_of, raw_of

FAR = 3.0
"""Times beyond the usual range from which a slip is likelier than the lot: practice, no source."""
TEN = (7.0, 14.0)
"""Times that look like a slip of the decimal point."""
TYPE_AGAIN = "a slip? Read it again, or strike it through; kept as it is, it counts"


def far_from_usual(reading: Reading) -> str:
    """One sentence, or "" where it is nothing unusual or can no longer be read."""
    if reading.lot is None:
        return ""
    try:
        if reading.test == SIEVE_TEST:
            return _against_the_sieve(reading, reading.lot)
        if reading.test in {DEMAND_TEST, MOISTURE_TEST}:
            return _against_the_ingredient(reading, reading.lot)
    except Problem:
        return ""
    return ""


def _against_the_ingredient(reading: Reading, lot: Lot) -> str:
    item = ingredient_of(lot)
    usual = item.water_demand if reading.test == DEMAND_TEST else item.moisture
    found = evidence_of(reading).range80()
    if found is None or usual.how is HowKnown.TYPICAL or usual.value.low <= 0:
        return ""
    times = _times_beyond(found.mid, usual.value)
    if times < FAR:
        return ""
    unit = "g/g" if reading.test == DEMAND_TEST else "%"
    low, high = (plain(from_si(side, unit)) for side in (usual.value.low, usual.value.high))
    around = found.mid / usual.value.mid
    ten = TEN[0] <= max(around, 1 / around) <= TEN[1]
    much = "about ten times" if ten else f"{plain(round(max(around, 1 / around), 1))} times"
    more = "more" if around > 1 else "less"
    return f"{much} {more} than usual for {item.name} ({low} to {high} {unit}): {TYPE_AGAIN}"


def _times_beyond(value: float, usual: Range) -> float:
    if value > usual.high:
        return value / usual.high
    return usual.low / max(value, 1e-9)


def _against_the_sieve(reading: Reading, lot: Lot) -> str:
    if lot.sieve_um is None:
        return ""
    largest_m, more = largest_grain_m(raw_of(reading))
    passed_m = to_si(lot.sieve_um, "um")
    if largest_m <= passed_m or (largest_m == passed_m and not more):
        return ""
    return (
        f"this lot is said to have passed a sieve of {plain(lot.sieve_um)} um, and here grains lay on one of "
        f"{plain(from_si(largest_m, 'um'))} um or wider: {TYPE_AGAIN}"
    )
