"""The timed steps as the page shows them: what is next in one line, then every step with its time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from slake.actions.campaign import last_outcome
from slake.actions.timing import Timed, timeline
from slake.ground.units import from_si, to_si
from slake.records.models import Batch


@dataclass(frozen=True, kw_only=True)
class StepLine:
    """One timed step. `at_min`: minutes since first water it is due at, or was done at; None before the clock runs."""

    timed: Timed
    at_min: float | None
    due_s: str
    state: str

    @property
    def key(self) -> str:
        return self.timed.step.key

    @property
    def hours(self) -> float | None:
        return None if self.at_min is None else from_si(to_si(self.at_min, "min"), "h")


def steps_context(batch: Batch, now: datetime) -> dict[str, object]:
    """`timeline`: all lines; `coming`: the one to do next, None at the end and once somebody said how it ended."""
    lines = [_line(batch, timed, now) for timed in timeline(batch)]
    ended = last_outcome(batch) is not None
    coming = None if ended else next((line for line in lines if line.timed.next), None)
    return {"timeline": lines, "coming": coming, "ended": ended}


def _line(batch: Batch, timed: Timed, now: datetime) -> StepLine:
    moment = timed.done or timed.due
    water = batch.first_water_at
    minutes = None
    if timed.due is None and timed.done is None and timed.step.due_s is not None:
        minutes = from_si(timed.step.due_s, "min")
    elif moment is not None and water is not None:
        minutes = max(from_si((moment - water).total_seconds(), "min"), 0.0)
    return StepLine(
        timed=timed,
        at_min=None if timed.step.due_s is None else minutes,
        due_s=f"{timed.due.timestamp():.0f}" if timed.due else "",
        state=_state(timed, now),
    )


def _state(timed: Timed, now: datetime) -> str:
    """done, over (its time has come), next or later."""
    if timed.done is not None:
        return "done"
    if timed.next and timed.due is not None and timed.due <= now:
        return "over"
    return "next" if timed.next else "later"
