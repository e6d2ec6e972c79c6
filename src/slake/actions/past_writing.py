"""Many batches of the past written at once, inside somebody's transaction."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from slake.bench.declaration import BenchTest, Scalar
from slake.campaign.past.rows import MixRow, ReadOff
from slake.records.checks import LONGEST_NAME
from slake.records.models import Amount, Batch, Lot, Machine, Outcome, Reading, Recipe

from .entry import Entry
from .mixing import next_number
from .past_lots import Planned, made_lots


@dataclass(frozen=True, kw_only=True)
class Worked:
    """A row with its lots and recipe, all by the planned lot's key; water stands apart."""

    row: MixRow
    since: datetime | None
    lots: Mapping[str, Planned]
    amounts: Mapping[str, float]
    parts: Mapping[str, float]
    water_per_dry: float


def keep_worked(entry: Entry, sheet_name: str, worked: Sequence[Worked]) -> tuple[int, int]:
    """Lots, recipes, batches and what happened to them; the numbers of the first and last batch (last below first
    where there was nothing to write).
    """
    first = next_number()
    if not worked:
        return first, first - 1
    lots = made_lots(entry, (planned for one in worked for planned in one.lots.values()))
    recipes = _recipes(entry, sheet_name, worked, lots)
    machines = _Machines()
    batches = Batch.objects.bulk_create(
        _batch(entry, first + n, one, recipe, machines.of(one.row.nozzle_mm))
        for n, (one, recipe) in enumerate(zip(worked, recipes, strict=True))
    )
    Amount.objects.bulk_create(
        row for batch, one in zip(batches, worked, strict=True) for row in _amounts(batch, one, lots)
    )
    _happened(entry, batches, worked)
    return first, first + len(worked) - 1


def _happened(entry: Entry, batches: Sequence[Batch], worked: Sequence[Worked]) -> None:
    """What was read of the batches, and how they ended."""
    pairs = list(zip(batches, worked, strict=True))
    Reading.objects.bulk_create(
        _reading(entry, batch, one, number) for batch, one in pairs for number in range(len(one.row.readings))
    )
    Outcome.objects.bulk_create(_outcome(entry, batch, one) for batch, one in pairs if one.row.ended)


def _recipes(entry: Entry, sheet_name: str, worked: Sequence[Worked], lots: Mapping[str, Lot]) -> list[Recipe]:
    """One recipe for each worked row; rows of the same parts and water share it."""
    named: dict[tuple[object, ...], Recipe] = {}
    keys = []
    for one in worked:
        parts = {lots[key].name: part for key, part in one.parts.items()}
        key = (*sorted((name, round(part, 12)) for name, part in parts.items()), round(one.water_per_dry, 12))
        keys.append(key)
        if key not in named:
            name = f"{sheet_name[: LONGEST_NAME - 12]} row {one.row.number}"
            named[key] = Recipe(name=name, since=one.since or entry.at, parts=parts, water_per_dry=one.water_per_dry)
    Recipe.objects.bulk_create(named.values())
    return [named[key] for key in keys]


class _Machines:
    """The machine a row was printed on: the last one, or the last with the nozzle the row names."""

    def __init__(self) -> None:
        self.all = list(Machine.objects.all())

    def of(self, nozzle_mm: float | None) -> Machine | None:
        fitting = [one for one in self.all if nozzle_mm is None or one.nozzle_mm == nozzle_mm]
        return fitting[-1] if fitting else None


def _batch(entry: Entry, number: int, one: Worked, recipe: Recipe, machine: Machine | None) -> Batch:
    row = one.row
    notes = [f"nozzle {row.nozzle_mm:g} mm"] if row.nozzle_mm is not None else []
    return Batch(
        number=number,
        recipe=recipe,
        machine=machine,
        since=one.since or entry.at,
        water_g=row.water,
        called=row.called,
        from_notebook=True,
        since_told=one.since is not None,
        typed_line=row.text,
        note="; ".join([*notes, *([row.doubt] if row.doubt else [])]),
    )


def _amounts(batch: Batch, one: Worked, lots: Mapping[str, Lot]) -> list[Amount]:
    rows = [*((lots[key], grams) for key, grams in one.amounts.items()), (None, one.row.water)]
    return [Amount(batch=batch, lot=lot, order=order, target_g=grams) for order, (lot, grams) in enumerate(rows, 1)]


def _reading(entry: Entry, batch: Batch, one: Worked, number: int) -> Reading:
    row, read = one.row, one.row.readings[number]
    return Reading(
        test=read.test.id,
        test_version=read.test.version,
        batch=batch,
        typed=_typed(read, row.number),
        age_s=row.age_s,
        at=batch.since + timedelta(seconds=row.age_s or 0.0),
        person_id=entry.person,
        entry=entry.part(f"{batch.number}r{number}"),
        headline_name=read.headline.name,
        headline_value=read.headline.value,
        headline_unit=read.headline.unit,
        headline_words=read.headline.words[:LONGEST_NAME],
    )


def _outcome(entry: Entry, batch: Batch, one: Worked) -> Outcome:
    end = entry.part(f"{batch.number}end")
    return Outcome(batch=batch, words=one.row.ended, at=batch.since, person_id=entry.person, entry=end)


def _typed(read: ReadOff, row: int) -> dict[str, object]:
    """As a form would have kept it, with the cell's own text beside it."""
    return {**read.typed, "units": _units(read.test), "from_cell": {**read.typed["from_cell"], "row": row}}


def _units(test: BenchTest) -> dict[str, str]:
    return {item.name: item.unit for item in test.inputs if isinstance(item, Scalar)}
