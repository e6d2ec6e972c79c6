"""Every chance of the verdict against plain draws written here in nothing but numpy: 20 pastes, 100,000 draws each."""

from __future__ import annotations

import time

import numpy as np
import pytest

from slake.campaign.verdict import Question, judge
from slake.campaign.verdict.draws import COUNT, MOST, enough
from slake.campaign.verdict.spread import Spread
from tests.campaign.pastes_at_random import question

DRAWS = 100_000
G, ATM = 9.81, 101325.0


def some(rng: np.random.Generator, spread: Spread) -> np.ndarray:
    return spread.mid * np.exp(spread.sd_log * rng.standard_normal(DRAWS))


def sticking_stress(added: np.ndarray, rate: np.ndarray, n: np.ndarray) -> np.ndarray:
    """Wall over yield stress of a no-slip Herschel-Bulkley tube, by Newton's rule on the printed formula."""
    wanted = np.log(rate)
    x = np.log(added) + n * (wanted + np.log((3 * n + 1) / n))
    for _ in range(30):
        value, slope = speed_of(x, added, n), 1e-6
        x = x - np.clip((value - wanted) * slope / (speed_of(x + slope, added, n) - value), -1, 1)
    return 1 + np.exp(x)


def speed_of(x: np.ndarray, added: np.ndarray, n: np.ndarray) -> np.ndarray:
    wall = 1 + np.exp(x)
    phi = 1 / wall
    square = (1 - phi) ** 2 / (3 * n + 1) + 2 * phi * (1 - phi) / (2 * n + 1) + phi**2 / (n + 1)
    return np.log(n) + (1 + 1 / n) * (x - np.log(wall)) + np.log(wall / added) / n + np.log(square)


def per_pascal(asked: Question, w: np.ndarray, at: dict[str, np.ndarray]) -> np.ndarray:
    d0, d = asked.press.barrel.barrel_m, asked.press.barrel.nozzle_m
    land, fill, v = at["land"], at["fill"], at["speed"]
    entry = np.exp(w[3])
    if asked.law.title == "benbow":
        factor = 1 + np.exp(w[5]) * (v / 0.02) ** np.exp(w[6])
        wall = np.exp(w[4])
        return factor * (2 * entry * np.log(d0 / d) + 4 * wall * (land / d + fill / d0))
    n, kappa = np.exp(w[5]), np.exp(w[4])
    nozzle = sticking_stress(kappa / 20**n, 2 * v / d, n)
    barrel = sticking_stress(kappa / 20**n, 2 * v * (d / d0) ** 2 / d0, n)
    return 2 * entry * nozzle * np.log(d0 / d) + 4 * nozzle * land / d + 4 * barrel * fill / d0


def plain(asked: Question, rng: np.random.Generator) -> dict[str, float]:
    paste, press, plan = asked.paste, asked.press, asked.plan
    mean, root = np.array(asked.law.mean), np.array(asked.law.root)
    w = mean[:, None] + root @ rng.standard_normal((len(mean), DRAWS))
    at = {
        "land": some(rng, press.lengths.land_m),
        "fill": some(rng, press.lengths.fill_m),
        "speed": some(rng, press.lengths.speed_m_s),
    }
    cone, ring, own = np.exp(w[0]), np.exp(w[1]), np.exp(w[2])
    area = np.pi * press.barrel.barrel_m**2 / 4
    pressure = per_pascal(asked, w, at)
    have, rate = some(rng, press.force_n), some(rng, paste.stiffening_per_s)
    stress = some(rng, paste.yield_stress_pa) * np.exp(rate * plan.wait_s)
    need = ring + area * pressure * stress * cone * own
    kept = np.ones(DRAWS, dtype=bool)
    for tried in press.tried:
        other = some(rng, tried.yield_stress_pa) * np.exp(0.2 * rng.standard_normal(DRAWS))
        ran = ring + area * pressure * other * cone <= have
        kept &= ran if tried.pushed else ~ran
    lasts = np.log(np.maximum(have - ring, 1e-9) / (need - ring)) / rate
    flow = at["speed"] * np.pi * press.barrel.nozzle_m**2 / 4
    needs_s = (area * at["fill"] / flow if plan.print_s is None else plan.print_s) + plan.pause_s
    later, rho = stress * np.exp(rate * plan.pause_s), some(rng, paste.density_kg_m3)
    stiff = some(rng, paste.modulus_per_yield) * later * (1 if paste.modulus_on_reading else cone)
    folds = (7.837347 * stiff * plan.wall.wall_m**2 / (12 * rho * G)) ** (1 / 3)
    holds = {
        "force": need <= have,
        "time": lasts >= needs_s,
        "foot": np.sqrt(3) * later * cone / (rho * G) >= plan.wall.height_m,
        "fold": folds >= plan.wall.height_m,
        "grains": some(rng, paste.largest_grain_m) <= press.barrel.nozzle_m / 5,
        "fibres": some(rng, paste.longest_fibre_m) <= press.barrel.nozzle_m / 3,
        "bleed": some(rng, paste.bleed) <= 0.02,
        "air": some(rng, paste.air_fraction) <= 0.03,
    }
    found = {name: float(hold[kept].mean()) for name, hold in holds.items()}
    starts = holds["force"] & kept
    found["time"] = float(holds["time"][starts].mean()) if starts.sum() else 0.0
    found["all"] = float(np.logical_and.reduce(list(holds.values()))[kept].mean())
    found["kept"] = float(kept.mean())
    return found


FEW_LEFT = 103
"""A paste of which 12 % of the draws go with what was tried."""


@pytest.mark.parametrize("seed", [*range(20), FEW_LEFT])
def test_every_chance_is_within_three_points_of_plain_draws(seed: int) -> None:
    asked = question(seed)
    said, wanted = judge(asked), plain(asked, np.random.default_rng(900 + seed))
    assert wanted["kept"] > 0.005, "this paste tells nothing: too few draws go with what was tried"
    off = {line.name: (line.chance, wanted[line.name]) for line in said.lines if line.chance is not None}
    off["all"] = (said.chance, wanted["all"])
    assert len(off) >= 8
    assert {name: pair for name, pair in off.items() if abs(pair[0] - pair[1]) > 0.03} == {}


def test_where_few_draws_are_left_there_are_more_of_them() -> None:
    """Then chances are as good as elsewhere: a point, not three."""
    asked = question(FEW_LEFT)
    assert enough(asked) == MOST > enough(question(0)) == COUNT
    said, wanted = judge(asked), plain(asked, np.random.default_rng(7))
    assert wanted["kept"] < 0.15
    off = {line.name: abs(line.chance - wanted[line.name]) for line in said.lines if line.chance is not None}
    assert max(off.values()) < 0.015, off


def test_the_random_pastes_differ_enough_to_tell() -> None:
    """Both laws, with and without what was tried, and chances from low to high."""
    asked = [question(seed) for seed in range(20)]
    chances = [judge(one).line("force").chance for one in asked]
    assert {one.law.title for one in asked} == {"benbow", "herschel"}
    assert any(one.press.tried for one in asked) and not all(one.press.tried for one in asked)
    assert min(chances) < 0.4 and max(chances) > 0.7


def test_the_same_question_has_the_same_verdict_at_once() -> None:
    start = time.perf_counter()
    assert judge(question(1)) == judge(question(1))
    assert time.perf_counter() - start < 1
