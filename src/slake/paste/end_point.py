"""When cleaning or drying is done, from weighings: two that hardly differ, or the weighing that comes next."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit, OutsideRange
from slake.ground.units import from_si, to_si

from .bases import check_moisture

CHANGE_SHARE = 0.005
APART_S = to_si(30, "min")
NEARLY_APART_S = to_si(25, "min")
"""Two weighings half an hour apart that differ by less than 0.5 %: common practice, no source."""
GUESS_FACTOR = 1.5
"""A time told from three weighings is known to about this factor either way: ours, no source."""


@dataclass(frozen=True, kw_only=True)
class Weighed:
    """One weighing of the same thing: seconds on one clock, and mass with the same tare each time."""

    at_s: float
    kg: float

    def __post_init__(self) -> None:
        if not 0 < self.kg < math.inf:
            raise OutsideRange("a weighing (g)", got=from_si(self.kg, "g"), low=0.1, high=1e7, do="weigh it again")


@dataclass(frozen=True, kw_only=True)
class EndPoint:
    """Whether a step is done. `change_share`: of the earlier weighing, by the last pair far enough apart; above zero
    it lost. `next_in_s`: from the last weighing. `remaining`: seconds from then, where it can be told.
    """

    reached: bool
    change_share: float | None
    next_in_s: float
    remaining: Range | None


def end_point(series: Sequence[Weighed]) -> EndPoint:
    """Clean or dry enough: the last weighing and one about 30 min or more before it differ by less than 0.5 %.

    Raises DoesNotFit for no weighing and for weighings that are not in the order of time.
    """
    _in_order(series)
    last = series[-1]
    before = next((w for w in reversed(series[:-1]) if last.at_s - w.at_s >= NEARLY_APART_S), None)
    if before is None:
        waited = last.at_s - series[0].at_s
        return EndPoint(reached=False, change_share=None, next_in_s=APART_S - waited, remaining=None)
    change = (before.kg - last.kg) / before.kg
    reached = abs(change) < CHANGE_SHARE
    remaining = None if reached else _until_steady(series)
    return EndPoint(reached=reached, change_share=change, next_in_s=APART_S, remaining=remaining)


def _in_order(series: Sequence[Weighed]) -> None:
    if not series:
        raise DoesNotFit("there is no weighing yet: weigh it once now and again in 30 min")
    if any(later.at_s <= earlier.at_s for earlier, later in pairwise(series)):
        raise DoesNotFit("two weighings carry the same time or stand in the wrong order: say when each was made")


@dataclass(frozen=True, kw_only=True)
class Slowing:
    """A loss that slows down evenly: over_kg is still to go at the last weighing, falling by e each 1 / per_s."""

    over_kg: float
    per_s: float


def slowing_loss(series: Sequence[Weighed]) -> Slowing | None:
    """The even slowing (an exponential) through the last three weighings; None where the loss does not slow, or grew.

    Holds while one thing limits the loss, as in the last stage of drying. Ours, no source.
    """
    if len(series) < 3:
        return None
    first, second, third = series[-3:]
    lost, later_lost = first.kg - second.kg, second.kg - third.kg
    span, later_span = second.at_s - first.at_s, third.at_s - second.at_s
    if later_lost <= 0 or lost / span <= later_lost / later_span * (1 + 1e-9):
        return None
    rate = _rate(lost / later_lost, span, later_span)
    left = math.exp(-rate * later_span)
    return Slowing(over_kg=later_lost * left / (1 - left), per_s=rate)


def _rate(ratio: float, span: float, later_span: float) -> float:
    """The rate at which the two losses stand in this ratio, by halving; the ratio rises with the rate."""
    low, high = math.log(1e-9 / span), math.log(30 / min(span, later_span))
    for _ in range(200):
        middle = (low + high) / 2
        rate = math.exp(middle)
        found = math.expm1(rate * span) / -math.expm1(-rate * later_span)
        low, high = (middle, high) if found < ratio else (low, middle)
    return math.exp((low + high) / 2)


def _guess(seconds: float) -> Range:
    return Range(low=seconds / GUESS_FACTOR, mid=seconds, high=seconds * GUESS_FACTOR)


def _until_steady(series: Sequence[Weighed]) -> Range | None:
    """Until two weighings 30 min apart will differ by less than 0.5 %."""
    slowing = slowing_loss(series)
    if slowing is None:
        return None
    step = slowing.over_kg * -math.expm1(-slowing.per_s * APART_S)
    wait = math.log(max(step / (CHANGE_SHARE * series[-1].kg), 1.0)) / slowing.per_s
    return _guess(wait + APART_S)


class Dry(Enum):
    ENOUGH = "dry enough to mill and store"
    NOT_YET = "not dry enough yet"
    STEADY = "its weight is steady, but how dry it is is not known"
    UNSURE = "the weighings cannot tell yet"


@dataclass(frozen=True, kw_only=True)
class DryState:
    """How dry a waste is by its weighings. `moisture`: wet basis now. `aim`: kg on the scale at the limit.

    `remaining`: seconds from the last weighing to the limit; `at_least_s`: where only the rate so far is known.
    """

    answer: Dry
    moisture: Range
    aim: Range
    end: EndPoint
    remaining: Range | None
    at_least_s: float | None


def dry_state(series: Sequence[Weighed], dry: Range, limit_wet_basis: float) -> DryState:
    """Below the limit (wet basis) or not. `dry`: kg of dry mass in it, as known; it is at most what is weighed now.

    Enough only where the whole range lies below the limit. At constant mass the dryer takes nothing more: what a cooler
    one leaves in, weighing cannot see, so an oven reading of the powder decides. Raises as `end_point`.
    """
    check_moisture(limit_wet_basis, "moisture to store at")
    end, now = end_point(series), series[-1].kg
    solids = Range(low=min(dry.low, now), mid=min(dry.mid, now), high=min(dry.high, now))
    moisture = Range(low=1 - solids.high / now, mid=1 - solids.mid / now, high=1 - solids.low / now)
    aim = solids.scaled(1 / (1 - limit_wet_basis))
    answer = _dry_answer(moisture, limit_wet_basis, end.reached)
    remaining, at_least = (None, None) if answer is Dry.ENOUGH else _until(series, aim)
    return DryState(answer=answer, moisture=moisture, aim=aim, end=end, remaining=remaining, at_least_s=at_least)


def _dry_answer(moisture: Range, limit: float, steady: bool) -> Dry:
    if moisture.high < limit:
        return Dry.ENOUGH
    if moisture.low >= limit:
        return Dry.UNSURE if steady else Dry.NOT_YET
    return Dry.STEADY if steady else Dry.UNSURE


def _until(series: Sequence[Weighed], aim: Range) -> tuple[Range | None, float | None]:
    """Seconds until the middle of the aim is reached: by the slowing of the loss, else at least by its rate."""
    over = series[-1].kg - aim.mid
    if over <= 0 or len(series) < 2:
        return None, None
    slowing = slowing_loss(series)
    if slowing is not None and slowing.over_kg > over:
        return _guess(math.log(slowing.over_kg / (slowing.over_kg - over)) / slowing.per_s), None
    lost, span = series[-2].kg - series[-1].kg, series[-1].at_s - series[-2].at_s
    return None, (over * span / lost if lost > 0 and slowing is None else None)
