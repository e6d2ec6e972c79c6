"""The drying wall against the series of diffusion, the parabola of steady drying, and its own balance of water."""

from __future__ import annotations

import numpy as np
import pytest

from slake.ground.problems import OutsideRange
from slake.paste.diffusing import after_steady_left, slab_left
from slake.paste.drying_slab import Slab, SlabRun, Spell, dry_slab, rest_water, times_of
from slake.paste.uneven_drying import first_stage_s, water_ahead_kg_m3

THICK, SOLIDS, WATER = 0.004, 1000.0, 0.5


def one(value: float) -> np.ndarray:
    return np.array([float(value)])


def slab(diffusivity: float, half_humid: float = 1e-7) -> Slab:
    return Slab(
        thickness_m=one(THICK), water_per_dry=one(WATER), solids_kg_m3=one(SOLIDS),
        diffusivity_m2_s=one(diffusivity), half_humid_water=one(half_humid),
    )  # fmt: skip


def dried(diffusivity: float, until_s: float, fluxes: tuple[float, float], humidity=0.0, half_humid=1e-7) -> SlabRun:
    spell = Spell(until_s=until_s, near_flux=one(fluxes[0]), far_flux=one(fluxes[1]), humidity=one(humidity))
    return dry_slab(slab(diffusivity, half_humid), [spell])


@pytest.mark.parametrize("fourier", [0.05, 0.1, 0.2])
def test_faces_held_dry_follow_the_series(fourier):
    """14 cells and steps of a hundred-and-fiftieth follow the series to half a percent of the water."""
    diffusivity = 1e-12
    got = dried(diffusivity, fourier * THICK**2 / diffusivity, (1e3, 1e3)).mean[-1, 0] / WATER
    assert got == pytest.approx(slab_left(fourier), abs=0.006)


def test_finer_steps_come_nearer_to_the_series(monkeypatch):
    until_s = 0.1 * THICK**2 / 1e-12
    off = []
    for steps, grows in ((40, 1.2), (150, 1.05), (1000, 1.01)):
        monkeypatch.setattr("slake.paste.drying_slab.LEAST_STEPS", steps)
        monkeypatch.setattr("slake.paste.drying_slab.STEP_GROWS", grows)
        off.append(abs(dried(1e-12, until_s, (1e3, 1e3)).mean[-1, 0] / WATER - slab_left(0.1)))
    assert off == sorted(off, reverse=True) and off[-1] < 0.003


def test_from_one_face_alone_it_takes_four_times_as_long():
    both = dried(1e-12, 0.1 * THICK**2 / 1e-12, (1e3, 1e3)).mean[-1, 0]
    single = dried(1e-12, 0.4 * THICK**2 / 1e-12, (1e3, 0.0)).mean[-1, 0]
    assert single == pytest.approx(both, rel=0.02)


def test_while_wet_it_loses_what_the_face_gives_off_and_lags_by_the_parabola():
    flux, diffusivity = 50e-3 / 3600, 1e-9
    done = dried(diffusivity, 6 * 3600, (flux, flux))
    assert done.mean[-1, 0] == pytest.approx(WATER - 2 * flux * 6 * 3600 / (SOLIDS * THICK), rel=1e-4)
    middle_ahead = water_ahead_kg_m3(flux, THICK / 2, diffusivity) / SOLIDS
    assert done.behind[-1, 0] == pytest.approx(2 / 3 * middle_ahead, rel=0.03)
    assert done.apart[-1, 0] == pytest.approx(0, abs=1e-9)


def test_water_is_kept_to_rounding():
    """What the wall lost is what its faces gave off: a constant flux, counted over the run."""
    flux = 40e-3 / 3600
    done = dried(1e-8, 3 * 3600, (flux, 0.5 * flux))
    assert WATER - done.mean[-1, 0] == pytest.approx(1.5 * flux * 3 * 3600 / (SOLIDS * THICK), rel=1e-3)


def test_the_steady_stage_ends_when_the_balance_says_and_the_tail_follows_the_series():
    flux, diffusivity = 20e-3 / 3600, 2e-10
    done = dried(diffusivity, 200 * 3600, (flux, flux))
    lag = flux * THICK / 2 / (3 * diffusivity * SOLIDS)
    ends_s = first_stage_s((WATER - lag) * SOLIDS, THICK / 2, flux)
    late = ends_s + 0.1 * THICK**2 / diffusivity
    got = float(np.interp(late, done.times_s, done.mean[:, 0]))
    assert got == pytest.approx(lag * after_steady_left(0.1), rel=0.1)


def test_it_comes_to_rest_at_what_the_air_leaves_it():
    done = dried(1e-9, 3000 * 3600, (1e-5, 1e-5), humidity=0.6, half_humid=0.05)
    assert done.mean[-1, 0] == pytest.approx(0.05 * 0.6 / 0.4, rel=1e-6)
    assert rest_water(one(0.05), one(0.5))[0] == pytest.approx(0.05)


def test_spells_change_on_the_dot_and_covers_slow():
    open_, shut = 50e-3 / 3600, 10e-3 / 3600
    spells = [
        Spell(until_s=t, near_flux=one(f), far_flux=one(f), humidity=one(0)) for t, f in ((7200, shut), (14400, open_))
    ]
    done = dry_slab(slab(1e-9), spells)
    at = list(done.times_s).index(7200.0)
    lost = WATER - done.mean[[at, -1], 0]
    assert lost[0] == pytest.approx(2 * shut * 7200 / (SOLIDS * THICK), rel=1e-3)
    assert lost[1] - lost[0] == pytest.approx(2 * open_ * 7200 / (SOLIDS * THICK), rel=1e-3)


def test_one_face_shut_leaves_that_half_wetter():
    assert dried(1e-10, 6 * 3600, (1e-5, 0.0)).apart[-1, 0] < -0.01
    assert dried(1e-10, 6 * 3600, (0.0, 1e-5)).apart[-1, 0] > 0.01


def test_draws_run_together_as_each_alone():
    diffusivities = np.array([1e-10, 1e-9])
    both = Slab(
        thickness_m=np.full(2, THICK), water_per_dry=np.full(2, WATER), solids_kg_m3=np.full(2, SOLIDS),
        diffusivity_m2_s=diffusivities, half_humid_water=np.full(2, 0.01),
    )  # fmt: skip
    spell = Spell(until_s=36000, near_flux=np.full(2, 1e-5), far_flux=np.full(2, 1e-5), humidity=np.full(2, 0.5))
    together = dry_slab(both, [spell]).mean[-1]
    alone = [dried(d, 36000, (1e-5, 1e-5), 0.5, 0.01).mean[-1, 0] for d in diffusivities]
    assert together == pytest.approx(alone, rel=1e-12)


def test_times_rise_and_meet_every_end():
    spells = [Spell(until_s=t, near_flux=one(0), far_flux=one(0), humidity=one(0)) for t in (30.0, 5000.0, 9e5)]
    times = times_of(spells)
    assert np.all(np.diff(times) > 0) and {30.0, 5000.0, 9e5} <= set(times)


def test_spells_that_do_not_rise_are_refused():
    spell = Spell(until_s=10.0, near_flux=one(0), far_flux=one(0), humidity=one(0))
    for spells in ([], [spell, spell]):
        with pytest.raises(OutsideRange):
            dry_slab(slab(1e-9), spells)


def test_the_stronger_demand_falls_earlier_and_further():
    """Measured on sand at 8 and 40 mm a day (an abstract read, sources.toml: sand_demand): the water left where the
    rate has fallen by a tenth is higher, and the rate at half the water is a smaller share of the first.
    """
    fell_at, share_later = [], []
    for mm_a_day in (8, 40):
        flux = mm_a_day / 86400
        done = dried(3e-9, 2 * 86400, (flux, 0.0), half_humid=0.01)
        rate = -np.diff(done.mean[:, 0]) / np.diff(done.times_s)
        mean = 0.5 * (done.mean[1:, 0] + done.mean[:-1, 0])
        fell_at.append(float(mean[np.argmax(rate < 0.9 * rate[0])]))
        water_left = float(np.interp(-0.25, -mean, rate)) / rate[0]
        share_later.append(water_left)
    assert fell_at[1] > fell_at[0] and share_later[1] < share_later[0]
