"""What bars say of how a print shrinks, per direction, for a paste, water and wall that may be others than theirs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum

from slake.bench.declaration import Raw
from slake.bench.shrinkage_bar import ACROSS, ALONG, TYPICAL_COUNT, TYPICAL_SD, UPRIGHT, pooled_sd, shrinkages
from slake.ground.evidence import Range, linear_range
from slake.ground.problems import OutsideRange


class Direction(Enum):
    """How a length lies to the beads of a bar."""

    ALONG = "along the bead"
    BESIDE = "across the beads"
    UPRIGHT = "in height"


SIDES = {Direction.ALONG: ALONG, Direction.BESIDE: ACROSS, Direction.UPRIGHT: UPRIGHT}
NO_BARS = Range(low=0.02, mid=0.06, high=0.15)
"""Shell pastes shrink 1 to 4 %, coffee and grain 6 to 18 %: common practice, no source. For want of any bar."""
UPRIGHT_OVER_PLAN = Range(low=1.2, mid=1.55, high=2.0)
"""Height often shrinks 1.2 to 2 times as much as plan: common practice; that it differs is reported."""
OTHER_BATCH_SD = 0.005
OTHER_WALL_SD = 0.005
"""Half a point each, for bars of another batch, and for walls far thicker or thinner: practice, no source."""
SAME_WATER = 0.02
"""Water per dry solids within this is the same water."""
WALL_TIMES = 1.5
LEAST, MOST = -0.05, 0.6
"""Beyond these a shrinkage is a misreading: as in the law of drying shrinkage."""


@dataclass(frozen=True, kw_only=True)
class Bars:
    """Shrinkage bars of one batch. mean and sd of one bar by direction, as fractions of the wet length."""

    batch: str
    mean: Mapping[Direction, float]
    sd: Mapping[Direction, float]
    count: Mapping[Direction, int]
    water_per_dry: float | None = None
    wall_m: float | None = None


@dataclass(frozen=True, kw_only=True)
class Today:
    """What shall be printed: its batch, its water and its wall. None: not known, which warns of nothing."""

    batch: str
    water_per_dry: float | None = None
    wall_m: float | None = None


@dataclass(frozen=True, kw_only=True)
class Foreseen:
    """Shrinkage of one direction of the print, with the reasons why its range is wider than the bars' own."""

    direction: Direction
    shrinkage: Range
    bars: int
    warnings: tuple[str, ...] = field(default=())


def bars_of(readings: Sequence[Raw], today: Today) -> Bars:
    """Readings of the shrinkage bar of one batch together; `today` names that batch, its water and the bars' height.

    Only bars measured dry count. Raises DoesNotFit as the bench test does.
    """
    by_direction = {
        direction: [value for raw in readings for value in shrinkages(raw, side)] for direction, side in SIDES.items()
    }
    found = {direction: values for direction, values in by_direction.items() if values}
    return Bars(
        batch=today.batch,
        mean={direction: sum(values) / len(values) for direction, values in found.items()},
        sd={direction: pooled_sd(values, TYPICAL_SD, TYPICAL_COUNT) for direction, values in found.items()},
        count={direction: len(values) for direction, values in found.items()},
        water_per_dry=today.water_per_dry,
        wall_m=today.wall_m,
    )


def nearest_bars(known: Sequence[Bars], today: Today) -> Bars | None:
    """This batch's bars where any is dry; else those of the water nearest to today's, then the most; None without any.

    Bars of a water nobody knows come after all others.
    """

    def apart(bars: Bars) -> tuple[bool, float, int]:
        waters = (bars.water_per_dry, today.water_per_dry)
        by = math.inf if waters[0] is None or waters[1] is None else abs(waters[0] - waters[1])
        return bars.batch != today.batch, by, -sum(bars.count.values())

    return min((bars for bars in known if bars.mean), key=apart, default=None)


def foreseen(direction: Direction, bars: Bars | None, today: Today) -> Foreseen:
    """Shrinkage to reckon with. Wider, with a warning, where the bars came from another batch, water, wall or
    direction; from common practice where there are none.

    Water: shrinkage is taken to differ by at most in proportion to it. The one print to come scatters like a bar.
    """
    if bars is None or not bars.mean:
        return Foreseen(
            direction=direction,
            shrinkage=_upright(NO_BARS) if direction is Direction.UPRIGHT else NO_BARS,
            bars=0,
            warnings=("no bar of this paste was measured dry: this is what pastes do, print a shrinkage bar first",),
        )
    of, ratio, warnings = _nearest(direction, bars)
    mean, sd, count = bars.mean[of], bars.sd[of], bars.count[of]
    more, further = _elsewhere(mean, bars, today)
    spread = math.sqrt(sd**2 * (1 + 1 / count) + more)
    own = linear_range(mean, spread)
    return Foreseen(
        direction=direction,
        shrinkage=_kept(_times(own, ratio)),
        bars=count if of is direction else 0,
        warnings=(*warnings, *further),
    )


def _nearest(direction: Direction, bars: Bars) -> tuple[Direction, Range, tuple[str, ...]]:
    """The direction whose bars stand for this one, and how many times as much this one shrinks."""
    same = Range(low=1.0, mid=1.0, high=1.0)
    if direction in bars.mean:
        return direction, same, ()
    of = next(other for other in Direction if other in bars.mean)
    warning = f"no bar was measured {direction.value}: it is taken from those measured {of.value}"
    if direction is Direction.UPRIGHT:
        return of, UPRIGHT_OVER_PLAN, (f"{warning}, 1.2 to 2 times as much",)
    if of is Direction.UPRIGHT:
        low, mid, high = (1 / side for side in (UPRIGHT_OVER_PLAN.high, UPRIGHT_OVER_PLAN.mid, UPRIGHT_OVER_PLAN.low))
        return of, Range(low=low, mid=mid, high=high), (f"{warning}, a half to 0.8 times as much",)
    return of, same, (warning,)


def _elsewhere(mean: float, bars: Bars, today: Today) -> tuple[float, tuple[str, ...]]:
    """Variance that bars of elsewhere add, and why."""
    variance, warnings = 0.0, []
    if bars.batch != today.batch:
        variance += OTHER_BATCH_SD**2
        warnings.append("the bars came from another batch: dry a bar of this one beside the print")
    if bars.water_per_dry is not None and today.water_per_dry is not None:
        apart = today.water_per_dry - bars.water_per_dry
        if abs(apart) > SAME_WATER:
            variance += (mean * apart / bars.water_per_dry) ** 2
            how = "more" if apart > 0 else "less"
            warnings.append(f"this paste has {abs(apart):.2g} g/g {how} water than the bars had: wetter shrinks more")
    if bars.wall_m is not None and today.wall_m is not None:
        times = today.wall_m / bars.wall_m
        if not 1 / WALL_TIMES <= times <= WALL_TIMES:
            variance += OTHER_WALL_SD**2
            warnings.append(f"the wall is {times:.2g} times as thick as the bars: it dries otherwise")
    return variance, tuple(warnings)


def _upright(plan: Range) -> Range:
    return _kept(_times(plan, UPRIGHT_OVER_PLAN))


def _times(own: Range, ratio: Range) -> Range:
    """Product of two ranges that know nothing of each other; their spreads, of the middle, go together as squares."""
    mid = own.mid * ratio.mid
    if ratio.low == ratio.high:
        return own.scaled(ratio.mid)
    down = math.hypot((own.mid - own.low) * ratio.mid, (ratio.mid - ratio.low) * abs(own.mid))
    up = math.hypot((own.high - own.mid) * ratio.mid, (ratio.high - ratio.mid) * abs(own.mid))
    return Range(low=mid - down, mid=mid, high=mid + up)


def _kept(own: Range) -> Range:
    """Raises OutsideRange where the middle is no shrinkage; ends are held to what drying can do."""
    if not LEAST <= own.mid < MOST:
        raise OutsideRange("shrinkage", got=own.mid, low=LEAST, high=MOST, do="measure the bars again, wet and dry")
    return Range(low=max(own.low, LEAST), mid=own.mid, high=min(own.high, MOST))
