"""Whether ranges kept their word: shares, intervals and scores by hand, and ranges made wrong on purpose are named."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from slake.campaign.seen_word import Foretold, Word, kept_together, kept_word, share_interval
from slake.ground.evidence import Z80, Range

INF = math.inf


def foretold(value: float, around: tuple[float, float, float] = (-Z80, 0.0, Z80), batch: int = 0) -> Foretold:
    return between(value, value, around, batch)


def between(low: float, high: float, around=(-Z80, 0.0, Z80), batch: int = 0) -> Foretold:
    ends = Range(low=around[0], mid=around[1], high=around[2])
    return Foretold(batch=batch, name="x", around=ends, low=low, high=high)


def wider(one: Foretold, times: float) -> Foretold:
    low, mid, high = one.around.low, one.around.mid, one.around.high
    return replace(one, around=Range(low=mid - times * (mid - low), mid=mid, high=mid + times * (high - mid)))


def honest(count: int, seed: int = 3) -> list[Foretold]:
    """Readings of a standard normal, its own 80 % range foretold for each."""
    values = np.random.default_rng(seed).normal(size=count)
    return [foretold(float(value), batch=i) for i, value in enumerate(values)]


def test_honest_ranges_keep_their_word_halved_ones_are_too_narrow_and_tripled_ones_too_wide():
    for seed in range(5):
        readings = honest(60, seed)
        assert kept_word(readings).word is Word.KEPT
        assert kept_word([wider(one, 0.5) for one in readings]).word is Word.NARROW
        assert kept_word([wider(one, 3.0) for one in readings]).word is Word.WIDE


@pytest.mark.parametrize("times", [0.1, 1.0, 10.0])
def test_three_readings_are_too_few_to_say_whatever_they_show(times):
    found = kept_word([wider(one, times) for one in honest(3)])
    assert found.word is Word.FEW and found.count == 3


def test_nothing_read_says_nothing():
    found = kept_word([])
    assert found.word is Word.FEW and found.count == 0 and (found.share_low, found.share_high) == (0.0, 1.0)


@pytest.mark.parametrize(
    ("value", "inside", "score"),
    [(0.0, 1.0, 4.0), (2.0, 1.0, 4.0), (2.5, 0.0, 4.0 + 5.0), (-3.0, 0.0, 4.0 + 10.0)],
)
def test_the_score_is_the_width_and_ten_times_what_was_missed(value, inside, score):
    """By hand: a range from -2 to 2, two over a tail of one fifth."""
    one = foretold(value, (-2.0, 0.0, 2.0))
    assert one.inside == inside and one.score == pytest.approx(score)


def test_the_score_is_best_for_the_honest_range():
    readings = honest(4000)
    scores = {times: kept_word([wider(one, times) for one in readings]).score for times in (0.5, 1.0, 2.0)}
    assert scores[1.0] < min(scores[0.5], scores[2.0])


@pytest.mark.parametrize(
    ("low", "high", "inside"),
    [
        (-INF, INF, 0.8),  # says nothing: eight in ten of anything
        (0.0, INF, 0.8),  # the upper half, of which the top tenth of all lies outside
        (-INF, Z80, 0.8 / 0.9),
        (Z80, INF, 0.0),
        (-0.1, 0.1, 1.0),
    ],
)
def test_a_reading_that_is_no_number_counts_by_its_share_inside(low, high, inside):
    assert between(low, high).inside == pytest.approx(inside, abs=1e-9)


def test_walls_that_all_stood_neither_help_nor_hurt_honest_ranges():
    """Every reading above a cap is known only as "or more": the share stays at eight in ten."""
    values = np.random.default_rng(8).normal(size=4000)
    for cap in (-1.0, 0.0, 1.5):
        told = [between(cap, INF) if value >= cap else foretold(float(value)) for value in values]
        assert kept_word(told).share == pytest.approx(0.8, abs=0.02)
        assert kept_word([wider(one, 0.5) for one in told]).share < 0.76


def test_readings_that_say_nothing_are_too_few_however_many():
    found = kept_word([between(-5.0, INF) for _ in range(50)])
    assert found.count == 50 and found.numbers < 1 and found.word is Word.FEW


def test_whole_grades_count_as_honest_where_the_range_behind_them_is():
    """Latent values in whole steps: without counting by shares, a narrow range would be missed or held by luck."""
    rng = np.random.default_rng(5)
    found = []
    for _ in range(3000):
        mid, sd = rng.uniform(0.8, 3.5), rng.uniform(0.3, 1.0)
        grade = round(rng.normal(mid, sd))
        found.append(between(grade - 0.5, grade + 0.5, (mid - Z80 * sd, mid, mid + Z80 * sd)))
    assert kept_word(found).share == pytest.approx(0.8, abs=0.02)


def test_the_interval_of_a_share_is_that_of_the_beta_distribution():
    low, high = share_interval(0.75, 20)
    assert (low, high) == pytest.approx(stats.beta(15.5, 5.5).ppf([0.05, 0.95]))
    assert share_interval(1.0, 12)[1] == 1.0 and share_interval(0.0, 12)[0] == 0.0


def test_the_interval_of_a_share_holds_it_about_nine_times_in_ten():
    hits = np.random.default_rng(2).binomial(30, 0.8, 2000)
    held = [low <= 0.8 <= high for low, high in (share_interval(k / 30, 30) for k in hits)]
    assert 0.86 <= np.mean(held) <= 0.95


def test_readings_of_one_batch_that_err_alike_count_as_one():
    rng = np.random.default_rng(4)
    alone = [foretold(float(v), batch=i) for i, v in enumerate(rng.normal(size=48))]
    alike = [
        replace(foretold(float(v), batch=i), name=str(k)) for i, v in enumerate(rng.normal(size=12)) for k in range(4)
    ]
    wide, narrow = (found.share_high - found.share_low for found in map(kept_together, (alike, alone)))
    assert wide > 1.3 * narrow
    assert kept_together(alike).numbers == pytest.approx(12, abs=3)
    assert kept_together([]).word is Word.FEW


def test_what_knowing_the_recipe_is_worth_by_hand():
    """Nine readings 1 to 9: of each, the middle and scatter of the other eight with Student's t of seven degrees."""
    readings = [foretold(float(v), (v - 0.1, float(v), v + 0.1)) for v in range(1, 10)]
    expected = []
    for v in range(1, 10):
        rest = np.array([w for w in range(1, 10) if w != v], dtype=float)
        half = stats.t(7).ppf(0.9) * rest.std(ddof=1) * math.sqrt(1 + 1 / 8)
        missed = max(abs(v - rest.mean()) - half, 0.0)
        expected.append(2 * half + 10 * missed)
    found = kept_word(readings)
    assert found.score_without == pytest.approx(np.mean(expected)) and found.score == pytest.approx(0.2)
    assert math.isnan(kept_word(readings[:7]).score_without)
