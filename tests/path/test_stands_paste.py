"""Draws of a paste from ranges, and the answer in sentences."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit, OutsideRange
from slake.path.standing import Plain, middle_of, stack_of
from slake.path.stands_answer import stands
from slake.path.stands_paste import PasteRanges, drawn, laid_of_ranges
from slake.path.stands_words import outside, sentences

NORMALS = np.random.default_rng(6).standard_normal((4000, 4))
READ = PasteRanges(yield_stress_pa=Range(low=700, mid=1000, high=1600))
WALL = Plain(layers=30, layer_height_m=0.0012, layer_s=20, wall_m=0.003, contact_m=0.0018, plan_m=0.1)


def test_draws_have_the_range_they_were_given() -> None:
    low, mid, high = np.quantile(drawn(READ.yield_stress_pa, NORMALS[:, 0]), [0.1, 0.5, 0.9])
    assert (low, mid, high) == pytest.approx((700, 1000, 1600), rel=0.04)


def test_what_nobody_read_is_wide_and_makes_the_answer_wide() -> None:
    wide = laid_of_ranges(READ, NORMALS[:300])
    known = replace(READ, modulus_per_yield=Range(low=290, mid=300, high=310), growth_per_s=READ.growth_per_s)
    narrow = laid_of_ranges(known, NORMALS[:300])
    ends = [stands(stack_of(WALL), laid).earliest.range_layers for laid in (wide, narrow)]
    assert ends[0].low < ends[1].low
    assert wide.draws == 300 and middle_of(wide).first_yield.at_laying[0] == pytest.approx(1732, rel=0.1)


@pytest.mark.parametrize("shape", [(0, 4), (10, 3), (10,)])
def test_draws_of_another_shape_are_refused(shape: tuple[int, ...]) -> None:
    with pytest.raises(DoesNotFit):
        laid_of_ranges(READ, np.zeros(shape))


@pytest.mark.parametrize("low", [0.0, -1.0])
def test_ranges_that_reach_zero_are_refused(low: float) -> None:
    with pytest.raises(OutsideRange):
        laid_of_ranges(PasteRanges(yield_stress_pa=Range(low=low, mid=1000, high=1600)), NORMALS)


def test_the_answer_is_said_with_layers_heights_minutes_and_why() -> None:
    stack = stack_of(replace(WALL, layers=150))
    said = sentences(stands(stack, laid_of_ranges(READ, NORMALS[:100])), stack)
    assert "stands to its top (180 mm, 150 layers) with a chance of under 1 %" in said[0]
    assert said[1].startswith("Earliest: at layer") and "min" in said[1] and "folds" in said[1]
    assert said[2].startswith("Latest: at layer")


def test_an_object_that_stands_is_not_called_certain() -> None:
    stack = stack_of(replace(WALL, layers=2))
    said = sentences(stands(stack, laid_of_ranges(READ, NORMALS[:100])), stack)
    assert "over 99 %" in said[0] and "first to go would be" in said[1] and "first to go would be" in said[2]


def test_what_the_models_do_not_hold_for_is_said() -> None:
    laid = laid_of_ranges(READ, NORMALS[:10])
    assert outside(stack_of(WALL), laid) == []
    ring = replace(WALL, radius_m=0.006, closed=True)
    assert "under 3 walls" in outside(stack_of(ring), laid)[0]
    assert "leans" in outside(stack_of(replace(ring, radius_m=0.05, lean_deg=40)), laid)[0]
    assert "drying is not counted" in outside(stack_of(replace(WALL, layer_s=200)), laid)[0]
    mixed = replace(stack_of(WALL), closed=np.arange(30) < 10)
    assert "some open" in outside(mixed, laid)[0]
    assert math.isfinite(stands(mixed, laid).chance)
