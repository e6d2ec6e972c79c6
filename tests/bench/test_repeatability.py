"""Pooled repeatability against statistics by hand, another library call, and made-up repeats of known scatter."""

import math
import statistics
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import chi2

from slake.bench import fall_cone, shrinkage_bar
from slake.bench.repeatability import repeatability

ABSOLUTE = replace(shrinkage_bar.TEST, scatter_absolute=0.2, scatter_share=0.0)
BY_FACTORS = replace(fall_cone.TEST, scatter_absolute=0.0, scatter_share=0.05)


def test_pooled_by_hand():
    """(5.0, 5.4), (3.0, 3.2, 3.4): squares 0.08 + 0.08 over 1 + 2 repeats."""
    found = repeatability(ABSOLUTE, [(5.0, 5.4), (3.0, 3.2, 3.4)])
    assert found.repeats == 3 and not found.by_factors and found.moved
    assert found.sd.mid == pytest.approx(math.sqrt(0.16 / 3))
    assert found.used == pytest.approx(math.sqrt((4 * 0.04 + 0.16) / 7))
    assert found.times == pytest.approx(found.used / 0.2)


def test_one_group_has_the_standard_deviation_of_the_statistics_module():
    values = (14.1, 15.0, 13.2, 14.4, 16.0)
    assert repeatability(ABSOLUTE, [values]).sd.mid == pytest.approx(statistics.stdev(values))
    logs = [math.log(v) for v in values]
    assert repeatability(BY_FACTORS, [values]).sd.mid == pytest.approx(statistics.stdev(logs))


def test_the_range_holds_the_true_scatter_eight_times_in_ten():
    rng = np.random.default_rng(5)
    held = 0
    for _ in range(600):
        found = repeatability(ABSOLUTE, [rng.normal(5, 0.3, 2) for _ in range(6)])
        held += found.sd.low <= 0.3 <= found.sd.high
    assert 0.76 <= held / 600 <= 0.84


def test_the_range_is_that_of_chi_square():
    found = repeatability(ABSOLUTE, [(5.0, 5.4), (3.0, 3.2)])
    assert found.sd.low == pytest.approx(found.sd.mid * math.sqrt(2 / chi2.ppf(0.9, 2)))
    assert found.sd.high == pytest.approx(found.sd.mid * math.sqrt(2 / chi2.ppf(0.1, 2)))


def test_two_pairs_are_shown_but_move_nothing():
    found = repeatability(ABSOLUTE, [(5.0, 7.0), (3.0, 4.0)])
    assert found.sd.mid > 1 and found.used == found.declared and found.times == 1 and not found.moved


def test_many_repeats_outweigh_what_is_declared_but_not_beyond_five_times():
    rng = np.random.default_rng(6)
    assert repeatability(ABSOLUTE, [rng.normal(5, 0.4, 2) for _ in range(200)]).used == pytest.approx(0.4, rel=0.15)
    assert repeatability(ABSOLUTE, [rng.normal(5, 9, 2) for _ in range(200)]).times == pytest.approx(5)
    assert repeatability(ABSOLUTE, [(5.0, 5.0)] * 200).times == pytest.approx(0.2)


def test_nothing_read_twice_says_nothing():
    assert repeatability(ABSOLUTE, [(5.0,), ()]) is None


def test_zero_is_never_taken_by_factors():
    found = repeatability(BY_FACTORS, [(0.0, 1.0), (2.0, 2.5)])
    assert not found.by_factors and math.isfinite(found.sd.mid)
