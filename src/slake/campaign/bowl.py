"""At the bowl: what a reading says to do now. What water is worth in stiffness is a range, not a number."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slake.ground.evidence import Range
from slake.ground.units import to_si

STEADY_AGE_S = to_si(45, "min")
"""Before this age most gum pastes still stiffen on their own (common practice: guar most in 30 min, full in 2 h)."""

SLOPE = Range(low=3.5, mid=5.5, high=8.0)
"""Fall of ln(yield stress) when water grows by one whole water demand of the solids. Common practice, no source:
shell falls about 13 % and cellulose about 2.5 % per 0.01 g/g, which is 4.9 and 6.3 at demands of 0.35 and 2.5 g/g."""


@dataclass(frozen=True, kw_only=True)
class Step:
    """wait_s: read again after this long; else the change of water per dry that leads to the aim, as a range."""

    wait_s: float | None
    water_per_dry_change: Range | None


def step_to_window(ratio_now: Range, water_demand: float, age_s: float | None) -> Step:
    """What to do with a paste `ratio_now` times as stiff as wanted (1 is the aim), reading errors in the range.

    water_demand: g water per g dry that the solids drink; small demands are taken as 0.1. Too soft and young:
    wait. Else a change of water per dry; negative asks for dry filler instead.
    """
    if ratio_now.high < 1 and age_s is not None and age_s < STEADY_AGE_S:
        return Step(wait_s=STEADY_AGE_S * 4 / 3 - age_s, water_per_dry_change=None)
    scale = max(water_demand, 0.1)
    changes = sorted(
        math.log(ratio) * scale / slope
        for ratio in (ratio_now.low, ratio_now.high)
        for slope in (SLOPE.low, SLOPE.high)
    )
    middle = math.log(ratio_now.mid) * scale / SLOPE.mid
    return Step(wait_s=None, water_per_dry_change=Range(low=changes[0], mid=middle, high=changes[-1]))
