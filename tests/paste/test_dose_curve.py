"""Dose curves of thickeners: by hand, round trips, planted truths, and what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import DoesNotFit, NotEnoughEvidence, OutsideRange
from slake.paste.dose_curve import DoseCurve, different_doses, equivalent_dose, fit_dose_curve

GUAR, PSYLLIUM = (20.0, 2.1), (3.0, 1.7)
"""Seconds at 1 g per 100 g of water, and power: planted, invented."""
GUAR_DOSES, PSYLLIUM_DOSES = (0.7, 1.0, 1.5), (2.0, 3.0, 4.5)


def exact(law: tuple[float, float], doses: tuple[float, ...], sd: float = 0.08) -> DoseCurve:
    return fit_dose_curve(doses, [law[0] * d ** law[1] for d in doses], [sd] * len(doses))


def test_two_power_laws_cross_where_algebra_says():
    """20 d^2.1 at d = 1 is 20 s; 3 e^1.7 = 20 at e = (20/3)^(1/1.7) = 3.053."""
    found = equivalent_dose(exact(GUAR, GUAR_DOSES), exact(PSYLLIUM, PSYLLIUM_DOSES), 1.0)
    assert found.mid == pytest.approx((20 / 3) ** (1 / 1.7), rel=1e-9)
    assert found.low < found.mid < found.high


@given(st.floats(0.8, 1.4))
def test_there_and_back_is_the_same_dose(dose):
    guar, psyllium = exact(GUAR, (0.5, 1.0, 2.0)), exact(PSYLLIUM, (1.0, 3.0, 8.0))
    there = equivalent_dose(guar, psyllium, dose).mid
    assert equivalent_dose(psyllium, guar, there).mid == pytest.approx(dose, rel=1e-9)


def test_a_gum_equals_itself():
    curve = exact(GUAR, GUAR_DOSES)
    assert equivalent_dose(curve, curve, 1.1).mid == pytest.approx(1.1, rel=1e-9)


def test_the_fit_is_the_textbook_one():
    """Weighted least squares of logarithms, against numpy's own."""
    doses, values, sd = [0.5, 1.0, 2.0, 3.0], [6.0, 19.0, 90.0, 200.0], [0.08, 0.1, 0.05, 0.2]
    curve = fit_dose_curve(doses, values, sd)
    slope, cut = np.polyfit(np.log(doses), np.log(values), 1, w=1 / np.array(sd))
    assert curve.power == pytest.approx(slope) and curve.at(1.0)[0] == pytest.approx(cut)


def test_ranges_hold_eight_times_in_ten_for_planted_gums():
    rng, held, runs = np.random.default_rng(3), 0, 400
    true = (20 / 3) ** (1 / 1.7)
    for _ in range(runs):
        curves = []
        for (at_one, power), doses in ((GUAR, GUAR_DOSES), (PSYLLIUM, PSYLLIUM_DOSES)):
            noisy = [at_one * d**power * math.exp(rng.normal(0, 0.08)) for d in doses]
            curves.append(fit_dose_curve(doses, noisy, [0.08] * 3))
        found = equivalent_dose(*curves, 1.0, transfer_sd_log=0.0)
        held += found.low <= true <= found.high
    assert 0.76 < held / runs < 0.93


def test_more_scatter_than_declared_widens():
    wild = [GUAR[0] * d ** GUAR[1] * times for d, times in zip((0.5, 1.0, 2.0, 3.0), (1.5, 0.7, 1.5, 0.7), strict=True)]
    calm, rough = exact(GUAR, (0.5, 1.0, 2.0, 3.0)), fit_dose_curve((0.5, 1.0, 2.0, 3.0), wild, [0.08] * 4)
    assert rough.covariance[1, 1] > 5 * calm.covariance[1, 1]


def test_nothing_is_drawn_past_the_doses_read():
    guar, psyllium = exact(GUAR, GUAR_DOSES), exact(PSYLLIUM, (2.0, 2.3, 2.6))
    with pytest.raises(OutsideRange, match="past the doses read"):
        equivalent_dose(guar, psyllium, 1.9)
    with pytest.raises(OutsideRange, match="past the doses read"):
        equivalent_dose(guar, psyllium, 1.4)


def test_two_doses_are_no_curve_and_near_ones_count_once():
    assert different_doses([1.0, 1.02, 1.5, 1.04]) == 2
    with pytest.raises(NotEnoughEvidence, match="three doses"):
        fit_dose_curve([1.0, 1.02, 1.5], [20, 21, 40], [0.08] * 3)
    with pytest.raises(NotEnoughEvidence):
        fit_dose_curve([], [], [])


def test_a_curve_that_falls_or_is_flat_is_refused():
    with pytest.raises(DoesNotFit, match="does not rise"):
        fit_dose_curve([1, 2, 3], [40, 30, 20], [0.08] * 3)
    flat = fit_dose_curve([1, 2, 3], [20, 20.5, 21], [0.3] * 3)
    with pytest.raises(NotEnoughEvidence, match="too flat"):
        equivalent_dose(exact(GUAR, GUAR_DOSES), flat, 1.0)


@pytest.mark.parametrize("wrong", [0.0, -1.0, float("nan"), float("inf")])
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(DoesNotFit):
        fit_dose_curve([1, 2, wrong], [20, 30, 40], [0.08] * 3)
    with pytest.raises(DoesNotFit):
        fit_dose_curve([1, 2, 3], [20, wrong, 40], [0.08] * 3)
