"""What a bucket's page asks and nothing changes: what it is worth, until when it keeps, how far its cleaning is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from slake.ground.evidence import Range
from slake.ground.problems import Problem
from slake.ground.units import to_si
from slake.paste.bucket import FreshBucket, Worth, worth_of
from slake.paste.end_point import DryState, EndPoint, Weighed, dry_state, end_point
from slake.paste.fresh import UNSAID_AGE, fresh_of, keeps_at
from slake.paste.ingredients import Ingredient, Known, Role, find, typical_of_role
from slake.paste.lot import stated_moisture
from slake.records.models import Bucket, BucketWeighing

from .buckets import STEPS

DRYING = "drying"
STAGES = ("handling", "storing", "heating", "milling")


@dataclass(frozen=True, kw_only=True)
class BucketTold:
    """One bucket as its page says it. `spoils`: soonest, usual and latest time, 80 %."""

    bucket: Bucket
    item: Ingredient
    leaves: Known
    worth: Worth
    spoils: tuple[datetime, datetime, datetime]
    store_below: float
    cautions: tuple[str, ...]


def told_of(bucket: Bucket, dry_kg_per_print: float) -> BucketTold:
    item = item_of(bucket)
    fresh, leaves = fresh_of(item), leaves_of(bucket)
    temperature = None if bucket.temperature_c is None else to_si(bucket.temperature_c, "C")
    worth = worth_of(
        FreshBucket(
            wet_kg=to_si(bucket.wet_g, "g"),
            leaves=leaves.value,
            keeps=keeps_at(fresh.keeps, temperature),
            age=_age(bucket),
            dry_kg_per_print=dry_kg_per_print,
        )
    )
    soonest, usual, latest = (
        bucket.since + timedelta(seconds=s) for s in (worth.left.low, worth.left.mid, worth.left.high)
    )
    return BucketTold(
        bucket=bucket,
        item=item,
        leaves=leaves,
        worth=worth,
        spoils=(soonest, usual, latest),
        store_below=fresh.store_below,
        cautions=_cautions(item),
    )


def item_of(bucket: Bucket) -> Ingredient:
    return find(bucket.ingredient) or typical_of_role(bucket.ingredient, Role(bucket.role))


def leaves_of(bucket: Bucket) -> Known:
    """What leaves on the way to powder: the moisture a person said, else what is usual of the fresh waste."""
    if bucket.moisture_percent is not None:
        return stated_moisture(to_si(bucket.moisture_percent, "%"))
    return fresh_of(item_of(bucket)).leaves


def _age(bucket: Bucket) -> Range:
    if bucket.hours_old is None:
        return UNSAID_AGE
    age = to_si(bucket.hours_old, "h")
    return Range(low=age, mid=age, high=age)


def _cautions(item: Ingredient) -> tuple[str, ...]:
    raw = ["Food waste: treat as raw. Gloves on, away from food, wash hands and bench."] if item.raw_food_waste else []
    if find(item.key) is None:
        raw = ["slake knows no hazards of this waste: treat it as raw, and look up its dust and allergens yourself."]
    mould = (
        "Smell, fuzz, slime or warmth inside: refuse it, whatever its hours. Spores harm lungs; heat kills no toxin."
    )
    allergens = [f"Allergen: {word}. Ask everybody in the room before it is opened." for word in item.allergens]
    return (*raw, mould, *allergens, *(item.hazards[stage] for stage in STAGES if stage in item.hazards))


@dataclass(frozen=True, kw_only=True)
class StepTold:
    """How far one step is: its weighings, the end point, and for drying how dry it is. `next_at` is the weighing to
    make next; `ready`: soonest, likely and latest time, where that can be told. `trouble` says why nothing can.
    """

    step: str
    rows: Sequence[BucketWeighing]
    end: EndPoint | None = None
    dry: DryState | None = None
    next_at: datetime | None = None
    ready: tuple[datetime, datetime, datetime] | None = None
    not_before: datetime | None = None
    trouble: str = ""


def steps_of(bucket: Bucket) -> list[StepTold]:
    """Every step that was weighed, in the order of the work."""
    rows = list(bucket.weighings.filter(strike=None).order_by("at", "id"))
    return [
        _step(bucket, step, [row for row in rows if row.step == step])
        for step in STEPS
        if any(row.step == step for row in rows)
    ]


def drying_of(bucket: Bucket) -> StepTold | None:
    """What its weighings while drying say; None where it was not weighed then."""
    return next((step for step in steps_of(bucket) if step.dry is not None), None)


def _step(bucket: Bucket, step: str, rows: Sequence[BucketWeighing]) -> StepTold:
    series = [Weighed(at_s=(r.at - rows[0].at).total_seconds(), kg=to_si(r.grams, "g")) for r in rows]
    try:
        state = _dry(bucket, series) if step == DRYING else None
        end = state.end if state is not None else end_point(series)
    except Problem as problem:
        return StepTold(step=step, rows=rows, trouble=str(problem))
    last, remaining = rows[-1].at, state.remaining if state is not None else end.remaining
    least = state.at_least_s if state is not None else None
    return StepTold(
        step=step,
        rows=rows,
        end=end,
        dry=state,
        next_at=last + timedelta(seconds=end.next_in_s),
        ready=None if remaining is None else _times(last, remaining),
        not_before=None if least is None else last + timedelta(seconds=least),
    )


def _times(start: datetime, seconds: Range) -> tuple[datetime, datetime, datetime]:
    low, mid, high = (start + timedelta(seconds=s) for s in (seconds.low, seconds.mid, seconds.high))
    return low, mid, high


def _dry(bucket: Bucket, series: Sequence[Weighed]) -> DryState:
    """Drying by its weighings, with the dry mass the bucket's own moisture leaves."""
    wet, leaves = to_si(bucket.wet_g, "g"), leaves_of(bucket).value
    dry = Range(low=wet * (1 - leaves.high), mid=wet * (1 - leaves.mid), high=wet * (1 - leaves.low))
    return dry_state(series, dry, fresh_of(item_of(bucket)).store_below)
