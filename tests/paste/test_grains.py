"""Grain sizes: the textbook split, a general-purpose library beside it, limits, and sieves that cannot be."""

from __future__ import annotations

import math

import numpy as np
import pytest
from fluids.particle_size_distribution import ParticleSizeDistribution
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import DoesNotFit, NotEnoughEvidence, OutsideRange
from slake.paste.grains import (
    E11_UM,
    RosinRammler,
    SieveCurve,
    curvature,
    lost_share,
    next_coarser_um,
    nozzle_words,
    old_opening_words,
    rosin_rammler,
    rosin_rammler_coarser,
    rosin_rammler_gap,
    sieve_curve,
    size_at_share_m,
    smallest_nozzle_m,
    uniformity,
)
from slake.paste.packing import dinger_funk_share, distribution_exponent, packing_gap

TEXTBOOK_MM = (4.75, 2.0, 0.85, 0.425, 0.25, 0.15, 0.075)
TEXTBOOK_G = (0.0, 18.5, 53.2, 90.5, 81.8, 92.2, 58.5)
PAN_G = 26.5


def textbook() -> SieveCurve:
    """Reference 8-05: the set is read; what is finer and the sizes are worked out by hand from the log-linear rule."""
    return sieve_curve([d / 1000 for d in TEXTBOOK_MM], [g / 1000 for g in TEXTBOOK_G], PAN_G / 1000)


def test_the_textbook_set():
    curve = textbook()
    printed = [6.292, 20.180, 42.070, 61.491, 82.977, 95.608, 100]
    assert [100 * finer for finer in curve.finer] == pytest.approx(printed, abs=5e-4)
    d10, d30, d60 = (1000 * size_at_share_m(curve, share) for share in (0.1, 0.3, 0.6))
    assert (d10, d30, d60) == pytest.approx((0.0902, 0.1886, 0.4080), rel=2e-3)
    assert uniformity(d10, d60) == pytest.approx(4.52, rel=2e-3)
    assert curvature(d10, d30, d60) == pytest.approx(0.966, rel=2e-3)


@pytest.mark.parametrize("share", [0.15, 0.3, 0.5, 0.7, 0.9])
def test_sizes_lie_where_a_general_library_draws_its_curve(share):
    """fluids joins the same shares with a smooth curve in size, slake with straight lines over the log of size: both go
    through every sieve, so between two sieves they lie between the same two openings, and near each other.
    """
    curve = textbook()
    openings = [1e-6, *curve.opening_m]
    passing = np.diff([0.0, *curve.finer])
    beside = ParticleSizeDistribution(ds=openings, fractions=list(passing), order=3)
    mine, other = size_at_share_m(curve, share), float(beside.dn(share))
    above = next(n for n, finer in enumerate(curve.finer) if finer >= share)
    assert curve.opening_m[above - 1] <= mine <= curve.opening_m[above]
    assert mine == pytest.approx(other, rel=0.12)
    for opening, finer in zip(curve.opening_m, curve.finer, strict=True):
        assert float(beside.cdf(opening)) == pytest.approx(finer, abs=1e-6)


def test_at_a_sieve_the_size_is_its_opening():
    curve = textbook()
    for opening, finer in zip(curve.opening_m, curve.finer, strict=True):
        assert size_at_share_m(curve, finer) == pytest.approx(opening)


def test_nothing_is_drawn_beyond_the_sieves_used():
    with pytest.raises(OutsideRange, match="add a coarser or finer one"):
        size_at_share_m(textbook(), 0.01)


@given(size=st.floats(1e-5, 1e-2), spread=st.floats(0.4, 3))
def test_a_rosin_rammler_line_comes_back(size, spread):
    openings = [size * x for x in (0.1, 0.3, 0.6, 1.0, 1.6, 2.5)]
    found = rosin_rammler(openings, [rosin_rammler_coarser(size, d, spread) for d in openings])
    assert (found.size_m, found.spread) == pytest.approx((size, spread), rel=1e-5)


def test_at_its_size_a_rosin_rammler_line_has_one_over_e_coarser():
    assert rosin_rammler_coarser(1e-4, 1e-4, 1.7) == pytest.approx(math.exp(-1))
    with pytest.raises(NotEnoughEvidence):
        rosin_rammler([1e-4, 2e-4], [0.5, 0.2])


def test_a_packing_curve_has_its_own_slope():
    openings = [1e-5 * 2**n for n in range(8)]
    curve = SieveCurve(opening_m=tuple(openings), finer=tuple((d / openings[-1]) ** 0.37 for d in openings))
    assert distribution_exponent(curve) == pytest.approx(0.37)
    assert dinger_funk_share(1e-5, 1e-5, 1e-3, 0.37) == 0 and dinger_funk_share(1e-3, 1e-5, 1e-3, 0.37) == 1


def packed(largest_m, exponent=0.37):
    openings = [largest_m / 2**n for n in range(7, -1, -1)]
    return SieveCurve(
        opening_m=tuple(openings),
        finer=tuple(dinger_funk_share(d, 1e-6, largest_m, exponent) for d in openings),
    )


def test_a_curve_that_packs_closest_has_no_gap_and_one_without_fines_lacks_them():
    assert abs(packing_gap(packed(1e-3)).share) < 1e-9
    coarse = packing_gap(packed(1e-3, 1.5))
    fine = packing_gap(packed(1e-3, 0.1))
    assert coarse.share < -0.2 and fine.share > 0.05
    assert packing_gap(SieveCurve(opening_m=(1e-4, 2e-4), finer=(0.3, 0.6))) is None, "some lay on the widest sieve"


def test_how_far_a_powder_is_from_a_rosin_rammler_line():
    openings = [1e-4 * x for x in (0.3, 0.6, 1.0, 1.6)]
    curve = SieveCurve(
        opening_m=tuple(openings), finer=tuple(1 - rosin_rammler_coarser(1e-4, d, 1.2) for d in openings)
    )
    assert rosin_rammler_gap(RosinRammler(size_m=1e-4, spread=1.2), curve) == pytest.approx(0, abs=1e-12)
    off = rosin_rammler_gap(RosinRammler(size_m=2e-4, spread=1.2), curve)
    assert off == pytest.approx(
        max(abs(1 - f - rosin_rammler_coarser(2e-4, d, 1.2)) for d, f in zip(openings, curve.finer, strict=True))
    )


@pytest.mark.parametrize(("um", "coarser"), [(250, 355), (600, 850), (4000, 4750), (4750, None), (260, 355)])
def test_the_next_sieve_worth_adding_is_two_steps_coarser(um, coarser):
    assert next_coarser_um(um * 1e-6) == coarser


def test_the_nozzle_rule():
    """Grains up to a fifth of the nozzle, a tenth where it is mostly grains, fibres a third: common practice."""
    assert smallest_nozzle_m(4e-4) == pytest.approx(2e-3)
    assert smallest_nozzle_m(4e-4, dense=True) == pytest.approx(4e-3)
    assert smallest_nozzle_m(1e-4, 1e-3) == pytest.approx(3e-3)
    assert "2 mm" in nozzle_words(4e-4) and "common practice" in nozzle_words(4e-4)


def test_old_openings_are_not_mixed_silently_with_todays():
    """Reference 8-02: 2.38, 0.841, 0.420, 0.297 and 0.149 mm are still printed."""
    assert "850 um" in old_opening_words(841e-6)
    assert all(old_opening_words(um * 1e-6) == "" for um in E11_UM)


def test_sieves_that_gain_mass_are_refused_and_a_loss_is_a_share():
    assert lost_share(0.020, 0.019) == pytest.approx(0.05)
    assert lost_share(0.020, 0.0201) == pytest.approx(-0.005)
    with pytest.raises(DoesNotFit, match="gained mass"):
        lost_share(0.020, 0.0208)


@pytest.mark.parametrize(
    ("openings", "kept", "pan"),
    [([1e-4, 1e-4], [0.01, 0.01], 0.0), ([1e-4], [0.0], 0.0), ([1e-4], [-0.01], 0.02), ([1e-4], [math.nan], 0.0)],
)
def test_what_is_no_split_is_refused(openings, kept, pan):
    with pytest.raises(DoesNotFit):
        sieve_curve(openings, kept, pan)
