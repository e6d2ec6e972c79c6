"""Whether logged heat meets one stated time-temperature rule. It is a yardstick, never a statement of safety.

The rule is the time-temperature equation of 40 CFR 503.32 for treated sewage solids, read in North Carolina 15A
NCAC 02T .1106 (the same equations; the federal text itself was not seen). Nothing of it speaks of food or skin.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from slake.ground.problems import OutsideRange
from slake.ground.units import from_si, to_si

COOLEST_C = 50.0
HOTTEST_C = 100.0
THICK_SOLIDS = 0.07
THICK_DAYS = 131_700_000.0
THIN_DAYS = 50_070_000.0
PER_KELVIN = 0.1400
THICK_LEAST_S = to_si(20, "min")
THIN_LEAST_S = to_si(30, "min")
SHORT_LEAST_S = 15.0
DRIEST_WET_SOLIDS = 0.70
"""Above this share of solids the waste counts as a dry powder here. Cautious practice, no source."""

RAW = "Treat as raw"


@dataclass(frozen=True, kw_only=True)
class HeatStep:
    """One unbroken stretch of heating: the lowest temperature in the coldest spot of the waste, and how long."""

    temperature_k: float
    duration_s: float

    def __post_init__(self) -> None:
        if not to_si(-50, "C") <= self.temperature_k <= to_si(1200, "C"):
            raise OutsideRange(
                "temperature (C)",
                got=from_si(self.temperature_k, "C"),
                low=-50,
                high=1200,
                do="read the thermometer in the coldest spot",
            )
        if not 0 <= self.duration_s < math.inf:
            raise OutsideRange("heating time (s)", got=self.duration_s, low=0, high=1e7, do="give it as zero or more")


@dataclass(frozen=True, kw_only=True)
class HeatVerdict:
    """Whether the log meets the rule; `credit` is the longest held time per time needed (1 meets).

    `refused` says the rule cannot be asked at all (dry powder, or no temperature it covers).
    """

    meets: bool
    credit: float
    text: str
    refused: bool = False


def needed_time_s(temperature_k: float, solids_fraction: float) -> float:
    """How long the coldest spot must hold this temperature without a break.

    D in days = 131 700 000 / 10^(0.1400 T), T in C, for 7 % solids and more (at least 20 min) and for thinner
    ones in under 30 min (at least 15 s); 50 070 000 for thinner ones in 30 min and more. Starts at 50 C; above
    100 C wet waste cannot be, so that a higher figure is the oven's and is refused. Source: nc02t1106.
    """
    celsius = from_si(temperature_k, "C")
    if not COOLEST_C - 1e-9 <= celsius <= HOTTEST_C + 1e-9:
        raise OutsideRange(
            "temperature in the coldest spot (C)",
            got=celsius,
            low=COOLEST_C,
            high=HOTTEST_C,
            do="the rule says nothing outside these: treat the lot as raw",
        )
    if not 0 < solids_fraction <= 1:
        raise OutsideRange(
            "solids (fraction of the wet mass)", got=solids_fraction, low=0.001, high=1, do="give what was in the pot"
        )
    thick = to_si(THICK_DAYS / 10 ** (PER_KELVIN * celsius), "day")
    if solids_fraction >= THICK_SOLIDS:
        return max(thick, THICK_LEAST_S)
    thin = max(to_si(THIN_DAYS / 10 ** (PER_KELVIN * celsius), "day"), THIN_LEAST_S)
    return min(max(thick, SHORT_LEAST_S), thin) if thick < THIN_LEAST_S else thin


def heat_verdict(log: Sequence[HeatStep], solids_fraction: float, dry_powder: bool) -> HeatVerdict:
    """Judge a heating log, steps in the order they followed each other without a break.

    The waste must stay at or above one temperature for the whole time that temperature needs: heat below it
    earns nothing and stretches apart are not added up, because the rule does not say so. Dry powder is refused:
    germs in dry flour stand far more heat than in wet waste (source: flour_salmonella).
    """
    if dry_powder or solids_fraction > DRIEST_WET_SOLIDS:
        return HeatVerdict(
            meets=False,
            credit=0.0,
            refused=True,
            text=f"{RAW}: the rule is for wet waste, and germs in dry powder stand far more heat. "
            "Heat the next lot wet, before drying and milling it.",
        )
    if not log:
        return HeatVerdict(meets=False, credit=0.0, text=f"{RAW}: no heating is logged for this lot.")
    covered = [s for s in log if COOLEST_C - 1e-9 <= from_si(s.temperature_k, "C") <= HOTTEST_C + 1e-9]
    if not covered:
        return HeatVerdict(
            meets=False,
            credit=0.0,
            refused=True,
            text=f"{RAW}: the rule covers {COOLEST_C:.0f} to {HOTTEST_C:.0f} C in the coldest spot of wet waste, "
            "and no logged step lies there.",
        )
    held = {s.temperature_k: _longest_s(log, s.temperature_k) for s in covered}
    best = max(held, key=lambda kelvin: held[kelvin] / needed_time_s(kelvin, solids_fraction))
    return _judged(best, held[best], needed_time_s(best, solids_fraction))


def _longest_s(log: Sequence[HeatStep], least_k: float) -> float:
    """The longest unbroken run of steps at or above a temperature; one hotter than wet waste can be breaks it."""
    longest = run = 0.0
    for step in log:
        run = run + step.duration_s if least_k <= step.temperature_k <= to_si(HOTTEST_C, "C") + 1e-9 else 0.0
        longest = max(longest, run)
    return longest


def _judged(temperature_k: float, held_s: float, needed_s: float) -> HeatVerdict:
    credit = held_s / needed_s
    fact = f"{from_si(held_s, 'min'):.0f} min at {from_si(temperature_k, 'C'):.1f} C or more, where the rule asks for "
    fact += f"{from_si(needed_s, 'min'):.0f} min"
    if credit >= 1:
        text = (
            f"Meets the time-temperature rule of 40 CFR 503.32 ({fact}), if the thermometer sat in the coldest spot. "
            "It says nothing about spores, toxins, allergens or use with food; follow your local rules."
        )
        return HeatVerdict(meets=True, credit=credit, text=text)
    return HeatVerdict(meets=False, credit=credit, text=f"{RAW}: held {fact}.")
