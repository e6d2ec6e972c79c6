"""A drying curve: two stages that come back from their own weighings, and an end only where there is one to see."""

from __future__ import annotations

import math

import pytest

from slake.ground.problems import DoesNotFit
from slake.paste.drying_curve import DRY_SHARE, DryingCurve, dried, dried_mass_kg, dry_after_s, share_gone

H = 3600.0
CURVE = DryingCurve(wet_kg=0.060, drying_rate_kg_per_s=1.4e-3 / H, slows_at_s=8 * H, fades_in_s=6 * H)
HOURS = (0, 1, 2, 4, 8, 12, 24, 36, 48)


def weighings(hours=HOURS) -> tuple[list[float], list[float]]:
    times = [h * H for h in hours]
    return times, [dried_mass_kg(CURVE, t) for t in times]


def test_it_is_straight_at_first_and_comes_to_rest_at_last():
    assert dried_mass_kg(CURVE, 0) == CURVE.wet_kg
    assert dried_mass_kg(CURVE, 4 * H) == pytest.approx(0.060 - 4 * 1.4e-3)
    assert dried_mass_kg(CURVE, 1000 * H) == pytest.approx(CURVE.end_kg)


def test_there_is_no_kink_where_it_slows():
    step = 1.0
    before = dried_mass_kg(CURVE, 8 * H) - dried_mass_kg(CURVE, 8 * H - step)
    after = dried_mass_kg(CURVE, 8 * H + step) - dried_mass_kg(CURVE, 8 * H)
    assert after == pytest.approx(before, rel=1e-3)


def test_dry_is_when_the_next_day_loses_two_parts_in_a_thousand():
    at = dry_after_s(CURVE)
    now, later = dried_mass_kg(CURVE, at), dried_mass_kg(CURVE, at + 24 * H)
    assert (now - later) / now == pytest.approx(DRY_SHARE, rel=1e-6)


def test_its_own_weighings_give_it_back():
    found = dried(*weighings(), mass_sd_kg=1e-5)
    assert found.slowed and found.curve is not None
    assert found.dry_after_s == pytest.approx(dry_after_s(CURVE), rel=0.03)
    assert found.curve.end_kg == pytest.approx(CURVE.end_kg, rel=0.01)
    assert share_gone(found.curve, CURVE.end_kg) == pytest.approx(1, abs=0.03)


def test_while_it_still_loses_as_fast_as_at_first_no_end_is_drawn():
    found = dried(*weighings((0, 1, 2, 4, 6)), mass_sd_kg=1e-5)
    assert not found.slowed and found.curve is None
    assert found.drying_rate_kg_per_s == pytest.approx(1.4e-3 / H, rel=1e-6)


def test_a_piece_that_grows_is_refused():
    times, masses = weighings()
    with pytest.raises(DoesNotFit):
        dried(times, [*masses[:3], masses[2] + 0.004, *masses[4:]], mass_sd_kg=1e-5)


def test_a_coarser_scale_widens_the_range():
    fine, coarse = (dried(*weighings(), mass_sd_kg=sd) for sd in (1e-5, 4e-4))
    assert coarse.sd_log > fine.sd_log > 0 and math.isfinite(coarse.sd_log)
