"""What the checks of an instrument say: within a step, off by so much, moved since. Reads only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from slake.ground.numbers import is_open
from slake.ground.problems import plain
from slake.ground.units import from_si, to_si
from slake.records.models import Instrument, InstrumentCheck

from .instruments import facts_of

STEP_OF = {"g": ("scale_step_g", 0.1), "mm": ("step_mm", 0.05)}
"""Which fact says the smallest step in a unit, and the usual one where nobody said it: common practice, no source."""
OTHER_STEPS = {"mL": 0.5, "C": 0.5, "%": 1.0}
FEWEST_FOR_DRIFT = 2


@dataclass(frozen=True, kw_only=True)
class CheckSaid:
    """One check in one sentence. `off` is shown less known, in its unit; `fine` where it is within a step."""

    check: InstrumentCheck
    off: float
    fine: bool
    drifting: bool
    words: str


def step_in(instrument: Instrument, unit: str) -> float:
    """The smallest step of an instrument in this unit; the usual one of its kind where it was not said."""
    small = "g" if unit == "kg" else unit
    if small not in STEP_OF:
        return OTHER_STEPS.get(unit, 1.0)
    fact, usual = STEP_OF[small]
    item, text = facts_of(instrument.kind).get(fact), instrument.facts.get(fact, "")
    si = to_si(usual, small) if item is None or is_open(text) else float(item.read(text))
    return from_si(si, unit)


def said_of_check(check: InstrumentCheck, earlier: Sequence[InstrumentCheck]) -> CheckSaid:
    """`earlier`: the checks before it. Drifting: off by more than a step, and by more than it used to be."""
    step, off = step_in(check.instrument, check.unit), check.shown - check.known
    alike = [row.shown - row.known for row in earlier if row.unit == check.unit]
    moved = off - median(alike) if len(alike) >= FEWEST_FOR_DRIFT else 0.0
    slack = step * 1.000001
    fine, drifting = abs(off) <= slack, abs(moved) > slack
    return CheckSaid(check=check, off=off, fine=fine, drifting=drifting, words=_words(check, off, step, moved))


def _words(check: InstrumentCheck, off: float, step: float, moved: float) -> str:
    unit, slack = check.unit, step * 1.000001
    if abs(off) <= slack:
        first = f"right to within a step of {plain(step)} {unit}"
    else:
        way = "much" if off > 0 else "little"
        first = f"shows {plain(round(abs(off), 6))} {unit} too {way}, more than a step of {plain(step)} {unit}"
    if abs(moved) > slack:
        return f"{first}; drifting: it moved by {plain(round(abs(moved), 6))} {unit} against its earlier checks"
    return first if abs(off) <= slack else f"{first}: mend or re-zero it, and check again"


def checks_said(instrument: Instrument) -> list[CheckSaid]:
    """Every check of the instrument of this name, newest first, over all its revisions."""
    rows = list(InstrumentCheck.objects.filter(instrument__name=instrument.name).select_related("instrument", "person"))
    return [said_of_check(row, rows[:place]) for place, row in enumerate(rows)][::-1]
