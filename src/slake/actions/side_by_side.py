"""Two batches side by side: all that differs, what was read of both, and whether the one explains the other."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from slake.campaign.nearness import nearness, overall
from slake.campaign.side_by_side import Apart, Enough, apart
from slake.ground.evidence import Range
from slake.ground.problems import Problem, plain
from slake.ground.units import from_si
from slake.paste.recipe import Recipe
from slake.records.models import Batch, Lot, Reading, Room
from slake.records.struck import strike_of
from slake.records.values import moisture_of, standing, standing_readings, test_of, water_demand_of

from .answers import windows
from .campaign import last_outcome, tell
from .proposing import thickener
from .sizes import mixed_recipe

NOT_KNOWN = "not known"
GRADES = "crack_grade"
LONG_MIN = 600.0
MOST_OTHERS = 50
"""Other batches asked, the last ones: more take longer than a person waits."""


@dataclass(frozen=True, kw_only=True)
class Fact:
    """One thing of both batches, in words."""

    what: str
    first: str
    second: str

    @property
    def differs(self) -> bool:
        return self.first != self.second


@dataclass(frozen=True, kw_only=True)
class Brought:
    """What one group of differences should bring, in words."""

    words: str
    by: str


@dataclass(frozen=True, kw_only=True)
class Difference:
    """One reading of both batches: how far apart, how far they should be (80 %), and whether that is enough."""

    words: str
    read: str
    expected: str
    enough: Enough
    parts: tuple[Brought, ...]


@dataclass(frozen=True, kw_only=True)
class SideBySide:
    """`trouble` says why nothing can be said of what explains what; then `differences` is empty."""

    first: Batch
    second: Batch
    facts: tuple[Fact, ...]
    differences: tuple[Difference, ...]
    near: tuple[float | None, float | None]
    trouble: str = ""


def side_by_side(first: Batch, second: Batch) -> SideBySide:
    """All of two batches, what differs first."""
    if first.pk == second.pk:
        raise Problem(f"both are batch {first.number}: choose two different batches")
    facts = sorted(_facts(first, second), key=lambda fact: not fact.differs)
    differences, trouble = _differences(first, second)
    return SideBySide(
        first=first,
        second=second,
        facts=tuple(facts),
        differences=differences,
        near=(near_to_brief(first), near_to_brief(second)),
        trouble=trouble,
    )


def _facts(first: Batch, second: Batch) -> Iterator[Fact]:
    one, other = dict(_of(first)), dict(_of(second))
    for what in dict.fromkeys((*one, *other)):
        yield Fact(what=what, first=one.get(what, "-"), second=other.get(what, "-"))


def _of(batch: Batch) -> Iterator[tuple[str, str]]:
    """Everything known of one batch, in the order of its life."""
    lots = [row.lot for row in batch.amounts.select_related("lot") if row.lot]
    yield from _recipe_facts(batch, lots)
    for lot in dict.fromkeys(lots):
        yield from _lot_facts(lot)
    yield "temperature, C", _number(batch.temperature_c)
    yield "humidity, %", _number(batch.humidity_percent)
    room = Room.objects.filter(since__lte=batch.since).last()
    yield "water hardness, mg/L", _number(room.water_hardness_mg_l if room else None)
    yield "machine", str(batch.machine) if batch.machine else NOT_KNOWN
    yield "bowl", batch.bowl.name if batch.bowl else NOT_KNOWN
    yield "mixed by", ", ".join(sorted({row.person.name for row in standing(batch, "weighings") if row.person})) or "-"
    yield from _readings(batch)
    ended = last_outcome(batch)
    yield "how it ended", ended.words if ended else "not said"


def _readings(batch: Batch) -> Iterator[tuple[str, str]]:
    """Each test once, with all its readings and their paste ages."""
    found: dict[str, list[str]] = {}
    for row in standing_readings(batch):
        words = f"{_value_words(row.headline_value, row.headline_unit)}{_age_words(row.age_s)}"
        found.setdefault(_title_of(row), []).append(words)
    for title, words in found.items():
        yield f"read: {title.lower()}", ", ".join(words)


def _title_of(row: Reading) -> str:
    """A test that was taken away keeps its name: its readings are still told."""
    try:
        return test_of(row).title
    except Problem:
        return row.test


def _value_words(value: float, unit: str) -> str:
    """Three figures, or all of a whole number: what a reading bears."""
    number = plain(value if value == int(value) else float(f"{value:.3g}"))
    return f"grade {number}" if unit == "grade" else f"{number} {unit}".strip()


def _age_words(age_s: float | None) -> str:
    if age_s is None:
        return ""
    minutes = from_si(age_s, "min")
    return f" at {minutes:.0f} min" if minutes < LONG_MIN else f" after {from_si(age_s, 'day'):.1f} days"


def _recipe_facts(batch: Batch, lots: list[Lot]) -> Iterator[tuple[str, str]]:
    try:
        recipe: Recipe = mixed_recipe(batch)
    except Problem:
        return
    yield "water, g per g dry", f"{recipe.water_per_dry:.3f}"
    yield "gum, g per 100 g water", f"{thickener(recipe, lots):.2f}"
    for name, part in recipe.parts.items():
        yield f"{name}, g per 100 g dry", f"{100 * part:.1f}"


def _lot_facts(lot: Lot) -> Iterator[tuple[str, str]]:
    moisture, drinks = moisture_of(lot).value.mid, water_demand_of(lot).value.mid
    yield f"moisture of {lot.name}, %", f"{100 * moisture:.1f}"
    if drinks > 0:
        yield f"water demand of {lot.name}, g/g", f"{drinks:.2f}"


def _number(value: float | None) -> str:
    return NOT_KNOWN if value is None else plain(value)


def near_to_brief(batch: Batch) -> float | None:
    """How near its readings came to the brief, 0 to 1; None where none was read. A line counts by the mean of all
    its readings that stand, so that one out of the window shows; lines together by the geometric mean.
    """
    wanted = windows()
    found: dict[str, list[float]] = {}
    for row in standing_readings(batch):
        name = _name_of(row)
        if name in wanted:
            found.setdefault(name, []).append(nearness(row.headline_value, *wanted[name]))
    return overall([sum(each) / len(each) for each in found.values()]) if found else None


def _name_of(row: Reading) -> str:
    try:
        return test_of(row).notebook_name
    except Problem:
        return ""


def _differences(first: Batch, second: Batch) -> tuple[tuple[Difference, ...], str]:
    struck = next((batch for batch in (first, second) if strike_of(batch) is not None), None)
    if struck is not None:
        return (), f"batch {struck.number} is struck, so nothing is worked out from it"
    try:
        told = tell()
        where = {batch.pk: number for number, batch in enumerate(told.batches)}
        pair = [told.book.batches[where[batch.pk]].mixed for batch in (first, second)]
    except Problem as problem:
        return (), str(problem)
    except KeyError:
        return (), "one of the two has nothing read, or is older than the batches slake reckons with"
    rest = [one.mixed for n, one in enumerate(told.book.batches) if n not in (where[first.pk], where[second.pk])]
    rest = rest[-MOST_OTHERS:]
    found = apart(told.book.layout(), told.book.brief, rest, (pair[0], pair[1]))
    return tuple(_in_words(one) for one in found), ""


def _in_words(one: Apart) -> Difference:
    say = _grades if one.gauge.name == GRADES else _times
    parts = tuple(Brought(words=part.words, by=say(part.brings)) for part in one.parts)
    return Difference(
        words=one.gauge.channel.name,
        read=_beside(one.read) if say is _grades else f"{say(one.read)} as high as",
        expected=_span(one.expected, say),
        enough=one.enough,
        parts=parts,
    )


def _span(around: Range, say: object) -> str:
    assert callable(say)
    return f"{say(around.mid)} (80 %: {say(around.low)} to {say(around.high)})"


def _times(log_ratio: float) -> str:
    return f"{math.exp(min(max(log_ratio, -9.0), 9.0)):.2g} times"


def _beside(latent: float) -> str:
    return f"{abs(latent):.1f} grades {'above' if latent >= 0 else 'below'}"


def _grades(latent: float) -> str:
    return f"{latent:+.1f} grades"
