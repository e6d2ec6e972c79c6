"""The peers' shared parts: the region of recipes, notes of a bench as columns, the mixture design's fit."""

from __future__ import annotations

import ast

import numpy as np
import pytest
from scipy.stats import norm

from benchmarks.campaigns.families import PLACE
from benchmarks.peers import blending
from benchmarks.peers.climb import best_recipe
from benchmarks.peers.notes import log_within, notes_of, off_scale, on_scale, window
from benchmarks.peers.region import Region

PROBLEM = {
    "names": ["shell", "gum", "water"],
    "bounds": {"shell": [0.5, 0.8], "gum": [0.002, 0.02], "water": [0.19, 0.45]},
    "brief": {"cone_depth_mm": [12.0, 16.0], "layers_stood": [30.0, None], "crack_grade": [None, 1.0]},
    "cap_layers": 60,
}
REGION = Region([0.5, 0.002, 0.19], [0.8, 0.02, 0.45])


def batch(shell, gum, outcome="good", **readings):
    fractions = {"shell": shell, "gum": gum, "water": 1 - shell - gum}
    return {"fractions": fractions, "outcome": outcome, "readings": readings, "reached_cap": False}


def test_peers_import_nothing_of_slake():
    for file in (PLACE.parent / "peers").glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text())):
            found = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            found += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert not any(n.split(".")[0] == "slake" or "families" in n or "campaigns" in n for n in found), file.name


def test_recipes_spread_evenly_over_the_region():
    rows = REGION.spread(20_000, np.random.default_rng(1))
    assert np.allclose(rows.sum(axis=1), 1) and ((rows >= REGION.low - 1e-9) & (rows <= REGION.high + 1e-9)).all()
    rng, kept = np.random.default_rng(2), []
    for _ in range(20):  # by throwing away what breaks a bound: slow and surely even
        free = rng.uniform(REGION.low[:2], REGION.high[:2], (4000, 2))
        water = 1 - free.sum(axis=1)
        kept.append(free[(water >= 0.19) & (water <= 0.45)])
    even = np.concatenate(kept)
    for part in range(2):
        for at in (0.25, 0.5, 0.75):
            assert abs(np.mean(rows[:, part] <= np.quantile(even[:, part], at)) - at) < 0.02


def test_extreme_vertices_of_a_region_worked_out_by_hand():
    """Least gum: water ends at 0.45, or at 0.198 where shell is full. Most gum: water at both its ends. Full shell with
    least water leaves 0.01 of gum.
    """
    by_hand = {(0.548, 0.002), (0.8, 0.002), (0.79, 0.02), (0.53, 0.02), (0.8, 0.01)}
    assert {(round(v[0], 3), round(v[1], 3)) for v in REGION.vertices()} == by_hand


def test_a_start_fills_the_region_better_than_chance():
    rng = np.random.default_rng(3)

    def nearest(rows):
        place = REGION.scaled(rows)
        gaps = np.linalg.norm(place[:, None] - place[None], axis=2)
        return gaps[~np.eye(len(rows), dtype=bool)].min()

    assert nearest(REGION.filling(8, rng)) > 3 * np.median([nearest(REGION.spread(8, rng)) for _ in range(50)])


def test_recipes_near_others_stay_in_the_region_and_tried_ones_are_left_out():
    rng = np.random.default_rng(4)
    rows = REGION.near(REGION.spread(5, rng), 400, 0.05, rng)
    assert np.allclose(rows.sum(axis=1), 1) and ((rows >= REGION.low - 1e-9) & (rows <= REGION.high + 1e-9)).all()
    assert len(REGION.fresh(rows, rows[:1])) < len(rows)


def test_notes_read_logs_grades_falls_and_what_never_printed():
    notes = notes_of(
        PROBLEM,
        [
            batch(0.6, 0.01, cone_depth_mm=14.0, crack_grade=2.0),
            batch(0.7, 0.01, "stalled", cone_depth_mm=6.0),
            batch(0.62, 0.01, "fell at layer 12"),
        ],
    )
    assert notes.printed.tolist() == [True, False, True]
    assert notes.columns["cone_depth_mm"][:2] == pytest.approx(np.log([14.0, 6.0]))
    assert notes.columns["crack_grade"][0] == 2.0 and np.isnan(notes.columns["crack_grade"][1])
    assert notes.columns["layers_stood"][2] == pytest.approx(np.log(12))
    assert len(notes.taken("cone_depth_mm")[1]) == 2
    assert off_scale("cone_depth_mm", on_scale("cone_depth_mm", 14.0)) == pytest.approx(14.0)
    assert window("crack_grade", (None, 1.0)) == (-np.inf, 1.5)
    assert window("layers_stood", (30.0, None)) == pytest.approx((np.log(30), np.inf))


@pytest.mark.parametrize("ends", [(-1.0, 2.0), (3.0, 4.0), (-np.inf, 0.5), (0.5, np.inf), (-4.0, -3.0)])
def test_the_log_chance_of_a_window_is_the_normal_one(ends):
    mean, sd = np.array([0.0, 1.0, -2.0]), np.array([1.0, 0.5, 2.0])
    plain = norm.cdf((ends[1] - mean) / sd) - norm.cdf((ends[0] - mean) / sd)
    assert log_within(mean, sd, ends) == pytest.approx(np.log(plain), rel=1e-6)


def test_the_log_chance_has_a_slope_far_out():
    far = log_within(np.array([50.0, 60.0, -50.0, -60.0]), np.ones(4), (-1.0, 1.0))
    assert np.isfinite(far).all() and far[0] > far[1] and far[2] > far[3]


def test_a_blend_finds_a_quadratic_again_and_its_ranges_hold():
    rng = np.random.default_rng(5)
    rows = REGION.scaled(REGION.spread(40, rng))
    true = 2.0 * rows[:, 0] - rows[:, 1] + 3.0 * rows[:, 0] * rows[:, 2]
    fit = blending.Blend(rows, true + rng.normal(0, 0.05, 40))
    new = REGION.scaled(REGION.spread(400, rng))
    wanted = 2.0 * new[:, 0] - new[:, 1] + 3.0 * new[:, 0] * new[:, 2]
    mean, sd = fit.mean_sd(new)
    assert np.sqrt(np.mean((mean - wanted) ** 2)) < 0.05
    inside = np.abs(wanted + rng.normal(0, 0.05, 400) - mean) < 1.2816 * sd
    assert 0.7 < inside.mean() < 0.95


def test_the_mixture_design_goes_where_its_lines_hold():
    """Cone and layers linear in shell alone: the window of the brief is at 0.65 to 0.68 of shell."""
    rng = np.random.default_rng(6)
    rows = REGION.filling(10, rng)
    batches = [
        batch(x[0], x[1], cone_depth_mm=14.0 * np.exp(8 * (0.665 - x[0])), layers_stood=40.0, crack_grade=1.0)
        for x in rows
    ]
    notes = notes_of(PROBLEM, batches)
    found = blending.suggest(notes, rng, rows[:5])
    assert 0.645 <= found[0] <= 0.685


def test_the_best_of_a_known_score_is_found():
    notes = notes_of(PROBLEM, [batch(0.6, 0.01)])
    aim = np.array([0.7, 0.012, 0.288])
    found = best_recipe(
        notes, lambda rows: -((REGION.scaled(rows) - REGION.scaled(aim)) ** 2).sum(axis=1), np.random.default_rng(7)
    )
    assert np.abs(REGION.scaled(found) - REGION.scaled(aim)).max() < 0.02
