"""Weighings of the piece: they pull the schedule to what is true, more of them more; impossible ones are refused."""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence

import numpy as np
import pytest

from slake.ground.problems import DoesNotFit, NotEnoughEvidence, OutsideRange, Problem
from slake.paste.drying_run import PieceRun, Way, drawn, dry_s, long_enough_s, run
from slake.paste.drying_schedule import around
from slake.paste.drying_unknowns import draw_scores
from slake.paste.drying_weighed import Weighed, corrected, foretold
from tests.paste.drying_cases import about, drying, in_room, plus

H = 3600.0
WAY = Way(covered_s=8 * H, freed_s=6 * H)
SD_KG = 4e-5
ASKED = in_room(drying(wall_mm=4.0), humidity=plus(0.5, 0.12), temperature_k=plus(293.15, 3), speed_m_s=about(0.2, 3))


@functools.cache
def truths() -> PieceRun:
    found = drawn(ASKED, draw_scores(np.random.default_rng(99), 40))
    return run(ASKED, found, WAY, long_enough_s(ASKED, found))


def weighings(truth: int, hours: Sequence[float], seed: int = 0) -> tuple[Weighed, float]:
    """What a scale shows of one piece out of all that may be, and when that piece is really dry."""
    done = truths()
    at = np.array(hours) * H
    off = np.random.default_rng(seed + truth).normal(0, SD_KG, len(at))
    masses = 0.3 * np.interp(at, done.times_s, done.mass[:, truth]) + off
    return Weighed(at_s=tuple(at), mass_kg=tuple(masses), mass_sd_kg=SD_KG), float(
        dry_s(done, drawn(ASKED, draw_scores(np.random.default_rng(99), 40)).rest)[truth]
    )


def dry_range(scores: np.ndarray):
    found = drawn(ASKED, scores)
    return around(dry_s(run(ASKED, found, WAY, long_enough_s(ASKED, found)), found.rest))


def log_width(of) -> float:
    return math.log(of.high / of.low)


def moved(weighed: Weighed, seed: int = 3, draws: int = 100) -> np.ndarray:
    scores = draw_scores(np.random.default_rng(seed), draws)
    return corrected(ASKED, scores, WAY, weighed, np.random.default_rng(seed + 1))


def test_two_weighings_narrow_the_schedule_and_five_more():
    before = log_width(dry_range(draw_scores(np.random.default_rng(3), 100)))
    widths = {hours: [] for hours in ((1, 14), (1, 6, 14, 24, 36))}
    for truth in range(5):
        for hours in widths:
            widths[hours].append(log_width(dry_range(moved(weighings(truth, hours)[0]))))
    two, five = (float(np.mean(w)) for w in widths.values())
    assert five < two < 0.85 * before


def test_the_corrected_range_holds_the_truth_eight_times_in_ten():
    """24 pieces out of what may be, two weighings each. 80 % of 24 is 19; under 14, or all, comes once in 100."""
    held = 0
    for truth in range(24):
        weighed, dry = weighings(truth, (2, 20))
        found = dry_range(moved(weighed, seed=truth, draws=60))
        held += found.low <= dry <= found.high
    assert 14 <= held <= 23


def test_a_piece_that_dries_slower_than_thought_is_told_later():
    quick, slow = (Weighed(at_s=(0.0, 20 * H), mass_kg=(0.3, 0.3 * left), mass_sd_kg=SD_KG) for left in (0.86, 0.95))
    assert dry_range(moved(quick)).mid < dry_range(moved(slow)).mid
    assert dry_range(moved(quick)).high < dry_range(moved(slow)).high


def test_after_the_correction_the_draws_say_what_the_scale_said():
    weighed, _ = weighings(3, (1, 10, 24))
    says = np.median(foretold(ASKED, moved(weighed), WAY, weighed), axis=0)
    assert says == pytest.approx(weighed.lost, rel=0.08)


def test_what_weighings_say_nothing_of_stays_as_wide():
    weighed, _ = weighings(3, (1, 10, 24))
    tolerance = drawn(ASKED, moved(weighed)).also["tolerance"]
    assert np.std(np.log(tolerance)) == pytest.approx(math.log(0.04 / 0.005) / 2 / 1.28, rel=0.25)


def test_grams_or_kilograms_do_not_matter_only_their_ratio():
    weighed, _ = weighings(2, (1, 12))
    double = Weighed(at_s=weighed.at_s, mass_kg=tuple(2 * m for m in weighed.mass_kg), mass_sd_kg=2 * SD_KG)
    assert dry_range(moved(weighed)).mid == pytest.approx(dry_range(moved(double)).mid)


IMPOSSIBLE = {
    "one only": ((0.0,), (0.3,), NotEnoughEvidence, "needs 2"),
    "hours back": ((3 * H, 1 * H), (0.3, 0.29), DoesNotFit, "hours do not rise"),
    "twice the same hour": ((H, H), (0.3, 0.29), DoesNotFit, "hours do not rise"),
    "before it was laid": ((-H, H), (0.3, 0.29), DoesNotFit, "counted from when it was laid"),
    "grown": ((0.0, 5 * H), (0.3, 0.31), DoesNotFit, "it grew from 300 to 310 g"),
    "nothing": ((0.0, 5 * H), (0.3, 0.0), OutsideRange, "mass of the piece"),
    "not a number": ((0.0, 5 * H), (0.3, float("nan")), OutsideRange, "mass of the piece"),
    "one missing": ((0.0, 5 * H), (0.3,), DoesNotFit, "2 hours and 1 masses"),
}


@pytest.mark.parametrize("case", IMPOSSIBLE)
def test_impossible_weighings_are_refused_in_a_sentence(case):
    at, masses, problem, words = IMPOSSIBLE[case]
    with pytest.raises(problem, match=words):
        Weighed(at_s=at, mass_kg=masses, mass_sd_kg=SD_KG)


@pytest.mark.parametrize(
    ("hours", "masses", "words"),
    [
        ((0, 30), (0.3, 0.12), "was water"),
        ((0, 0.5), (0.3, 0.26), "over three times"),
        ((0, 2, 4, 30), (0.3, 0.2999, 0.27, 0.2698), "leave out the one that stands apart"),
    ],
)
def test_weighings_no_drying_goes_through_are_refused(hours, masses, words):
    weighed = Weighed(at_s=tuple(h * H for h in hours), mass_kg=masses, mass_sd_kg=SD_KG)
    with pytest.raises(Problem, match=words) as refused:
        moved(weighed)
    assert str(refused.value).count(". ") == 0


def test_all_rounds_together_count_the_weighings_once():
    """What is left open of the very loss weighed is that of both errors put together, as for one straight update; the
    loss is no straight line of what is unknown, so somewhat more stays open.
    """
    weighed, _ = weighings(4, (1, 16))
    scores = draw_scores(np.random.default_rng(8), 200)
    before = foretold(ASKED, scores, WAY, weighed).var()
    after = foretold(ASKED, corrected(ASKED, scores, WAY, weighed, np.random.default_rng(9)), WAY, weighed)
    low, high = np.quantile(after, (0.1, 0.9))
    both = math.sqrt(1 / (1 / before + 1 / weighed.covariance[0, 0]))
    assert 0.8 < (high - low) / 2.563 / both < 1.6
