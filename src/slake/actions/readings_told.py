"""The readings of a batch as a notebook takes them: all that were taken of the paste it ended as, each with its age and
its instrument; and how well this bench repeats each test. Reads only.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace

from django.db.models import Max

from slake.bench.comparing import Ends, as_read_with, ends_of, instrument_inputs, instrument_of, read_alike, shows_all
from slake.bench.declaration import Context
from slake.bench.repeatability import Repeatability, repeatability
from slake.bench.together import COMPARABLE_LOG_AGE
from slake.campaign.gauges import fitting
from slake.ground.evidence import Evidence, Kind
from slake.ground.problems import Problem
from slake.ground.units import from_si
from slake.records.models import Batch, Reading, Strike, Weighing
from slake.records.struck import standing_batches
from slake.records.values import context_of, evidence_of, standing, standing_readings, test_of

STIFFNESS = "yield_stress_pa"
MOST_TOLD = 200
"""Batches, the last ones: a proposal from more takes too long to wait for."""
MOST_OF_ONE = 12
"""Readings of one test and batch, the last ones."""
SAME_LOG_AGE = 0.15
"""Readings whose paste ages differ by less than this (as a log ratio: about 15 %) are repeats; practice, no source."""

Windows = Mapping[str, tuple[float | None, float | None]]
Instruments = Mapping[str, Mapping[str, str]]
Own = Mapping[str, float]
"""Notebook name -> own scatter over the declared one."""


One = tuple[float, float | None, str, Ends | None]
"""Value, minutes since first water, name of the instrument, and between which values it lies where it is no number."""


def readings_told(batch: Batch, with_what: Instruments) -> dict[str, list[One]]:
    """All readings of a batch by notebook name, as the instruments in use show them; what those could not have shown
    is left out. What is one-sided (a push that stalled, a wall that puddled) is told as the bound it is.
    """
    given: dict[str, list[One]] = {}
    for name, rows in rows_told(batch).items():
        for row in rows:
            shown = as_shown(row, with_what.get(name, {}))
            if shown is not None:
                given.setdefault(name, []).append((shown[0], minutes_of(row), _which(row), shown[1]))
    return given


def rows_told(batch: Batch) -> dict[str, list[Reading]]:
    """By notebook name. Of stiffness, which is followed as it ages, all; of the rest, which is judged as it is in the
    end, those of about the age of the last one.
    """
    found: dict[str, list[Reading]] = {}
    for row in of_the_last_paste(batch):
        found.setdefault(test_of(row).notebook_name, []).append(row)
    return {name: _as_judged(rows)[-MOST_OF_ONE:] for name, rows in found.items()}


def of_the_last_paste(batch: Batch) -> list[Reading]:
    """What was read before more went into the bowl is of another paste than the one the batch ended as."""
    poured = [row.at for row in standing(batch, "weighings") if row.grams > 0]
    return [row for row in _of_tests_there_are(batch) if not poured or row.at >= max(poured)]


def _of_tests_there_are(batch: Batch) -> list[Reading]:
    """A lab may take a test of its own away; its readings are kept, and told again when it is back. One that is only
    begun says nothing yet.
    """
    return [row for row in standing_readings(batch) if _is_there(row)]


def _is_there(row: Reading) -> bool:
    try:
        return test_of(row).read_of("batch") and row.headline_name == test_of(row).notebook_name
    except Problem:
        return False


def _as_judged(rows: list[Reading]) -> list[Reading]:
    if test_of(rows[-1]).informs == STIFFNESS:
        return rows
    return [row for row in rows if near_in_age(row, rows[-1], COMPARABLE_LOG_AGE)]


def near_in_age(one: Reading, other: Reading, within: float) -> bool:
    """Whether two paste ages differ by less than a log ratio; two readings without an age do."""
    first, second = minutes_of(one), minutes_of(other)
    if first is None or second is None:
        return first is second
    return abs(math.log(max(first, 1.0) / max(second, 1.0))) < within


def minutes_of(row: Reading) -> float | None:
    return None if row.age_s is None else from_si(row.age_s, "min")


def _which(row: Reading) -> str:
    return row.instrument.name if row.instrument is not None else ""


Shown = tuple[float, Ends | None]


def as_shown(row: Reading, with_what: Mapping[str, str]) -> Shown | None:
    """The reading as the instrument in use shows it; None where that one could not have shown it, or what was typed
    can no longer be read: one such reading must not stop a proposal.
    """
    try:
        shown = _shown(row, with_what)
        if shown is not None:
            value, ends = shown
            gauge = fitting(test_of(row).notebook_name, [value], with_what)
            if ends is not None:
                gauge.window(ends.low, ends.high)
    except Problem:
        return None
    return shown


def _shown(row: Reading, with_what: Mapping[str, str]) -> Shown | None:
    test, fields = test_of(row), row.typed.get("fields", {})
    found, context = evidence_of(row), context_of(row)
    same = instrument_of(test, fields) == instrument_of(test, with_what)
    if found.kind is Kind.EXACT:
        value = as_read_with(test, found, with_what, context)
        if same and (value is None or math.isclose(value, row.headline_value, rel_tol=1e-9)):
            value = row.headline_value
        return None if value is None else (value, None)
    if same and found.kind is not Kind.BETWEEN and _says_so_alone(row, found, with_what):
        return row.headline_value, None
    return _as_bound(row, found, replace(context, instrument=instrument_of(test, with_what)), with_what)


def _says_so_alone(row: Reading, found: Evidence, with_what: Mapping[str, str]) -> bool:
    """Whether the number alone is one-sided the same way: a slump of 0 is, a push that stalled is not."""
    test = test_of(row)
    alone = test.inverse(read_alike(test, with_what, row.headline_value), context_of(row))
    return alone.kind is found.kind


def _as_bound(row: Reading, found: Evidence, context: Context, with_what: Mapping[str, str]) -> Shown | None:
    """The known end of a one-sided reading as its value; the end of the instrument's scale where it lies beyond."""
    test = test_of(row)
    ends = ends_of(test, found, context)
    known = [end for end in (ends.low, ends.high) if end is not None] if ends is not None else []
    if known and all(test.floor <= end <= test.ceiling for end in known):
        return sum(known) / len(known), ends
    value = as_read_with(test, found, with_what, context)
    return None if value is None else (value, None)


def instruments(batches: Iterable[Batch], windows: Windows) -> dict[str, dict[str, str]]:
    """What each reading was last taken with, as typed: the cone's mass and angle, the mould.

    One that could never show what the brief asks for is passed over: its readings are told as another's.
    """
    found: dict[str, dict[str, str]] = {}
    for batch in batches:
        for row in _of_tests_there_are(batch):
            test, fields = test_of(row), row.typed.get("fields", {})
            own = [item.name for item in instrument_inputs(test)]
            taken_with = {name: fields[name] for name in own if fields.get(name)}
            if shows_all(test, taken_with, windows.get(test.notebook_name, ())):
                found[test.notebook_name] = taken_with
    return found


def own_repeatability(batches: Iterable[Batch]) -> dict[str, Repeatability]:
    """By notebook name: how well this bench repeats a test; only tests that were read twice on one batch with one
    instrument at about one age.
    """
    return _pooled(row for batch in batches for row in of_the_last_paste(batch))


def _pooled(rows: Iterable[Reading]) -> dict[str, Repeatability]:
    groups: dict[str, list[list[Reading]]] = {}
    for row in rows:
        _join(groups.setdefault(row.test, []), row)
    found = {}
    for parts in groups.values():
        test = test_of(parts[0][0])
        own = repeatability(test, [[row.headline_value for row in part] for part in parts])
        if own is not None:
            found[test.notebook_name] = own
    return found


def lately_repeated(tests: Iterable[str]) -> dict[str, Repeatability]:
    """How well this bench repeats these tests, by notebook name, from the batches a notebook is told of."""
    lately = list(standing_batches().order_by("-number").values_list("pk", flat=True)[:MOST_TOLD])
    wanted, kept = set(tests), Reading.objects.filter(batch__in=lately).order_by("batch", "at", "id")
    struck = set(Strike.objects.filter(reading__batch__in=lately).values_list("reading", flat=True))
    rows = [row for row in kept if row.test in wanted and row.pk not in struck and _is_there(row)]
    times = Counter((row.batch_id, row.test) for row in rows)
    twice = [row for row in rows if times[row.batch_id, row.test] > 1]
    batches = {row.batch_id for row in twice}
    pours = Weighing.objects.filter(batch__in=batches, grams__gt=0, strike__isnull=True).order_by()
    poured = dict(pours.values_list("batch").annotate(Max("at")))
    return _pooled(row for row in twice if row.batch_id not in poured or row.at >= poured[row.batch_id])


def own_scatter(tests: Iterable[str]) -> dict[str, float]:
    """By notebook name, for those of these tests that were repeated often enough lately."""
    return scatter_times(lately_repeated(tests))


def own_times(reading: Reading, own: Own | None = None) -> float:
    """Own scatter of the test over the declared one; 1 where this bench has not repeated it often enough."""
    if own is None:
        own = own_scatter([reading.test]) if reading.batch_id else {}
    return own.get(test_of(reading).notebook_name, 1.0)


def _join(groups: list[list[Reading]], row: Reading) -> None:
    for group in reversed(groups):
        if group[0].batch_id != row.batch_id:
            break
        if _repeats(group[0], row):
            group.append(row)
            return
    groups.append([row])


def _repeats(first: Reading, row: Reading) -> bool:
    same = (first.batch_id, first.instrument_id) == (row.batch_id, row.instrument_id)
    return same and near_in_age(first, row, SAME_LOG_AGE) and _taken_with(first) == _taken_with(row)


def _taken_with(row: Reading) -> Mapping[str, float | str]:
    try:
        return instrument_of(test_of(row), row.typed.get("fields", {}))
    except Problem:
        return {}


def scatter_times(repeats: Mapping[str, Repeatability]) -> dict[str, float]:
    """Own scatter over the declared one, for tests repeated often enough."""
    return {name: own.times for name, own in repeats.items() if own.moved}
