"""The timed steps of a batch: which there are, what was done when, done and undone again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from slake.bench.shelf import all_tests
from slake.ground.problems import Problem
from slake.ground.units import to_si
from slake.paste.ingredients import Role
from slake.paste.keeping import keeping_times
from slake.paste.steps import TimedStep, due_times_s, next_step, timed_steps
from slake.records.models import Batch, StepDone
from slake.records.values import ingredient_of, standing_readings

from .entry import Entry, recorded
from .keeping import is_raw
from .reading_said import STIFFNESS

FIRST_WATER, FIRST_READING, CONE = "first_water", "first_reading", "cone"
USUAL_CONE_MIN = 60
EARLY_S = to_si(10, "min")
"""A reading up to this much before its time counts as the cone of that time: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Timed:
    """One step as it stands. `due` is None before the clock runs; `by_hand`: it was tapped and can be undone."""

    step: TimedStep
    due: datetime | None
    done: datetime | None
    by_hand: bool
    next: bool


def steps_of(batch: Batch) -> tuple[TimedStep, ...]:
    lots = [row.lot for row in batch.amounts.select_related("lot") if row.lot]
    kept = keeping_times(raw_food_waste=any(is_raw(lot) for lot in lots))
    age_min = batch.proposal.answer.get("read_at_min", USUAL_CONE_MIN) if batch.proposal else USUAL_CONE_MIN
    return timed_steps({ingredient_of(lot).key: Role(lot.role) for lot in lots}, kept, to_si(age_min, "min"))


def say_step(entry: Entry, batch_id: int, key: str, undone: bool = False) -> StepDone:
    """A step was done at entry.at (said late, that is earlier than now), or was not done after all."""
    with recorded(entry, "say step", {"batch": batch_id, "step": key, "undone": undone}) as log:
        if log.before is not None:
            return StepDone.objects.get(pk=log.before["step"])
        batch = Batch.objects.get(pk=batch_id)
        found = next((step for step in steps_of(batch) if step.key == key), None)
        if found is None or key == FIRST_WATER:
            raise Problem(f"{batch} has no step called “{key[:20]}” to tap: load the page again")
        if not undone:
            _refuse_before_water(batch, found, entry.at)
        row = StepDone.objects.create(
            batch=batch, step=key, undone=undone, at=entry.at, person_id=entry.person, entry=entry.id
        )
        log.answer = {"step": row.pk}
        return row


def _refuse_before_water(batch: Batch, step: TimedStep, at: datetime) -> None:
    if step.due_s is None:
        return
    if batch.first_water_at is None:
        raise Problem(f"the clock of {batch} does not run yet: tap “Water is in” first")
    if at < batch.first_water_at:
        raise Problem(f"“{step.words}” would be before water met the powder: give fewer minutes ago")


def done_by_hand(batch: Batch) -> dict[str, datetime]:
    """Steps that were tapped and not undone, each at the time last said."""
    said: dict[str, StepDone] = {row.step: row for row in batch.steps_done.all()}
    return {key: row.at for key, row in said.items() if not row.undone}


def _done_by_reading(batch: Batch, steps: tuple[TimedStep, ...]) -> dict[str, datetime]:
    """A stiffness reading that stands is the first reading, and the cone that counts once it is old enough."""
    found: dict[str, datetime] = {}
    due = next(step.due_s for step in steps if step.key == CONE)
    for row in standing_readings(batch):
        test = all_tests().get(row.test)
        if test is None or test.informs != STIFFNESS or row.age_s is None:
            continue
        found.setdefault(FIRST_READING, row.at)
        if row.age_s >= (due or 0.0) - EARLY_S:
            found.setdefault(CONE, row.at)
    return found


def timeline(batch: Batch) -> list[Timed]:
    """Every step with its time, what was done, and which is next."""
    steps, water = steps_of(batch), batch.first_water_at
    tapped = done_by_hand(batch)
    done = {**_done_by_reading(batch, steps), **tapped, **({FIRST_WATER: water} if water else {})}
    due_s = due_times_s(steps, _ages(done, water))
    coming = next_step(steps, done)
    return [
        Timed(
            step=step,
            due=_clock(water, due_s[step.key]),
            done=done.get(step.key),
            by_hand=step.key in tapped,
            next=step == coming,
        )
        for step in steps
    ]


def _ages(done: Mapping[str, datetime], water: datetime | None) -> dict[str, float]:
    return {} if water is None else {key: (at - water).total_seconds() for key, at in done.items()}


def _clock(water: datetime | None, due_s: float | None) -> datetime | None:
    return None if water is None or due_s is None else water + timedelta(seconds=due_s)
