"""What a lot still makes, when to stop, and how much a bridge between an old and a new lot takes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slake.ground.problems import OutsideRange
from slake.ground.units import from_si, to_si

SPILL_SHARE = 0.05
"""Stays in sack, scoop and bowl: common practice, no source."""
CUP_WIDTH_M, CUP_DEPTH_M = to_si(40, "mm"), to_si(35, "mm")
BAR_M = (to_si(120, "mm"), to_si(15, "mm"), to_si(6, "mm"))
BRIDGE_LOSS_SHARE = 0.25
"""A small bowl keeps this much on its walls: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class LotPlan:
    """Batches one lot still makes. `bridge_kg` is what to keep, zero where the plan is met without a new lot."""

    batches: int
    enough: bool
    stop_after: int
    bridge_kg: float
    needed_kg: float


def lot_plan(stock_kg: float, kg_per_batch: float, planned: int, bridge_kg: float) -> LotPlan:
    """What a stock (as received) makes at one size of batch, 5 % of it lost, and whether it carries the plan.

    Where it does not, batches stop early enough to keep the bridge to the next lot. Raises OutsideRange.
    """
    _check(stock_kg=stock_kg, bridge_kg=bridge_kg)
    if not 0 < kg_per_batch < math.inf:
        raise OutsideRange(
            "grams per batch", got=from_si(kg_per_batch, "g"), low=0.1, high=1e5, do="say what one batch takes"
        )
    if planned < 0:
        raise OutsideRange("batches still planned", got=planned, low=0, high=1000, do="count them")
    usable = stock_kg * (1 - SPILL_SHARE)
    enough = planned * kg_per_batch <= usable * (1 + 1e-9)
    keep = 0.0 if enough else min(bridge_kg, usable)
    return LotPlan(
        batches=_whole(usable / kg_per_batch),
        enough=enough,
        stop_after=planned if enough else _whole((usable - keep) / kg_per_batch),
        bridge_kg=keep,
        needed_kg=planned * kg_per_batch,
    )


def _whole(count: float) -> int:
    return max(math.floor(count + 1e-9), 0)


def _check(**named: float) -> None:
    for name, kg in named.items():
        if not 0 <= kg < math.inf:
            raise OutsideRange(
                f"{name.removesuffix('_kg')} (g)", got=from_si(kg, "g"), low=0, high=1e6, do="put the stock right first"
            )


def bridge_paste_m3() -> float:
    """Paste for one cone cup (40 mm wide, 35 mm deep) and one shrinkage bar (120 x 15 x 6 mm), with what a small bowl
    keeps. Bookkeeping of volumes.
    """
    cup = math.pi / 4 * CUP_WIDTH_M**2 * CUP_DEPTH_M
    return (cup + math.prod(BAR_M)) * (1 + BRIDGE_LOSS_SHARE)
