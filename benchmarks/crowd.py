"""Fills a bench with many made-up batches and readings, straight into its tables: only to see how pages bear it.

SLAKE_HOME=folder .venv/dev/bin/python -m benchmarks.crowd 20000 200000
"""

from __future__ import annotations

import json
import os
import random
import sys
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "slake.server.settings")
import django

django.setup()

from django.conf import settings  # noqa: E402
from django.db import transaction  # noqa: E402

from slake.actions.entry import Entry  # noqa: E402
from slake.actions.lots import take_lots  # noqa: E402
from slake.actions.setting_up import add_person, describe_machine, set_brief  # noqa: E402
from slake.records.models import (  # noqa: E402
    Action,
    Amount,
    Batch,
    Lot,
    Machine,
    Outcome,
    Person,
    Reading,
    Recipe,
    StockMove,
    Weighing,
)
from slake.server.start import bring_up  # noqa: E402

SEED = 11
BEGAN = datetime(2021, 1, 4, 9, 0, tzinfo=UTC)
LOTS_OF_EACH = 60
WASTES = ("mussel shell", "spent brewery grain", "guar", "alginate", "coffee grounds")
ENDS = ("good", "good but cracked", "too runny", "stalled", "fell at layer 14", "clogged")
CHUNK = 2000


def told(batches: int, readings: int) -> None:
    chance = random.Random(SEED)
    _set_up()
    lots = {name: list(Lot.objects.filter(name__startswith=name)) for name in WASTES}
    recipes = _recipes(batches // 4, chance)
    with transaction.atomic():
        made = _batches(batches, recipes, chance)
        _bulk(Amount, _amounts(made, lots, chance))
        _bulk(Weighing, _weighings(made, chance))
        _bulk(StockMove, _moves(lots, chance))
        _bulk(Reading, _readings(made, readings, chance))
        _bulk(Outcome, _outcomes(made, chance))
        _bulk(Action, _actions(made))


def _set_up() -> None:
    bring_up(settings.HOME, datetime.now(UTC), lambda said: None)
    entry = (Entry(id=f"crowd{n}", at=BEGAN) for n in range(10_000))
    add_person(next(entry), "A. Nobody")
    for name in WASTES:
        for first in range(0, LOTS_OF_EACH, 30):
            numbers = range(first, min(first + 30, LOTS_OF_EACH))
            rows = [{"ingredient": name, "name": f"{name} {n}", "dried": "yes", "grams": "5000"} for n in numbers]
            take_lots(next(entry), rows)
    for nozzle in ("2", "3"):
        describe_machine(next(entry), {"nozzle_mm": nozzle, "barrel_mm": "60", "name": "ram"})
    set_brief(next(entry), {"cone_depth_mm": ("10", "15"), "crack_grade": ("", "1"), "layers_stood": ("30", "")})


def _bulk(model: type, rows: Iterator[object]) -> None:
    chunk: list[object] = []
    for row in rows:
        chunk.append(row)
        if len(chunk) == CHUNK:
            model.objects.bulk_create(chunk)
            chunk = []
    model.objects.bulk_create(chunk)


def _recipes(count: int, chance: random.Random) -> Sequence[Recipe]:
    rows = []
    for n in range(max(count, 1)):
        lot = n * LOTS_OF_EACH // max(count, 1)
        gum, bind = chance.uniform(0.01, 0.03), chance.uniform(0.01, 0.04)
        parts = {f"mussel shell {lot}": 0.8 - gum - bind, f"spent brewery grain {lot}": 0.2, f"guar {lot}": gum}
        parts = {**parts, f"alginate {lot}": bind}
        water = chance.uniform(0.4, 0.8)
        rows.append(Recipe(name=f"recipe {n}", since=BEGAN, parts=parts, water_per_dry=water))
    return Recipe.objects.bulk_create(rows, batch_size=CHUNK)


def _batches(count: int, recipes: Sequence[Recipe], chance: random.Random) -> Sequence[Batch]:
    machines = list(Machine.objects.all())
    rows = []
    for n in range(count):
        at = BEGAN + timedelta(hours=2 * n)
        recipe = recipes[n * len(recipes) // count]
        rows.append(
            Batch(
                number=n + 1,
                recipe=recipe,
                machine=machines[n * len(machines) // count],
                since=at,
                first_water_at=at,
                temperature_c=chance.uniform(15, 25),
                humidity_percent=chance.uniform(40, 70),
                water_g=300 * recipe.water_per_dry,
            )
        )
    return Batch.objects.bulk_create(rows, batch_size=CHUNK)


def _amounts(batches: Sequence[Batch], lots: dict[str, list[Lot]], chance: random.Random) -> Iterator[Amount]:
    by_name = {lot.name: lot for group in lots.values() for lot in group}
    for batch in batches:
        for order, (name, part) in enumerate(batch.recipe.parts.items(), 1):
            yield Amount(batch=batch, lot=by_name[name], order=order, target_g=300 * part)
        yield Amount(batch=batch, order=9, target_g=batch.water_g)


def _weighings(batches: Sequence[Batch], chance: random.Random) -> Iterator[Weighing]:
    for batch in batches:
        grams = round(batch.water_g + chance.uniform(-2, 2), 1)
        yield Weighing(batch=batch, grams=grams, typed=f"{grams}", at=batch.since, entry=f"w{batch.pk}")


def _moves(lots: dict[str, list[Lot]], chance: random.Random) -> Iterator[StockMove]:
    for group in lots.values():
        for lot in group[:-1]:
            yield StockMove(lot=lot, grams=-4999.5, why="weighed out", at=BEGAN, entry=f"m{lot.pk}")


def _readings(batches: Sequence[Batch], count: int, chance: random.Random) -> Iterator[Reading]:
    kinds = ("fall_cone", "fall_cone", "layers_stood", "ram_push", "crack_grade")
    for n in range(count):
        batch = batches[n * len(batches) // count]
        kind = kinds[n % len(kinds)]
        yield _reading(n, batch, kind, chance)


def _reading(n: int, batch: Batch, kind: str, chance: random.Random) -> Reading:
    minutes = chance.choice([10, 30, 60, 62, 120])
    wet = batch.recipe.water_per_dry - 0.6
    typed, name, unit, value = {
        "fall_cone": ({"cone_mass_g": "30"}, "cone_depth_mm", "mm", 14 + 15 * wet + chance.gauss(0, 0.6)),
        "layers_stood": ({"how": "fell"}, "layers_stood", "layers", float(int(max(25 - 40 * wet, 2)))),
        "ram_push": ({"ended": "ran"}, "ram_force_n", "N", max(120 - 150 * wet + chance.gauss(0, 9), 10)),
        "crack_grade": ({}, "crack_grade", "grade", float(chance.choice([0, 0, 1, 2]))),
    }[kind]
    value = round(max(value, 1.5) if kind == "fall_cone" else value, 1)
    fields = {**typed, name: f"{value:g}"}
    return Reading(
        test=kind,
        test_version=1,
        batch=batch,
        typed={"fields": fields, "rows": [], "units": {name: unit}},
        age_s=60.0 * minutes,
        at=batch.since + timedelta(minutes=minutes),
        entry=f"r{n}",
        headline_name=name,
        headline_value=value,
        headline_unit=unit,
    )


def _outcomes(batches: Sequence[Batch], chance: random.Random) -> Iterator[Outcome]:
    for batch in batches:
        at = batch.since + timedelta(hours=3)
        yield Outcome(batch=batch, words=chance.choice(ENDS), at=at, entry=f"o{batch.pk}")


def _actions(batches: Sequence[Batch]) -> Iterator[Action]:
    who = Person.objects.first()
    for batch in batches:
        inputs = {"batch": batch.pk, "words": "good"}
        row = Action(name="say outcome", person=who, entry=f"a{batch.pk}", at=batch.since, inputs=inputs, version="0")
        yield row


if __name__ == "__main__":
    told(int(sys.argv[1]), int(sys.argv[2]))
    print(json.dumps({m.__name__: m.objects.count() for m in (Lot, Recipe, Batch, Reading)}))
