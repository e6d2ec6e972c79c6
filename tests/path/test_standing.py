"""The stack and the paste it is laid of: plain descriptions, draws, and everything that must be refused."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from slake.ground.problems import DoesNotFit, OutsideRange
from slake.paste.strength_by_age import Drying, Growing, steady
from slake.path.standing import Plain, bead_area_m2, drying_in, laid_of_yield_stress, middle_of, stack_of
from slake.path.stands_grid import MOST_STAGES, even_points, grid_of, stages_of, worn

WALL = Plain(layers=50, layer_height_m=0.0012, layer_s=20, wall_m=0.003, contact_m=0.0018, plan_m=0.1)
PASTE = laid_of_yield_stress(steady(1000.0, 0.2), np.array([200.0]), np.array([1500.0]))


def test_a_bead_as_wide_as_it_rests_is_a_rectangle_and_one_that_rests_on_nothing_an_ellipse() -> None:
    assert bead_area_m2(np.array(3.0), np.array(3.0), np.array(1.2)) == pytest.approx(3.6)
    assert bead_area_m2(np.array(3.0), np.array(0.0), np.array(1.2)) == pytest.approx(math.pi / 4 * 3.6)


def test_what_lies_above_each_place_is_what_was_laid_there() -> None:
    """By hand: half-way up ten layers lie five, and the foot carries all ten; ages fall from foot to top."""
    stack = stack_of(replace(WALL, layers=10))
    grid = grid_of(stack, np.array([9]), np.array([0.001, 0.5, 0.999]))
    area = stack.area_m2[0]
    assert grid.above_m2[0] == pytest.approx([10 * area, 5 * area, 0.0], rel=0.02, abs=0.02 * area)
    assert list(grid.since_laid_s[0]) == [180.0, 80.0, 0.0]
    assert grid.foot_m2[0, 0] == pytest.approx(10 * area)


def test_weight_strength_and_stiffness_are_those_of_the_paste() -> None:
    stack = stack_of(replace(WALL, layers=10))
    grid = grid_of(stack, np.array([9]), even_points())
    here = worn(PASTE, stack, grid)
    assert here.foot_n_m[0, 0, 0] == pytest.approx(1500 * 9.81 * 10 * stack.area_m2[0])
    assert here.first_yield_pa[0, 0, 0] == pytest.approx(math.sqrt(3) * (1000 + 0.2 * 180))
    assert here.modulus_pa[0, 0, -1] == pytest.approx(200 * 1000)


def test_many_layers_are_looked_at_at_some_and_always_about_pauses_and_at_the_end() -> None:
    stack = stack_of(replace(WALL, layers=400))
    late = replace(stack, done_s=stack.done_s + 600.0 * (np.arange(400) >= 137))
    looked = stages_of(late)
    assert len(looked) <= MOST_STAGES + 2 and {0, 136, 137, 399} <= set(looked)
    assert list(stages_of(stack_of(WALL)))[-1] == 49


def test_drying_adds_up_to_what_is_counted_and_thin_walls_dry_faster() -> None:
    drying = Drying(flux_kg_m2_s=0.045 / 3600, open_faces=2, water_slope=13, water_per_dry=0.7)
    stack = stack_of(replace(WALL, layers=10))
    grid = grid_of(stack, np.array([9]), even_points())
    base = worn(PASTE, stack, grid).strength_pa
    dry = worn(drying_in(PASTE, drying, 0.003), stack, grid).strength_pa / base
    thick = replace(stack, wall_m=stack.wall_m * 2)
    slow = worn(drying_in(PASTE, drying, 0.003), thick, grid).strength_pa / base
    assert dry[0, 0, 0] == pytest.approx(math.exp(13 * 2 * 0.045 * 1.7 / (1500 * 0.003) * 180 / 3600))
    assert slow[0, 0, 0] == pytest.approx(math.sqrt(dry[0, 0, 0]))
    long_ago = replace(stack, done_s=stack.done_s + np.arange(10) * 1e5)
    most = worn(drying_in(PASTE, drying, 0.003), long_ago, grid_of(long_ago, np.array([9]), even_points()))
    grown = (1000 + 0.2 * (long_ago.done_s[9] - long_ago.done_s[0])) / 1000
    assert most.strength_pa[0, 0, 0] == pytest.approx(math.sqrt(3) * 1000 * grown * math.exp(13 * 0.2 * 0.7))


def test_a_heater_adds_to_drying() -> None:
    drying = Drying(flux_kg_m2_s=0.0, open_faces=2, water_slope=13, water_per_dry=0.7)
    stack = stack_of(replace(WALL, layers=10))
    grid = grid_of(stack, np.array([9]), even_points())
    hot = worn(drying_in(PASTE, drying, 0.003, np.array([1e-3])), stack, grid).strength_pa
    assert hot[0, 0, 0] / worn(PASTE, stack, grid).strength_pa[0, 0, 0] == pytest.approx(math.exp(0.18))


def test_the_middle_of_the_draws() -> None:
    many = laid_of_yield_stress(Growing(at_laying=np.array([1.0, 2.0, 30.0])), np.array([100.0]), np.array([1500.0]))
    assert many.draws == 3 and middle_of(many).draws == 1
    assert middle_of(many).first_yield.at_laying[0] == pytest.approx(2 * math.sqrt(3))


@pytest.mark.parametrize("field", ["layer_height_m", "layer_s", "wall_m", "plan_m"])
@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_plain_walls_refuse_what_cannot_be(field: str, bad: float) -> None:
    with pytest.raises(OutsideRange):
        stack_of(replace(WALL, **{field: bad}))


@pytest.mark.parametrize("layers", [0, -3, 10**6])
def test_no_layers_or_a_million_are_refused(layers: int) -> None:
    with pytest.raises(OutsideRange):
        stack_of(replace(WALL, layers=layers))


def test_radii_that_cannot_be_are_refused() -> None:
    for bad in (0.0, -1.0, math.nan):
        with pytest.raises(OutsideRange):
            stack_of(replace(WALL, radius_m=bad))


@pytest.mark.parametrize(
    "change",
    [
        {"wall_m": np.full(50, 0.001)},
        {"done_s": np.arange(50.0)[::-1]},
        {"done_s": np.full(50, np.nan)},
        {"area_m2": np.zeros(50)},
        {"thickness_m": np.full(50, np.nan)},
        {"lean_deg": np.full(50, 89.5)},
        {"lean_deg": np.full(50, np.nan)},
        {"span_m": np.full(50, -1.0)},
        {"plan_m": np.ones(3)},
        {"wave_m": -1.0},
        {"wave_m": math.nan},
    ],
)
def test_stacks_refuse_layers_that_do_not_go_together(change: dict) -> None:
    with pytest.raises(DoesNotFit):
        replace(stack_of(WALL), **change)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_paste_without_density_is_refused(bad: float) -> None:
    with pytest.raises(OutsideRange):
        laid_of_yield_stress(steady(1000.0), np.array([200.0]), np.array([bad]))
