"""Grain sizes of a lot as last sieved here, and what they ask of a nozzle. Reads only."""

from __future__ import annotations

from slake.bench.sieve_split import SHARES, curve_of
from slake.ground.problems import Problem
from slake.ground.units import from_si
from slake.paste.grains import nozzle_words, size_at_share_m
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


def nozzle_line(lot: Lot) -> str:
    """What its largest grain and longest fibre ask of a nozzle; "" where nothing is known of them."""
    grains = grains_of(lot)
    return "" if grains.largest_m is None else nozzle_words(grains.largest_m, grains.fibre_m or 0.0)
