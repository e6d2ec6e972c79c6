"""What the readings of one batch say together, and which of them do not agree. Reads only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from slake.bench.causes import Cause
from slake.bench.disagreeing import Disagreement, disagreement
from slake.bench.shelf import all_tests
from slake.bench.together import Look, Together, at_comparable_age, of_one_property, together
from slake.ground.problems import Problem, plain
from slake.ground.units import from_si
from slake.records.models import Batch, Instrument, Reading
from slake.records.values import context_of, raw_of, test_of

from .reading_said import range_words
from .readings_told import of_the_last_paste, own_scatter

MOST_LOOKS = 12
"""Readings of one batch looked at together: the last ones."""


@dataclass(frozen=True, kw_only=True)
class Joint:
    """One property of one batch as several readings say it together: what, from how many, at which paste age."""

    words: str
    readings: int
    at_min: float | None


@dataclass(frozen=True, kw_only=True)
class Agreeing:
    """What the readings of a batch say together (latest paste age of each property), and what does not agree."""

    joint: tuple[Joint, ...]
    disagreements: tuple[Disagreement, ...]


def agreeing(batch: Batch, own: Mapping[str, float] | None = None) -> Agreeing:
    """Readings of the paste as it is now: those before more went into the bowl are of another paste and left out."""
    instruments = other_instruments()
    groups = of_one_property(looks_of(batch, own))
    latest = [[part for part in at_comparable_age(group) if len(part) > 1] for group in groups]
    found = [what_disagrees(group, instruments) for group in groups]
    return Agreeing(
        joint=tuple(joint for parts in latest for part in parts[-1:] if (joint := _joint(together(part)))),
        disagreements=tuple(one for one in found if one is not None),
    )


def what_disagrees(group: Sequence[Look], instruments: Mapping[str, Mapping[str, object]]) -> Disagreement | None:
    """As `disagreement` says; where no one cause brings all of them together, that of the two farthest apart."""
    found = disagreement(group, instruments)
    if found is None or found.cause is not Cause.UNKNOWN or len(group) < 3:
        return found
    pair = disagreement((found.one, found.other), instruments)
    return found if pair is None or pair.cause is Cause.AGE else pair


def looks_of(batch: Batch, own: Mapping[str, float] | None = None) -> list[Look]:
    """Readings that stand and can be read, taken after the last pour, oldest first; `own` as `_look` takes it, looked
    up where it is not given.
    """
    rows = of_the_last_paste(batch)
    own = own_scatter(row.test for row in rows[-MOST_LOOKS:]) if own is None else own
    looks = (_look(row, own) for row in rows[-MOST_LOOKS:])
    return [look for look in looks if look is not None]


def _look(row: Reading, own: Mapping[str, float]) -> Look | None:
    """`own`: notebook name -> scatter over the declared one, where this bench repeated the test often enough."""
    try:
        test = test_of(row)
        value = f"{plain(row.headline_value)} {row.headline_unit}".strip()
        age = "" if row.age_s is None else f" at {from_si(row.age_s, 'min'):.0f} min"
        look = Look(called=f"{test.title} {value}{age}", test=test, raw=raw_of(row), context=context_of(row))
        times = own.get(test.notebook_name)
        look = look if times is None else replace(look, scatter=times * look.evidence.scatter)
        return look if look.evidence.informs else None
    except Problem:
        return None


def other_instruments() -> dict[str, Mapping[str, object]]:
    """Facts (SI) of each instrument of this bench, as the inputs of the bench tests read them."""
    inputs = {item.name: item for test in all_tests().values() if test.read_of("batch") for item in test.inputs}
    found: dict[str, Mapping[str, object]] = {}
    for row in Instrument.objects.all():
        facts = {}
        for name, typed in row.facts.items():
            if name in inputs:
                try:
                    facts[name] = inputs[name].read(str(typed))
                except Problem:
                    continue
        if facts:
            found[row.name] = facts
    return found


def _joint(found: Together) -> Joint | None:
    if found.range80 is None:
        return None
    ages = [look.context.age_s for look in found.looks if look.context.age_s is not None]
    first = found.looks[0]
    return Joint(
        words=range_words(found.informs, found.range80, first.test),
        readings=len(found.looks),
        at_min=from_si(sum(ages) / len(ages), "min") if ages else None,
    )
