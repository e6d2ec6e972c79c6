"""Whether a bucket of fresh waste is worth taking: dry grams, prints, the time left before it spoils, hours of work."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange, plain
from slake.ground.units import from_si, to_si

from .bases import check_moisture
from .lot import prints_from_lot

USUAL_DRY_KG_PER_PRINT = to_si(150, "g")
ONE_DAY_S = to_si(1, "day")
LOAD_KG = to_si(5, "kg")
LOAD_WORK = Range(low=to_si(4, "h"), mid=to_si(5.5, "h"), high=to_si(8, "h"))
MORE_LOAD_WORK = Range(low=to_si(0.5, "h"), mid=to_si(1, "h"), high=to_si(2, "h"))
"""Hands-on hours from wet waste to sieved powder for one oven load of 5 kg wet, and for each further load: washing and
trays about 3 h, milling, sieving and the two readings of a lot about 2.5 h. Common practice, no source."""


class Answer(Enum):
    TAKE = "Take it"
    TODAY = "Take it today"
    REFUSE = "Refuse it"


@dataclass(frozen=True, kw_only=True)
class FreshBucket:
    """A bucket as it stands at the door. `leaves`: what of the wet mass goes on the way to powder (fraction).
    `keeps`: seconds it keeps from when it was made, where it stands. `age`: seconds since it was made.
    """

    wet_kg: float
    leaves: Range
    keeps: Range
    age: Range
    dry_kg_per_print: float = USUAL_DRY_KG_PER_PRINT

    def __post_init__(self) -> None:
        if not 0 < self.wet_kg < math.inf:
            raise OutsideRange(
                "wet mass of the bucket (g)", got=from_si(self.wet_kg, "g"), low=1, high=1e7, do="weigh it, tare off"
            )
        check_moisture(self.leaves.low)
        check_moisture(self.leaves.high)


@dataclass(frozen=True, kw_only=True)
class Worth:
    """What a bucket gives and costs. `left`: seconds until it spoils, below zero where that is past. 80 % ranges."""

    dry: Range
    prints: Range
    left: Range
    work: Range
    answer: Answer
    because: tuple[str, ...]


def worth_of(bucket: FreshBucket) -> Worth:
    """The answer and its reasons. A smell, fuzz or slime outranks it: that bucket is refused whatever its hours.

    Refused: not even one print at the best, or older than such waste usually keeps. Today: it may spoil within a day.
    Common practice, no source. Raises OutsideRange for a dry mass per print of nothing.
    """
    sides = (bucket.leaves.high, bucket.leaves.mid, bucket.leaves.low)
    prints = _rising(*(prints_from_lot(bucket.wet_kg, side, bucket.dry_kg_per_print) for side in sides))
    left = Range(
        low=bucket.keeps.low - bucket.age.high,
        mid=bucket.keeps.mid - bucket.age.mid,
        high=bucket.keeps.high - bucket.age.low,
    )
    answer, because = _answer(prints, left)
    return Worth(
        dry=prints.scaled(bucket.dry_kg_per_print),
        prints=prints,
        left=left,
        work=work_hours(bucket.wet_kg),
        answer=answer,
        because=because,
    )


def _rising(low: float, mid: float, high: float) -> Range:
    return Range(low=low, mid=mid, high=high)


def work_hours(wet_kg: float) -> Range:
    """Hands-on seconds from wet waste to sieved powder; drying itself runs alone. Common practice, no source."""
    more = max(math.ceil(wet_kg / LOAD_KG) - 1, 0)
    return Range(
        low=LOAD_WORK.low + more * MORE_LOAD_WORK.low,
        mid=LOAD_WORK.mid + more * MORE_LOAD_WORK.mid,
        high=LOAD_WORK.high + more * MORE_LOAD_WORK.high,
    )


def _answer(prints: Range, left: Range) -> tuple[Answer, tuple[str, ...]]:
    if prints.high < 1:
        return Answer.REFUSE, (f"it makes {plain(prints.mid)} of a print at most likely: not worth an oven",)
    if left.mid <= 0:
        hours = from_si(-left.mid, "h")
        return Answer.REFUSE, (
            f"such waste has usually spoiled {hours:.0f} h before this: mould and germs come with it",
        )
    reasons = [] if prints.low >= 1 else ["it may make less than one print"]
    if left.low < ONE_DAY_S:
        soonest = max(from_si(left.low, "h"), 0.0)
        reasons.append(
            f"it may spoil in {soonest:.0f} h: clean it and start drying it today"
            if soonest >= 1
            else "it may have begun to spoil: look and smell first, then clean it and start drying it at once"
        )
        return Answer.TODAY, tuple(reasons)
    days = from_si(left.low, "day")
    return Answer.TAKE, (*reasons, f"it keeps {days:.1f} days at the least from now")
