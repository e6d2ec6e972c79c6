"""The push along a path: the same law as before loading, its limits, its chance, and its bins."""

from __future__ import annotations

import numpy as np
import pytest
from pytest import approx

from slake.campaign.verdict.law import Runs, benbow, herschel
from slake.ground.problems import DoesNotFit
from slake.paste.cartridges import Cartridge
from slake.paste.ram import Barrel, ram_force_n
from slake.path.cartridge_use import use_cartridges
from slake.path.force_along import force_along, quantiles
from slake.path.force_law import Law, PushDraws, Run, Sliding, Sticking
from slake.path.gcode import read_gcode
from slake.path.pushing import ram_mm
from slake.path.replay import Replayed, replay
from tests.path.paths import rings, tube

BARREL = Barrel(barrel_m=0.06, nozzle_m=0.002)
CARTRIDGE = Cartridge(volume_m3=400e-6)


def draws(count: int = 200, *, seed: int = 1, stiffening: float = 5e-5, have: float = 200.0) -> PushDraws:
    rng = np.random.default_rng([seed])

    def around(mid: float, sd_log: float) -> np.ndarray:
        return mid * np.exp(sd_log * rng.standard_normal(count))

    law = Sliding(entry=around(1.73, 0.25), wall=around(0.5, 0.4), added=around(1.45, 0.35), power=around(0.4, 0.3))
    return PushDraws(
        barrel=BARREL,
        law=law,
        yield_stress_pa=around(1000, 0.3),
        stiffening_per_s=around(stiffening, 0.4) if stiffening else np.zeros(count),
        land_m=around(0.015, 0.2),
        ring_n=around(20, 0.3),
        have_n=around(have, 0.2),
        weight=rng.uniform(0.5, 1.5, count),
    )


def path_of(content: bytes) -> Replayed:
    return replay(read_gcode(content, ram_mm(0.06)))


LAWS = [
    (benbow, lambda w: Sliding(entry=w[0], wall=w[1], added=w[2], power=w[3])),
    (herschel, lambda w: Sticking(entry=w[0], flow=w[1], index=w[2])),
]


@pytest.mark.parametrize(("before", "made"), LAWS, ids=["sliding", "sticking"])
def test_the_push_is_that_of_the_verdict_before_loading(before: object, made: object):
    rng = np.random.default_rng([4])
    weights = rng.normal(-0.5, 0.3, (7, 50))
    land, fill, speed = rng.uniform(0.01, 0.03, 50), rng.uniform(0.05, 0.2, 50), rng.uniform(0.005, 0.03, 50)
    wanted = before(weights, Runs(barrel=BARREL, land_m=land, fill_m=fill, speed_m_s=speed))  # type: ignore[operator]
    law: Law = made(np.exp(weights[3:]))  # type: ignore[operator]
    assert law.per_pascal(Run(speed_m_s=speed, fill_m=fill), BARREL, land) == approx(wanted, rel=1e-12)


@pytest.mark.parametrize("made", [made for _, made in LAWS], ids=["sliding", "sticking"])
def test_no_flow_is_the_slow_push_and_more_of_anything_pushes_harder(made: object):
    law: Law = made(np.array([[1.7], [0.5], [0.5], [0.4]]))  # type: ignore[operator]
    land = np.array([0.015])

    def push(speed: float, fill: float) -> float:
        return float(law.per_pascal(Run(speed_m_s=np.array([speed]), fill_m=np.array([fill])), BARREL, land)[0])

    assert push(0.0, 0.1) == approx(push(1e-12, 0.1), rel=1e-3)
    assert push(0.0, 0.1) < push(0.01, 0.1) < push(0.02, 0.1) < push(0.02, 0.15)


def test_a_slow_sliding_push_is_entry_land_and_barrel_by_hand():
    law = Sliding(entry=np.array([1.5]), wall=np.array([0.5]), added=np.array([1.0]), power=np.array([0.5]))
    run = Run(speed_m_s=np.array([0.0]), fill_m=np.array([0.12]))
    got = law.per_pascal(run, BARREL, np.array([0.016]))
    assert got[0] == approx(2 * 1.5 * np.log(30) + 4 * 0.5 * 0.016 / 0.002 + 4 * 0.5 * 0.12 / 0.06)
    twice = law.per_pascal(Run(speed_m_s=np.array([0.02]), fill_m=run.fill_m), BARREL, np.array([0.016]))
    assert twice[0] == approx(2 * got[0])


@pytest.mark.parametrize("content", [tube(height_m=0.08), rings(30, ((60, 60), (130, 60)))], ids=["spiral", "rings"])
def test_beads_in_bins_are_within_2_percent_of_bead_by_bead(content: bytes):
    path, asked = path_of(content), draws()
    use = use_cartridges(path, CARTRIDGE)
    got = force_along(path, use, asked)
    run = Run(
        speed_m_s=(path.flow_m3_s / BARREL.nozzle_area_m2)[:, None],
        fill_m=(use.in_barrel_m3 / BARREL.area_m2)[:, None],
    )
    need = asked.need_n(path.end_s[:, None], run)
    weight = asked.weight / asked.weight.sum()
    for found, wanted in zip((got.low_n, got.mid_n, got.high_n), quantiles(need, weight), strict=True):
        assert found == approx(wanted, rel=0.02)
    over = np.log(asked.have_n / need)
    assert got.margin == approx(quantiles(over, weight)[1], abs=0.02)
    assert got.chance == approx((over >= 0) @ weight, abs=0.03)
    assert got.all_chance == approx(float(weight[(over >= 0).all(axis=0)].sum()), abs=0.03)
    assert got.margin[got.hardest] == got.margin.min()


def test_the_push_falls_as_the_barrel_empties_and_rises_with_age():
    path = path_of(tube(height_m=0.05))
    use = use_cartridges(path, CARTRIDGE)
    still = force_along(path, use, draws(stiffening=0.0))
    assert use.count == 1 and still.mid_n[-1] < still.mid_n[0]
    assert still.hardest == 0
    ageing = force_along(path, use, draws(stiffening=2e-3))
    assert ageing.mid_n[-1] > ageing.mid_n[0] and ageing.hardest > len(path.line) // 2
    assert np.all(ageing.low_n <= ageing.mid_n) and np.all(ageing.mid_n <= ageing.high_n)


def test_chance_and_margin_go_with_the_force_there_is():
    path = path_of(tube(height_m=0.02))
    use = use_cartridges(path, CARTRIDGE)
    weak, strong = (force_along(path, use, draws(have=have)) for have in (100.0, 2000.0))
    assert strong.all_chance > 0.99 and strong.first_under(0.8) is None
    assert weak.all_chance < 0.2 and weak.first_under(0.8) == 0
    assert strong.margin - weak.margin == approx(np.full(len(path.line), np.log(20)), rel=1e-6)
    assert np.all(weak.margin_low <= weak.margin)


def test_the_force_is_the_pressure_on_the_bore_and_the_ring():
    path = path_of(tube(height_m=0.01))
    one = draws(count=1)
    got = force_along(path, use_cartridges(path, CARTRIDGE), one)
    assert got.mid_n == approx(ram_force_n(got.pressure_pa, BARREL, float(one.ring_n[0])), rel=1e-9)
    assert np.array_equal(got.low_n, got.high_n)


def test_quantiles_of_even_draws_and_of_weighed_ones():
    values = np.linspace(0, 1, 1001)[None, :]
    low, mid, high = quantiles(values, np.full(1001, 1 / 1001))
    assert (low[0], mid[0], high[0]) == approx((0.1, 0.5, 0.9), abs=1e-3)
    weight = np.where(values[0] < 0.5, 3.0, 1.0)
    low, mid, high = quantiles(values, weight / weight.sum())
    assert mid[0] == approx(1 / 3, abs=2e-3)


def test_draws_that_do_not_match_are_refused():
    with pytest.raises(DoesNotFit, match="ring_n has 3 draws where there are 5"):
        PushDraws(
            barrel=BARREL,
            law=draws(5).law,
            yield_stress_pa=np.ones(5),
            stiffening_per_s=np.ones(5),
            land_m=np.ones(5),
            ring_n=np.ones(3),
            have_n=np.ones(5),
            weight=np.ones(5),
        )
