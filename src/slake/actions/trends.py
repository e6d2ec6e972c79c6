"""How a property went from batch to batch, and where a lot or the machine changed in between. Reads only."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Case, When

from slake.bench.declaration import BenchTest
from slake.bench.shelf import all_tests
from slake.bench.together import Look, at_comparable_age, together
from slake.ground.evidence import Evidence, Kind, Range
from slake.ground.problems import Problem
from slake.ground.units import from_si
from slake.records.models import Batch, Reading
from slake.records.struck import struck_batches
from slake.records.values import context_of, ingredient_of, raw_of, says_nothing_yet, standing, test_of

USUAL_AGE_MIN = 60.0
MOST_BATCHES = 60
MOST_READINGS = 400


@dataclass(frozen=True, kw_only=True)
class Property:
    """One property that is followed, in the unit of the bench."""

    key: str
    words: str
    unit: str
    on_log: bool = False


FOLLOWED = (
    Property(key="yield_stress_pa", words="stiffness", unit="Pa", on_log=True),
    Property(key="linear_shrinkage", words="shrinkage", unit="%"),
    Property(key="bend_strength_pa", words="strength", unit="MPa"),
    Property(key="layers_stood", words="layers stood", unit="layers"),
)


@dataclass(frozen=True, kw_only=True)
class Point:
    """One batch on a trend. `around`: 80 %, bench unit, None where readings only say above or below `end`."""

    batch: Batch
    around: Range | None
    end: float | None
    kind: Kind
    readings: int
    changed: tuple[str, ...]


def followed(key: str) -> Property:
    """Raises Problem for a property that is not followed."""
    found = next((one for one in FOLLOWED if one.key == key), None)
    if found is None:
        raise Problem(f"slake follows no “{key[:40]}”: choose one of {', '.join(one.words for one in FOLLOWED)}")
    return found


def trend(of: Property) -> tuple[Point, ...]:
    """The last batches with a reading of this property, in the order mixed, each with what changed since the one
    before: those whose day was told by it, those typed in without one first, by number. Struck ones are left out.
    """
    rows = _readings(of)
    batches = list(dict.fromkeys(row.batch_id for row in rows))[:MOST_BATCHES]
    by_batch: dict[int, list[Reading]] = {number: [] for number in batches}
    for row in reversed(rows):
        if row.batch_id in by_batch:
            by_batch[row.batch_id].append(row)
    fetched = Batch.objects.filter(pk__in=batches).select_related("machine")
    fetched = fetched.prefetch_related("amounts__lot", "weighings__strike")
    fetched = fetched.annotate(day=Case(When(since_told=True, then="since")))
    points: list[Point] = []
    before: Batch | None = None
    for batch in fetched.order_by("since_told", "day", "number"):
        point = _point(of, batch, by_batch[batch.pk], before)
        if point is not None:
            points.append(point)
            before = batch
    return tuple(points)


def _readings(of: Property) -> list[Reading]:
    """The newest readings that stand, of every test whose evidence is of this property."""
    tests = [test.id for test in all_tests().values() if test.informs == of.key]
    rows = Reading.objects.filter(test__in=tests, batch__isnull=False, strike__isnull=True)
    rows = rows.exclude(batch__in=struck_batches())
    rows = rows.select_related("batch__machine", "batch__recipe", "instrument").order_by("-at", "-id")
    return [row for row in rows[:MOST_READINGS] if not says_nothing_yet(row)]


def _point(of: Property, batch: Batch, rows: Sequence[Reading], before: Batch | None) -> Point | None:
    looks = [look for row in _as_it_became(batch, rows) if (look := _look(row)) is not None]
    if not looks:
        return None
    group = min(at_comparable_age(looks), key=_far_from_usual)
    found = together(group)
    evidence: Evidence = group[-1].evidence
    side = evidence.low if evidence.low is not None else evidence.high
    return Point(
        batch=batch,
        around=None if found.range80 is None else _in_unit(found.range80, of.unit),
        end=None if side is None else from_si(side, of.unit),
        kind=Kind.EXACT if found.range80 is not None else evidence.kind,
        readings=len(group),
        changed=changed_since(before, batch) if before is not None else (),
    )


def _as_it_became(batch: Batch, rows: Sequence[Reading]) -> Sequence[Reading]:
    """Readings since the last pour: those before it are of another paste, and count where there are no others."""
    last = max((row.at for row in standing(batch, "weighings") if row.grams > 0), default=None)
    return [row for row in rows if last is None or row.at >= last] or rows


def _look(row: Reading) -> Look | None:
    try:
        test: BenchTest = test_of(row)
        look = Look(called=test.title, test=test, raw=raw_of(row), context=context_of(row))
        return look if look.evidence.informs else None
    except Problem:
        return None


def _far_from_usual(group: Sequence[Look]) -> float:
    ages = [look.context.age_s for look in group if look.context.age_s]
    if not ages:
        return math.inf
    return abs(math.log(from_si(sum(ages) / len(ages), "min") / USUAL_AGE_MIN))


def _in_unit(found: Range, unit: str) -> Range:
    low, mid, high = (from_si(side, unit) for side in (found.low, found.mid, found.high))
    return Range(low=low, mid=mid, high=high)


def changed_since(before: Batch, batch: Batch) -> tuple[str, ...]:
    """New lots of an ingredient that the batch before had another lot of, and a changed machine."""
    was, now = _lots(before), _lots(batch)
    lots = [f"{', '.join(sorted(now[key]))}" for key in now if key in was and now[key] != was[key]]
    moved = before.machine_id is not None and batch.machine_id is not None and before.machine_id != batch.machine_id
    machine = [_machine_words(batch)] if moved else []
    return (*lots, *machine)


def _lots(batch: Batch) -> Mapping[str, set[str]]:
    """Ingredient -> the lots of it in this batch."""
    found: dict[str, set[str]] = {}
    for row in batch.amounts.all():
        if row.lot is not None:
            found.setdefault(ingredient_of(row.lot).key, set()).add(row.lot.name)
    return found


def _machine_words(batch: Batch) -> str:
    machine = batch.machine
    assert machine is not None
    return machine.changed or f"nozzle {machine.nozzle_mm:g} mm"
