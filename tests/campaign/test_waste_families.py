"""Every family of made-up wastes keeps to one interface, owes slake nothing and can be met by a few recipes."""

from __future__ import annotations

import ast
from pathlib import Path

import numpy as np
import pytest

from benchmarks.campaigns.families import PLACE, broken, holds, known, named, passes

FAMILIES = ("kitchen", "toys")
ROLES = {"filler", "thickener", "binder", "plasticiser", "liquid"}
MAY_IMPORT = {"__future__", "collections", "dataclasses", "math", "typing", "numpy"}
WORDS = (
    "too runny",
    "puddled",
    "stalled",
    "would not extrude",
    "clogged",
    "tore",
    "kept oozing",
    "fell at layer",
    "good",
)
SEED = 2026


def some(waste, count, seed=3):
    """Recipes within the bounds, by throwing away what does not sum to one."""
    rng, low, high = np.random.default_rng(seed), *np.array([waste.bounds[n] for n in waste.names]).T
    free = int(np.argmax(high - low))
    rows = np.zeros((0, len(low)))
    while len(rows) < count:
        tried = rng.uniform(low, high, (20_000, len(low)))
        tried[:, free] = 1 - np.delete(tried, free, axis=1).sum(axis=1)
        rows = np.concatenate([rows, tried[(tried[:, free] >= low[free]) & (tried[:, free] <= high[free])]])
    return rows[:count]


def test_the_families_are_found():
    assert set(FAMILIES) <= set(known())


@pytest.mark.parametrize("name", known())
def test_a_family_imports_nothing_of_slake(name):
    for file in (PLACE / name).rglob("*.py"):
        for node in ast.walk(ast.parse(Path(file).read_text())):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.level == 0:
                names = [node.module or ""]
            assert {n.split(".")[0] for n in names} <= MAY_IMPORT, file.name


@pytest.mark.parametrize("number", range(6))
@pytest.mark.parametrize("name", FAMILIES)
def test_a_waste_says_what_a_kitchen_knows(name, number):
    waste = named(name).draw(number, SEED)
    assert 4 <= len(waste.names) <= 6 and waste.names[-1] == "water"
    assert {waste.roles[n] for n in waste.names} <= ROLES and waste.roles["water"] == "liquid"
    assert all(waste.kitchen[n] for n in waste.names)
    assert 4 <= len(waste.brief) <= 8 or (name == "kitchen" and len(waste.brief) == 3)
    for told in (waste.told_moisture, waste.told_demand, waste.told_grain_um):
        assert set(told) == set(waste.names) - {"water"}
    assert waste.force_limit_n > 0 and waste.nozzle_mm > 0 and waste.cap_layers >= waste.object_layers


@pytest.mark.parametrize("number", range(6))
@pytest.mark.parametrize("name", FAMILIES)
def test_few_recipes_meet_the_brief_of_a_waste_of_its_next_lot_and_of_its_relative(name, number):
    family = named(name)
    waste = family.draw(number, SEED)
    for made in (waste, family.another_lot(waste, 1), family.kin(waste, 1)):
        share = passes(family, made, some(made, 20_000)).mean()
        assert 0.0022 <= share <= 0.034  # asked: 0.003 to 0.03; this is another sample of 20,000


@pytest.mark.parametrize("name", FAMILIES)
def test_the_next_lot_keeps_the_book_and_moves_the_paste(name):
    family = named(name)
    waste = family.draw(1, SEED)
    lot = family.another_lot(waste, 1)
    assert (lot.names, lot.bounds, lot.brief, lot.kitchen) == (waste.names, waste.bounds, waste.brief, waste.kitchen)
    rows = some(waste, 200)
    moved = np.log(family.truth(lot, rows)["cone_depth_mm"] / family.truth(waste, rows)["cone_depth_mm"])
    assert 0.01 < np.median(np.abs(moved)) < 0.7
    fillers = [n for n in waste.names if waste.roles[n] == "filler"]
    assert all(lot.told_moisture[n] is not None and lot.told_demand[n] is not None for n in fillers)


@pytest.mark.parametrize("name", FAMILIES)
def test_a_relative_has_the_same_kitchen_and_its_own_habits(name):
    family = named(name)
    waste = family.draw(2, SEED)
    near = family.kin(waste, 1)
    assert (near.names, near.roles, near.kitchen) == (waste.names, waste.roles, waste.kitchen)
    assert near.habits != waste.habits and near.bounds != waste.bounds
    assert family.kin(waste, 1).habits == near.habits and family.kin(waste, 2).habits != near.habits


@pytest.mark.parametrize("name", FAMILIES)
def test_batches_are_written_as_a_kitchen_would(name):
    family = named(name)
    readings = batches = 0
    for number in range(4):
        waste = family.draw(number, SEED)
        rng = np.random.default_rng(number)
        for row in some(waste, 40):
            mixed = family.mix(waste, row, rng)
            batches += 1
            readings += len(mixed.readings)
            assert abs(sum(mixed.fractions.values()) - 1) < 0.005
            assert mixed.outcome.startswith(WORDS)
            if mixed.outcome in ("stalled", "clogged", "puddled"):
                assert not {"layers_stood", "crack_grade", "shrinkage_percent", "strength_mpa"} & set(mixed.readings)
            assert all(np.isfinite(value) and minutes > 0 for value, minutes in mixed.readings.values())
    assert 1 < readings / batches < 6


def test_a_line_of_the_brief_that_is_broken_is_named():
    family = named("toys")
    waste = family.draw(0, SEED)
    rows = some(waste, 3000)
    fine = passes(family, waste, rows)
    assert fine.any() and broken(family, waste, rows[fine][0]) == []
    for row in rows[~fine][:20]:
        lines = broken(family, waste, row)
        true = family.truth(waste, row[None, :])
        assert lines and all(not holds(true, {n: waste.brief[n]})[0] for n in lines)
