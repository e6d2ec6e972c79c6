"""Which line of the brief a past batch broke, from its readings and how it ended. Unknown where not read."""

from __future__ import annotations

from dataclasses import dataclass

from slake.bench.comparing import Ends
from slake.ground.problems import plain

from .brief import Brief, Line
from .chances import PASSES, UNCLOGGED
from .history import Mixed, Seen
from .outcomes import Ending


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """One line of the brief for one batch: `held` is None where nothing says it."""

    name: str
    line: str
    held: bool | None
    why: str


def explained(brief: Brief, batch: Mixed) -> tuple[Verdict, ...]:
    """Every line of the brief, and last what no brief needs to say: that the ram pushes it, that it does not clog."""
    return (*(_of_line(line, batch) for line in brief.lines), _through(batch), _clear(batch))


def _through(batch: Mixed) -> Verdict:
    said = batch.outcome
    held: bool | None = True
    if not said.ended or said.has(Ending.CLOGGED, Ending.TORE):
        held = None
    if said.has(Ending.STALLED, Ending.WOULD_NOT_EXTRUDE):
        held = False
    return Verdict(name=PASSES, line=PASSES, held=held, why=f"“{said.text}”" if said.ended else "not read")


def _clear(batch: Mixed) -> Verdict:
    said = batch.outcome
    held: bool | None = None if not said.ended or said.has(Ending.STALLED, Ending.TORE) else True
    if said.has(Ending.CLOGGED):
        held = False
    elif said.has(Ending.WOULD_NOT_EXTRUDE):
        held = None
    return Verdict(name=UNCLOGGED, line=UNCLOGGED, held=held, why=f"“{said.text}”" if said.ended else "not read")


def _of_line(line: Line, batch: Mixed) -> Verdict:
    read = [seen for seen in batch.readings if seen.gauge.name == line.name]
    if read:
        seen = min(reversed(read), key=lambda one: abs(one.log_age))
        return Verdict(name=line.name, line=line.words, held=_held(line, seen), why=_as_read(line, seen))
    held, why = _from_words(line, batch)
    return Verdict(name=line.name, line=line.words, held=held, why=why)


def _held(line: Line, seen: Seen) -> bool | None:
    """None where a reading that is no one number may lie on either side; a grade is the grade it was given."""
    ends = None if seen.gauge.half_step else seen.ends
    low, high = (seen.value, seen.value) if ends is None else (ends.low, ends.high)
    if line.low is not None and high is not None and high < line.low:
        return False
    if line.high is not None and low is not None and low > line.high:
        return False
    sure_below = line.high is None or (high is not None and high <= line.high)
    sure_above = line.low is None or (low is not None and low >= line.low)
    return True if sure_below and sure_above else None


def _as_read(line: Line, seen: Seen) -> str:
    ends = seen.ends or Ends(low=seen.value, high=seen.value)
    low, high = (None if end is None else plain(end) for end in (ends.low, ends.high))
    if low is None or high is None:
        words = f"{low} or more" if high is None else f"{high} or less"
    else:
        words = low if low == high else f"{low} to {high}"
    return f"read {words} {line.gauge.unit}".strip()


def _from_words(line: Line, batch: Mixed) -> tuple[bool | None, str]:
    said = batch.outcome
    quoted = f"“{said.text}”"
    if line.name == "layers_stood":
        if said.fell_at is not None:
            return (line.holds(said.fell_at - 1), quoted)
        if said.has(Ending.TOO_RUNNY, Ending.PUDDLED) and line.low is not None:
            return False, quoted
        if said.has(Ending.GOOD, Ending.PRINTED_WELL) and line.high is None:
            return True, quoted
    if line.name == "crack_grade" and line.high is not None:
        if said.has(Ending.CRACKED):
            return (False, quoted) if line.high < 2 else (None, quoted)
        if said.came_out_well:
            return (True, quoted) if line.high >= 1 else (None, quoted)
    if line.name == "ram_force_n" and said.has(Ending.STALLED) and line.high is not None:
        return False, quoted
    return None, "not read"
