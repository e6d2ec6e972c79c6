"""How long fresh waste keeps, what of it is left as dry powder, and how dry that powder must be. Data: fresh.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange
from slake.ground.units import from_si, to_si

from .ingredients import HowKnown, Ingredient, Known

USUAL_TEMPERATURE_K = to_si(20, "C")
COLDEST_K, WARMEST_K = to_si(0, "C"), to_si(40, "C")
UNSAID_COOLER_K, UNSAID_WARMER_K = to_si(15, "C"), to_si(25, "C")
COLDEST_SAID_K, HOTTEST_SAID_K = to_si(-40, "C"), to_si(80, "C")
TEN_K = 10.0
SLOWER_PER_TEN_K = Range(low=2.0, mid=2.5, high=3.0)
"""Spoiling runs this many times slower for each 10 C colder: common practice, no source."""
STORE_BELOW = 0.10
UNSAID_AGE = Range(low=0.0, mid=to_si(12, "h"), high=to_si(36, "h"))


@dataclass(frozen=True, kw_only=True)
class Fresh:
    """One waste as it stands at the door. `keeps`: seconds at 20 C. `leaves`: what of the wet mass goes on the way to
    powder. `store_below`: moisture, wet basis, at which its powder is milled and stored.
    """

    keeps: Range
    leaves: Known
    store_below: float


@cache
def _table() -> Mapping[str, Mapping[str, Any]]:
    return tomllib.loads(files("slake.paste").joinpath("fresh.toml").read_text(encoding="utf-8"))


def fresh_of(item: Ingredient) -> Fresh:
    """What is usual of this waste, fresh. One without a row of its own is taken as food waste, or as any other."""
    rows = _table()
    row = rows.get(item.key, rows["any_food" if item.raw_food_waste else "any_other"])
    soonest, usual, longest = (to_si(days, "day") for days in row["keeps_day"])
    return Fresh(
        keeps=Range(low=soonest, mid=usual, high=longest),
        leaves=_leaves(item, row),
        store_below=row.get("store", STORE_BELOW),
    )


def _leaves(item: Ingredient, row: Mapping[str, Any]) -> Known:
    if item.fresh_moisture is not None:
        return item.fresh_moisture
    low, mid, high = row.get("leaves", _table()["any_other"]["leaves"])
    return Known(value=Range(low=low, mid=mid, high=high), how=HowKnown.PRACTICE)


def keeps_at(keeps: Range, temperature_k: float | None) -> Range:
    """Seconds it keeps at this temperature, from those at 20 C: two to three times longer for each 10 C colder.

    Common practice, no source; used from 0 to 40 C, and at the nearer end of that outside it (frozen waste keeps longer
    than this says). None is "don't know": somewhere from 15 to 25 C. Raises OutsideRange outside -40 to 80 C.
    """
    if temperature_k is None:
        return Range(
            low=keeps.low * _slower(UNSAID_WARMER_K).low, mid=keeps.mid, high=keeps.high * _slower(UNSAID_COOLER_K).high
        )
    if not COLDEST_SAID_K <= temperature_k <= HOTTEST_SAID_K:
        raise OutsideRange(
            "where the bucket stands (C)", got=from_si(temperature_k, "C"), low=-40, high=80, do="read it again"
        )
    slower = _slower(min(max(temperature_k, COLDEST_K), WARMEST_K))
    return Range(low=keeps.low * slower.low, mid=keeps.mid * slower.mid, high=keeps.high * slower.high)


def _slower(temperature_k: float) -> Range:
    """How many times longer than at 20 C."""
    steps = (USUAL_TEMPERATURE_K - temperature_k) / TEN_K
    low, high = sorted((SLOWER_PER_TEN_K.low**steps, SLOWER_PER_TEN_K.high**steps))
    return Range(low=low, mid=SLOWER_PER_TEN_K.mid**steps, high=high)
