"""When a thing really happened, from a tablet whose clock may be wrong and which may have been out of reach."""

from __future__ import annotations

from datetime import datetime, timedelta

from slake.ground.numbers import Limits, read_optional
from slake.ground.problems import Problem
from slake.ground.units import to_si

LATE = Limits(low=0, high=30 * 24 * 60, unit="min", do="say how long ago it was")
LONGEST_KEPT = timedelta(days=30)


def happened_at(received: datetime, kept: timedelta, late_typed: str = "") -> datetime:
    """The laptop's own time of receipt, less how long the tablet kept the entry, less how late it was typed.

    `kept` is between two times of one clock, the tablet's, so an error of that clock falls out; a clock that was
    put back in between counts as no wait. Raises Problem for a lateness that is no number, and after 30 days.
    """
    if kept > LONGEST_KEPT:
        raise Problem(
            f"the tablet kept this for {kept.days} days, but at most {LONGEST_KEPT.days} count: type it again"
        )
    minutes = read_optional(late_typed, "minutes ago", LATE) or 0.0
    return received - max(kept, timedelta(0)) - timedelta(seconds=to_si(minutes, "min"))
