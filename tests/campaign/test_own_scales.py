"""What a property's own readings say of its remainder: planted truths, and the slope against differences."""

from __future__ import annotations

import numpy as np
import pytest

from slake.campaign.own_scales import Case, _climbed, _evidence, learned
from slake.campaign.scales import USUAL


def case(count=60, scatter=0.1, seed=3, slip=0.0, known=False):
    """Readings of a law that bends over the first of three directions, runs straight over the second, and does not
    know the third.
    """
    rng = np.random.default_rng(seed)
    places = rng.normal(size=(count, 3))
    gap = np.sin(2.0 * places[:, 0]) + 0.4 * places[:, 1] + rng.normal(0, scatter, count)
    gap[0] += slip
    return Case(
        gap=gap,
        rest=np.full((count, count), 1.0),
        places=places,
        same=np.eye(count),
        scatter=np.full(count, 0.3),
        expected=(1.0, 0.37, 0.2),
        known=known,
    )


def test_a_direction_that_does_nothing_reaches_far_and_one_that_bends_does_not():
    scales = learned(USUAL, "glow", (0.3, 0.1), case(), True)
    bends, straight, nothing = scales.reach["glow"].per_length[0]
    assert bends > 3 * nothing and bends > straight
    assert sum(scales.reach["glow"].weights) == pytest.approx(1.0)
    assert scales.reach["glow"].by_shares


@pytest.mark.parametrize("scatter", [0.05, 0.2])
def test_scatter_and_own_misfit_together_are_what_was_planted(scatter):
    scales = learned(USUAL, "glow", (0.3, 0.1), case(120, scatter), True)
    own, read = scales.of("glow")[1] * 0.1, scales.reading_of("glow") * 0.3
    assert np.hypot(own, read) == pytest.approx(scatter, rel=0.35)


def test_one_slip_among_many_does_not_widen_the_scatter():
    clean, slipped = (learned(USUAL, "glow", (0.3, 0.1), case(slip=slip), True) for slip in (0.0, 8.0))
    assert slipped.of("glow")[1] < 1.5 * clean.of("glow")[1]
    assert _climbed(case(slip=8.0))[1] == 0


def test_what_slake_expects_keeps_its_declared_scatter():
    scales = learned(USUAL, "shrinkage", (0.3, 0.1), case(known=True), False)
    assert scales.reading_of("shrinkage") == 1.0
    assert not scales.reach["shrinkage"].by_shares


def test_the_slope_is_that_of_the_evidence():
    mine = case(30)
    squares = (mine.places[:, None, :] - mine.places[None, :, :]) ** 2
    fixed = (squares, np.exp(-0.5 * squares.sum(2) / 100.0))
    logs = np.array([0.3, 0.8, 1.1, -0.2, -0.8, -1.3, -2.0, -0.7])
    _, slope, _ = _evidence(mine, fixed, logs)
    for i in range(len(logs)):
        step = np.zeros(len(logs))
        step[i] = 1e-5
        up, down = (_evidence(mine, fixed, logs + way * step)[0] for way in (1, -1))
        assert slope[i] == pytest.approx((up - down) / 2e-5, rel=1e-4, abs=1e-5)


def test_how_far_a_reading_lies_from_all_others_is_what_leaving_it_out_says():
    mine, logs = case(25), np.array([0.3, 0.8, 1.1, -0.2, -0.8, -1.3, -2.0, -0.7])
    squares = (mine.places[:, None, :] - mine.places[None, :, :]) ** 2
    straight = np.exp(-0.5 * squares.sum(2) / 100.0)
    size, rough, line, own, read = np.exp(2 * logs[-5:])
    near = np.exp(-0.5 * squares @ np.exp(-2 * logs[:3]))
    noise = np.diag(own + read * mine.scatter**2)
    cov = mine.rest + size * near + rough * near**9 + 100 * line * straight + noise
    rest = np.arange(1, 25)
    weights = np.linalg.solve(cov[np.ix_(rest, rest)], cov[rest, 0])
    z = (mine.gap[0] - weights @ mine.gap[rest]) / np.sqrt(cov[0, 0] - weights @ cov[rest, 0])
    assert _evidence(mine, (squares, straight), logs)[2][0] == pytest.approx(z)
