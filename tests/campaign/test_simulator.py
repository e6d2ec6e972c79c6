"""The made-up wastes: do they behave as pastes do, and do they owe slake nothing?

Directions are bench practice without a printed source; they test the simulator, not the trade.
"""

from __future__ import annotations

import ast
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from benchmarks.families.kitchen import (
    NAMES,
    Waste,
    draw_waste,
    feasible_share,
    meets,
    mix,
    random_recipes,
    truth,
    twenty_wastes,
)

SIMULATOR = Path(__file__).parents[2] / "benchmarks" / "families" / "kitchen"
WASTES = twenty_wastes()
FAILED_STIFF = {"would not extrude", "stalled", "clogged"}
ALL_WORDS = FAILED_STIFF | {"puddled", "too runny", "good but cracked", "good"}


def some(waste: Waste, count: int, seed: int = 5) -> np.ndarray:
    return random_recipes(waste, np.random.default_rng([seed, waste.number]), count)


def with_more(waste: Waste, recipes: np.ndarray, part: str, times: float) -> np.ndarray:
    changed = recipes.copy()
    changed[:, waste.names.index(part)] *= times
    return changed / changed.sum(axis=1, keepdims=True)


def middle(waste: Waste, count: int = 300) -> np.ndarray:
    """Recipes of ordinary consistency: neither crumbs nor soup."""
    recipes = some(waste, 4000)
    depth = truth(waste, recipes)["cone_depth_mm"]
    return recipes[(depth > 9) & (depth < 25)][:count]


def test_imports_nothing_of_slake() -> None:
    files = sorted(SIMULATOR.glob("*.py"))
    assert len(files) >= 6
    for file in files:
        for node in ast.walk(ast.parse(file.read_text())):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.level == 0:
                names = [node.module or ""]
            roots = {n.split(".")[0] for n in names}
            assert roots <= {"__future__", "collections", "dataclasses", "numpy"}, file.name


def test_twenty_wastes_of_two_families_four_to_six_parts() -> None:
    assert len(WASTES) == 20
    assert {w.family for w in WASTES} == {"grains", "felt"}
    assert min(sum(w.family == f for w in WASTES) for f in ("grains", "felt")) >= 6
    assert {len(w.names) for w in WASTES} == {4, 5, 6}
    assert sum("+" in w.kind for w in WASTES) >= 5


def test_same_seed_same_waste_other_seed_another() -> None:
    assert draw_waste(3) == draw_waste(3)
    assert draw_waste(3).habits != draw_waste(3, seed=9).habits


@pytest.mark.parametrize("waste", WASTES, ids=lambda w: f"{w.number}-{w.kind}")
def test_feasible_share_is_a_few_in_a_thousand(waste: Waste) -> None:
    share = feasible_share(waste, np.random.default_rng([99, waste.number]), 20000)
    assert 0.003 <= share <= 0.03


@pytest.mark.parametrize("waste", WASTES, ids=lambda w: f"{w.number}-{w.kind}")
def test_recipes_lie_in_bounds_and_readings_are_numbers(waste: Waste) -> None:
    recipes = some(waste, 3000)
    low, high = np.array([waste.bounds[n] for n in waste.names]).T
    assert np.allclose(recipes.sum(axis=1), 1.0)
    assert ((recipes >= low) & (recipes <= high)).all()
    readings = truth(waste, recipes)
    assert set(readings) == set(NAMES)
    for name, values in readings.items():
        assert np.isfinite(values).all() and (values >= 0).all(), name
    assert readings["layers_stood"].max() <= waste.cap_layers
    assert set(np.unique(readings["crack_grade"])) <= {0, 1, 2, 3, 4, 5}


@pytest.mark.parametrize("waste", WASTES, ids=lambda w: f"{w.number}-{w.kind}")
def test_more_water_softens(waste: Waste) -> None:
    recipes = middle(waste)
    now, wetter = truth(waste, recipes), truth(waste, with_more(waste, recipes, "water", 1.04))
    assert (wetter["cone_depth_mm"] > now["cone_depth_mm"]).all()
    assert np.median(wetter["ram_force_n"]) < np.median(now["ram_force_n"])
    assert (wetter["slump_mm"] >= now["slump_mm"]).all()


@pytest.mark.parametrize("waste", WASTES, ids=lambda w: f"{w.number}-{w.kind}")
def test_more_water_shrinks_more(waste: Waste) -> None:
    recipes = middle(waste)
    now, wetter = truth(waste, recipes), truth(waste, with_more(waste, recipes, "water", 1.06))
    assert wetter["shrinkage_percent"].mean() >= now["shrinkage_percent"].mean()


def test_gum_stiffens_as_it_hydrates() -> None:
    for waste in WASTES:
        recipes = middle(waste, 50)
        young, old = (truth(waste, recipes, m)["cone_depth_mm"] for m in (10.0, 120.0))
        assert (old < young).all()


def test_some_gum_in_the_water_lowers_springback_of_a_springy_powder() -> None:
    for waste in (w for w in WASTES if w.kind in {"grain", "leaf"}):
        plain = replace(waste, gums=tuple(replace(g, stringy=0.0) for g in waste.gums))
        recipes = middle(waste)
        gum = waste.gums[0].key
        more = truth(plain, with_more(plain, recipes, gum, 1.3))["springback_percent"]
        assert (more < truth(plain, recipes)["springback_percent"]).mean() > 0.9


def ended(waste: Waste, recipe: np.ndarray) -> str:
    return mix(waste, recipe, np.random.default_rng([4, waste.number])).outcome.split(" at layer")[0]


@pytest.mark.parametrize("waste", WASTES, ids=lambda w: f"{w.number}-{w.kind}")
def test_too_soft_puddles_and_too_stiff_does_not_pass(waste: Waste) -> None:
    recipes = some(waste, 4000)
    depth = truth(waste, recipes)["cone_depth_mm"]
    soft = with_more(waste, recipes[[int(np.argmax(depth))]], "water", 1.3)[0]
    stiff = with_more(waste, recipes[[int(np.argmin(depth))]], "water", 0.8)[0]
    assert ended(waste, soft) in {"puddled", "too runny"}
    assert ended(waste, stiff) in FAILED_STIFF


def test_cellulose_shrinks_and_cracks_more_than_shell() -> None:
    def typical(kind: str, reading: str) -> float:
        return float(np.mean([truth(w, middle(w))[reading].mean() for w in WASTES if w.kind == kind]))

    for cellulose in ("grain", "leaf"):
        assert typical(cellulose, "shrinkage_percent") > 1.5 * typical("shell", "shrinkage_percent")
        assert typical(cellulose, "crack_grade") > typical("shell", "crack_grade")


def test_water_bites_harder_in_shell_than_in_cellulose() -> None:
    def change(kind: str) -> float:
        shifts = []
        for waste in (w for w in WASTES if w.kind == kind):
            recipes = middle(waste)
            wetter = recipes * np.where(np.array(waste.names) == "water", 1.0, 0.99)
            wetter[:, -1] += 1.0 - wetter.sum(axis=1)  # 1 % of the powder swapped for water
            ratio = truth(waste, wetter)["cone_depth_mm"] / truth(waste, recipes)["cone_depth_mm"]
            shifts.append(np.median(np.log(ratio)))
        return float(np.mean(shifts))

    assert change("shell") > change("leaf")


def test_batches_end_in_every_word_and_leave_readings_out() -> None:
    words, taken, batches, caps = set(), 0, 0, 0
    for waste in WASTES:
        rng = np.random.default_rng([8, waste.number])
        for recipe in some(waste, 60):
            line = mix(waste, recipe, rng)
            words.add(line.outcome.split(" at layer")[0])
            taken += len(line.readings)
            batches += 1
            caps += line.reached_cap
            assert abs(sum(line.fractions.values()) - 1.0) < 0.005
            if line.outcome in FAILED_STIFF:
                assert not {"layers_stood", "strength_mpa", "shrinkage_percent"} & set(line.readings)
    assert words == ALL_WORDS | {"fell"}
    assert 1.0 < taken / batches < 0.8 * len(NAMES)
    assert caps > 0


def test_too_runny_is_said_of_soft_pastes_only() -> None:
    for waste in WASTES:
        rng = np.random.default_rng([21, waste.number])
        recipes = some(waste, 150)
        depths = truth(waste, recipes)["cone_depth_mm"]
        soft = {"puddled", "too runny"}
        of_soft = [d for d, r in zip(depths, recipes, strict=True) if mix(waste, r, rng).outcome in soft]
        assert min(of_soft, default=99) > 17.0


def test_what_falls_fell_short_of_the_brief() -> None:
    for waste in WASTES:
        rng = np.random.default_rng([22, waste.number])
        asked = waste.brief["layers_stood"][0]
        for recipe in some(waste, 60):
            line = mix(waste, recipe, rng)
            if line.outcome.startswith("fell at layer"):
                assert int(line.outcome.split()[-1]) < asked
            elif line.outcome == "good" and "layers_stood" in line.readings:
                assert line.readings["layers_stood"][0] >= asked


def test_a_kitchen_repeats_itself_only_roughly() -> None:
    waste = WASTES[0]
    rng = np.random.default_rng(1)
    recipe = middle(waste)[0]
    lines = [mix(waste, recipe, rng).readings for _ in range(60)]
    depths = [read["cone_depth_mm"][0] for read in lines if "cone_depth_mm" in read]
    true = truth(waste, recipe[None, :])["cone_depth_mm"][0]
    assert 0.01 < np.std(depths) / true < 0.35
    assert abs(np.median(depths) / true - 1.0) < 0.2


def test_a_brief_counts_every_line() -> None:
    readings = {"cone_depth_mm": np.array([10.0, 15.0, 15.0]), "layers_stood": np.array([40.0, 40.0, 10.0])}
    brief = {"cone_depth_mm": (12.0, 18.0), "layers_stood": (30.0, None)}
    assert meets(readings, brief).tolist() == [False, True, False]


def test_moisture_is_told_with_error_or_not_at_all() -> None:
    told = [(w.told_moisture[f.key], f.moisture) for w in WASTES for f in w.fillers]
    known = [(said, true) for said, true in told if said is not None]
    assert 0 < len(known) < len(told)
    assert all(said != true for said, true in known)
    assert all(w.told_moisture[g.key] is None for w in WASTES for g in w.gums)
