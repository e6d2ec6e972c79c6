"""Grain sizes of a lot as last sieved here, beside those of another, and what they ask of a nozzle. Reads only."""

from __future__ import annotations

from slake.bench.sieve_split import SHARES, curve_of
from slake.campaign.lot_grains import Sieved
from slake.ground.problems import OutsideRange, Problem
from slake.ground.units import from_si
from slake.paste.grains import nozzle_words, size_at_share_m
from slake.paste.ingredients import Role
from slake.records.models import Lot
from slake.records.values import SIEVE_TEST, grains_of, raw_of, standing_readings


def sizes_um(lot: Lot) -> dict[str, float]:
    """d10, d50 and d90 by mass, each where its last sieve split reaches it; empty where none was read."""
    rows = standing_readings(lot, SIEVE_TEST)
    if not rows:
        return {}
    curve, found = curve_of(raw_of(rows[-1])), {}
    for share in SHARES:
        try:
            found[f"d{from_si(share, '%'):.0f}"] = from_si(size_at_share_m(curve, share), "um")
        except Problem:
            continue
    return found


def middle_m(lot: Lot) -> float | None:
    """d50 of the last sieve split; None where there is none, or the sieves do not reach it."""
    for row in reversed(standing_readings(lot, SIEVE_TEST)):
        try:
            return size_at_share_m(curve_of(raw_of(row)), 0.5)
        except OutsideRange:
            return None
    return None


LIKENED = ("d50", "d90", "d10")
"""Which size of two sieve splits is compared: the first that the sieves of both reach."""


def beside(old: Lot, new: Lot) -> Sieved | None:
    """Grains of a lot over those of the lot before it: by sieve splits of both, else by the largest that is read or
    stated of both. None where that is not known, and of what no sieve tells anything.
    """
    if Role(new.role) not in {Role.FILLER, Role.FIBRE}:
        return None
    before, now = sizes_um(old), sizes_um(new)
    for size in LIKENED:
        if size in before and size in now:
            return Sieved(grain_times=now[size] / before[size], split=True)
    largest = grains_of(old).largest_m, grains_of(new).largest_m
    return Sieved(grain_times=largest[1] / largest[0], split=False) if largest[0] and largest[1] else None


def nozzle_line(lot: Lot) -> str:
    """What its largest grain and longest fibre ask of a nozzle; "" where nothing is known of them."""
    grains = grains_of(lot)
    return "" if grains.largest_m is None else nozzle_words(grains.largest_m, grains.fibre_m or 0.0)
