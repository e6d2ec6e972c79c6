"""Chance, margins and ranges over many draws; the answer keeps its order whatever it is given."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slake.paste.strength_by_age import Growing, steady
from slake.path.standing import Laid, Plain, laid_of_yield_stress, middle_of, stack_of
from slake.path.stands_answer import chance_of, stands
from slake.path.stands_each import each_way

WALL = Plain(layers=40, layer_height_m=0.0012, layer_s=20, wall_m=0.003, contact_m=0.0018, plan_m=0.1)


def paste(draws: int = 100, sd_log: float = 0.3, stress: float = 1000.0) -> Laid:
    rng = np.random.default_rng(2)
    first = Growing(at_laying=stress * np.exp(sd_log * rng.standard_normal(draws)), per_s=np.array([0.1]))
    return laid_of_yield_stress(first, 300 * np.exp(sd_log * rng.standard_normal(draws)), np.array([1500.0]))


def test_the_chance_lies_between_those_of_both_ends_and_falls_with_height() -> None:
    found = [stands(stack_of(replace(WALL, layers=n)), paste()) for n in (10, 20, 30, 40, 60)]
    for one in found:
        assert one.chance_low <= one.chance <= one.chance_high
    chances = [one.chance for one in found]
    assert chances == sorted(chances, reverse=True) and chances[0] > 0.9 and chances[-1] < 0.2


def test_the_chance_is_the_share_of_draws_where_both_ends_agree() -> None:
    """A low wall of strong paste always stands, a high one of weak paste never."""
    assert stands(stack_of(replace(WALL, layers=3)), paste()).chance == 1.0
    assert stands(stack_of(replace(WALL, layers=150)), paste(stress=100.0)).chance == 0.0


def test_the_chance_of_one_draw_is_where_the_object_lies_between_its_ends() -> None:
    """Even in the logarithm: an object at the geometric middle of its ends stands with one half."""
    laid = middle_of(paste())
    ends = stands(stack_of(replace(WALL, layers=80)), laid)
    half = math.sqrt(ends.earliest.layers * ends.latest.layers)
    found = stands(stack_of(replace(WALL, layers=round(half))), laid)
    assert found.chance == pytest.approx(0.5, abs=0.1)


def test_margins_fall_to_one_where_the_ends_fall() -> None:
    found = stands(stack_of(WALL), middle_of(paste()))
    margins = found.margins
    early = np.interp(found.earliest.height_m, margins.height_m, margins.earliest)
    assert early == pytest.approx(1.0, abs=0.15)
    assert np.all(margins.low <= margins.earliest * (1 + 1e-9)) and np.all(margins.latest <= margins.high * (1 + 1e-9))
    assert np.all(margins.earliest <= margins.latest * (1 + 1e-9)) and np.all(np.diff(margins.height_m) > 0)


def test_ranges_widen_with_what_is_not_known() -> None:
    narrow, wide = (stands(stack_of(WALL), paste(sd_log=sd)).earliest.range_layers for sd in (0.05, 0.3))
    assert narrow.low > wide.low and narrow.high < wide.high and wide.low < wide.mid < wide.high


def test_only_the_chance_is_the_same_chance() -> None:
    assert chance_of(stack_of(WALL), paste()) == pytest.approx(stands(stack_of(WALL), paste()).chance)


def test_time_and_height_of_the_fall_go_with_its_layer() -> None:
    found = stands(stack_of(replace(WALL, layers=80)), middle_of(paste()))
    for end in (found.earliest, found.latest):
        assert end.falls and end.idealisation and end.words
        assert end.height_m == pytest.approx(end.layers * 0.0012)
        assert end.time_s == pytest.approx(end.layers * 20)


def test_an_object_that_stands_says_so_at_its_top() -> None:
    found = stands(stack_of(replace(WALL, layers=5)), middle_of(paste()))
    assert not found.earliest.falls and math.isinf(found.earliest.layers)
    assert found.earliest.height_m == pytest.approx(0.006) and found.earliest.time_s == pytest.approx(100)


def test_many_layers_are_answered_as_few() -> None:
    """Looked at after some layers only, the fall is found at the same layer."""
    laid = middle_of(paste())
    few, many = (stands(stack_of(replace(WALL, layers=n)), laid) for n in (39, 400))
    assert many.earliest.layers == pytest.approx(few.earliest.layers, abs=0.05)


@settings(max_examples=60, deadline=None)
@given(
    st.tuples(st.floats(1.0, 1e5), st.floats(-1.0, 10.0), st.floats(5.0, 5000.0), st.floats(500.0, 3000.0)),
    st.tuples(st.integers(1, 120), st.floats(2e-4, 0.02), st.floats(0.1, 3600.0), st.floats(5e-4, 0.1)),
    st.tuples(st.floats(0.2, 1.0), st.floats(-60, 60), st.floats(0, 0.1), st.booleans(), st.floats(1e-3, 10.0)),
)
def test_whatever_is_asked_the_ends_are_in_order(material: tuple, wall: tuple, shape: tuple) -> None:
    stress, growth, ratio, density = material
    count, high, each, wide = wall
    contact, lean, span, closed, radius = shape
    plain = Plain(
        layers=count,
        layer_height_m=high,
        layer_s=each,
        wall_m=wide,
        contact_m=contact * wide,
        lean_deg=lean,
        span_m=span,
        closed=closed,
        radius_m=max(radius, wide) if closed else math.inf,
    )
    laid = laid_of_yield_stress(steady(stress, growth), np.array([ratio]), np.array([density]))
    found = stands(stack_of(plain), laid)
    assert 0 <= found.earliest.layers <= found.latest.layers
    assert 0 <= found.chance_low <= found.chance + 1e-9 <= found.chance_high + 2e-9 <= 1 + 1e-8
    assert np.all(np.isfinite(found.margins.earliest)) and np.all(found.margins.earliest >= 0)


def test_every_way_is_told_by_itself_and_the_first_is_the_answer() -> None:
    stack, laid = stack_of(replace(WALL, lean_deg=10.0, layers=39)), middle_of(paste())
    ways, found = each_way(stack, laid), stands(stack, laid)
    assert {way.name for way in ways} == {"foot yields", "wall folds", "leans over"}
    assert min(way.earliest_layers for way in ways) == pytest.approx(found.earliest.layers)
    assert min(way.latest_layers for way in ways) == pytest.approx(found.latest.layers, rel=0.02)
    assert [way.earliest_layers for way in ways] == sorted(way.earliest_layers for way in ways)
    assert all(way.earliest_layers <= way.latest_layers and way.least_factor >= 0 for way in ways)
