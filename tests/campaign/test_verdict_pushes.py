"""The force law learnt from a machine's own pushes. The truths are made up: they check the coding, not a paste."""

from __future__ import annotations

import math

import numpy as np
import pytest

from slake.campaign.verdict.law import BENBOW_PRIOR, Runs, benbow, herschel
from slake.campaign.verdict.pushes import Push, law_from_pushes
from slake.campaign.verdict.spread import known
from slake.paste.ram import Barrel

BARREL = Barrel(barrel_m=0.03, nozzle_m=0.002)


def pushes(per_pascal, own: tuple[float, ...], speeds, rng: np.random.Generator, ring_n: float = 20.0) -> list[Push]:
    weights = np.array([[0.0], [0.0], [0.0], *([math.log(value)] for value in own)])
    found = []
    for n, speed in enumerate(speeds):
        land = (0.008, 0.02)[n % 2]
        runs = Runs(barrel=BARREL, land_m=np.array([land]), fill_m=np.array([0.1]), speed_m_s=np.array([speed]))
        pressure = float(per_pascal(weights, runs)[0]) * 800.0
        force = (pressure * BARREL.area_m2 + ring_n) * math.exp(0.05 * rng.standard_normal())
        found.append(
            Push(
                force_n=force,
                stalled=False,
                yield_stress_pa=known(800.0, 0.05),
                barrel=BARREL,
                land_m=land,
                fill_m=0.1,
                speed_m_s=speed,
                paste=1,
                own=True,
            )
        )
    return found


def predicted(law, speed: float) -> tuple[float, float]:
    """Median and sd of the log of the force at a speed, from many draws of the law's weights."""
    normals = np.random.default_rng(5).standard_normal((4000, 7))
    weights = law.weights(normals)
    n = weights.shape[1]
    runs = Runs(barrel=BARREL, land_m=np.full(n, 0.014), fill_m=np.full(n, 0.1), speed_m_s=np.full(n, speed))
    force = law.per_pascal(weights, runs) * 800 * np.exp(weights[0] + weights[2]) * BARREL.area_m2 + np.exp(weights[1])
    return float(np.median(force)), float(np.std(np.log(force)))


def test_without_pushes_practice_speaks_and_says_so():
    law = law_from_pushes([])
    assert law.title == "Benbow-Bridgwater" and "common practice" in law.why
    assert law.mean[3:] == pytest.approx([pair[0] for pair in BENBOW_PRIOR])


def test_pushes_move_the_force_to_what_was_seen_and_narrow_it():
    rng = np.random.default_rng(3)
    own = (1.9, 1.4, 0.6, 0.5)
    seen = pushes(benbow, own, [0.006, 0.012, 0.02, 0.03, 0.006, 0.03], rng)
    before, wide = predicted(law_from_pushes([]), 0.015)
    after, narrow = predicted(law_from_pushes(seen), 0.015)
    truth = predicted_truth(benbow, own, 0.015)
    assert narrow < 0.6 * wide
    assert abs(math.log(after / truth)) < abs(math.log(before / truth))
    assert abs(math.log(after / truth)) < 2 * narrow + 0.05


def predicted_truth(per_pascal, own, speed: float) -> float:
    weights = np.array([[0.0], [0.0], [0.0], *([math.log(value)] for value in own)])
    runs = Runs(barrel=BARREL, land_m=np.array([0.014]), fill_m=np.array([0.1]), speed_m_s=np.array([speed]))
    return float(per_pascal(weights, runs)[0]) * 800 * BARREL.area_m2 + 20.0


def test_one_speed_never_tries_the_second_law():
    seen = pushes(benbow, (1.7, 0.5, 1.4, 0.4), [0.02] * 4, np.random.default_rng(1))
    law = law_from_pushes(seen)
    assert law.title == "Benbow-Bridgwater" and "speeds that differ twofold" in law.why


def test_a_sticking_paste_over_a_wide_range_of_speeds_may_be_told():
    """Which law is kept is said; whichever it is, the force between the speeds seen is told within its range."""
    own = (1.7, 3.0, 0.35)
    seen = pushes(herschel, own, [0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.002], np.random.default_rng(2))
    law = law_from_pushes(seen)
    middle, sd = predicted(law, 0.03)
    assert "push" in law.why
    assert abs(math.log(middle / predicted_truth(herschel, own, 0.03))) < 2 * sd + 0.05


def test_a_stall_only_bounds_the_force_from_below():
    rng = np.random.default_rng(4)
    ran = pushes(benbow, (1.7, 0.5, 1.4, 0.4), [0.01, 0.02, 0.03], rng)
    stalled = [Push(**{**vars(push), "stalled": True, "force_n": push.force_n * 0.3}) for push in ran]
    more = [Push(**{**vars(push), "stalled": True, "force_n": push.force_n * 6.0}) for push in ran]
    usual, _ = predicted(law_from_pushes([]), 0.02)
    low, _ = predicted(law_from_pushes(stalled), 0.02)
    high, _ = predicted(law_from_pushes(more), 0.02)
    assert low == pytest.approx(usual, rel=0.25) and high > 1.5 * usual
