"""Planted causes, each named: what is blind before a wrong cone, one angle against another, a slip in a bound."""

from __future__ import annotations

import math

import pytest

from slake.bench import extruded_slug, fall_cone, slump, spread
from slake.bench.causes import Cause
from slake.bench.declaration import BenchTest, Context
from slake.bench.disagreeing import disagreement
from slake.bench.together import Look
from slake.ground.evidence import Kind


def look(test: BenchTest, minutes: float = 60, **fields: object) -> Look:
    raw = test.read({name: f"{value:g}" if isinstance(value, float) else str(value) for name, value in fields.items()})
    return Look(called=f"{test.title} {minutes:g}", test=test, raw=raw, context=Context(age_s=60 * minutes))


def expected(test: BenchTest, pascals: float, **instrument: float | str) -> float:
    return round(test.forward(pascals, Context(instrument=instrument)), 1)


@pytest.mark.parametrize("pascals", [800.0, 1100.0, 1500.0])
@pytest.mark.parametrize("slump_mm", [2.0, 3.0])
def test_a_slump_that_hardly_moved_is_out_of_range_and_the_cone_beside_it_is_not_accused(pascals, slump_mm):
    """The paste is far too stiff for the mould; its cone of 30 deg is in its good range."""
    cone = look(fall_cone.TEST, cone_depth_mm=expected(fall_cone.TEST, pascals))
    found = disagreement([look(slump.TEST, slump_mm=slump_mm, mould="cylinder"), cone])
    assert found is None or (found.cause is Cause.OUT_OF_RANGE and found.odd and found.odd.test is slump.TEST)


@pytest.mark.parametrize("pascals", [500.0, 700.0, 1000.0, 1400.0, 2000.0])
def test_a_cone_of_30_deg_typed_as_60_is_named_against_another_of_30(pascals):
    depth = expected(fall_cone.TEST, pascals)
    right, wrong = look(fall_cone.TEST, cone_depth_mm=depth), look(fall_cone.TEST, cone_depth_mm=depth, cone_angle="60")
    found = disagreement([right, wrong])
    assert found and found.cause is Cause.WRONG_INSTRUMENT


def test_of_three_alike_cones_the_one_typed_as_60_is_named():
    cones = [look(fall_cone.TEST, cone_depth_mm=depth) for depth in (15.3, 15.3)]
    found = disagreement([*cones, look(fall_cone.TEST, cone_depth_mm=15.4, cone_angle="60")])
    assert found and found.cause is Cause.WRONG_INSTRUMENT
    assert found.odd and found.odd.raw.words["cone_angle"] == "60" and "30 deg and not 60 deg" in found.words


def test_two_angles_used_as_written_down_agree():
    wide = expected(fall_cone.TEST, 900.0, cone_mass_g=0.06, cone_angle="60")
    found = disagreement(
        [
            look(fall_cone.TEST, cone_depth_mm=expected(fall_cone.TEST, 900.0)),
            look(fall_cone.TEST, cone_depth_mm=wide, cone_mass_g=60, cone_angle="60"),
        ]
    )
    assert found is None


def test_a_puddle_typed_ten_times_too_wide_is_a_slip():
    """59.3 mm hardly spread and 593 mm lies under its skin: a bound on one side slipped to the other."""
    wide, other = look(spread.TEST, spread_mm=593), look(slump.TEST, slump_mm=9.0, mould="cylinder")
    assert wide.evidence.kind is Kind.BELOW
    found = disagreement([wide, other])
    assert found and found.cause is Cause.SLIP_BY_TEN and "59.3 mm and not 593" in found.words


@pytest.mark.parametrize("pascals", [500.0, 800.0, 1500.0])
def test_a_slug_typed_a_tenth_is_a_slip_for_soft_pastes_too(pascals):
    grams = extruded_slug.TEST.forward(pascals, Context())
    cone = look(fall_cone.TEST, cone_depth_mm=expected(fall_cone.TEST, pascals))
    found = disagreement([look(extruded_slug.TEST, slug_g=round(grams / 10, 3), slug_count=10), cone])
    assert found and found.cause is Cause.SLIP_BY_TEN and found.odd and found.odd.test is extruded_slug.TEST


@pytest.mark.parametrize("grams", [6.1, 7.5])
def test_a_slug_of_ten_times_its_mass_is_a_slip_and_not_out_of_range(grams):
    cone = look(fall_cone.TEST, cone_depth_mm=expected(fall_cone.TEST, 1000.0))
    found = disagreement([look(extruded_slug.TEST, slug_g=grams, slug_count=10), cone])
    assert found and found.cause is Cause.SLIP_BY_TEN


def test_the_heavy_cone_of_the_bench_is_named_where_its_mass_was_not_typed():
    heavy = {"the heavy cone": {"cone_mass_g": 0.08, "cone_angle": "30"}}
    depth = expected(fall_cone.TEST, 1100.0, cone_mass_g=0.08)
    slug = look(extruded_slug.TEST, slug_g=round(extruded_slug.TEST.forward(1100.0, Context()), 3))
    found = disagreement([look(fall_cone.TEST, cone_depth_mm=depth, cone_mass_g=30), slug], heavy)
    if found is None:
        pytest.fail("2.7 times is more than their ranges allow")
    assert Cause.WRONG_INSTRUMENT in {found.cause, found.or_cause} and "the heavy cone" in found.words


def test_two_causes_nearly_alike_are_both_named():
    """A heavy cone read at 24 mm is out of its range and may as well be the other one of the bench."""
    heavy = {"the heavy cone": {"cone_mass_g": 0.08, "cone_angle": "30"}}
    named = []
    for pascals in (600.0, 700.0, 800.0, 900.0):
        depth = expected(fall_cone.TEST, pascals, cone_mass_g=0.08)
        slug = look(extruded_slug.TEST, slug_g=round(extruded_slug.TEST.forward(pascals, Context()), 3))
        found = disagreement([look(fall_cone.TEST, cone_depth_mm=depth, cone_mass_g=30), slug], heavy)
        named.append(found)
    both = [one for one in named if one is not None and one.or_cause is not None]
    assert both
    assert all("Or else" in one.words and one.or_cause is not one.cause for one in both)


def test_a_second_cause_far_behind_is_not_named():
    found = disagreement(
        [look(fall_cone.TEST, cone_depth_mm=12.0), look(fall_cone.TEST, cone_depth_mm=12.1, cone_mass_g=300)]
    )
    assert found and found.or_cause is None and "Or else" not in found.words


def test_a_light_slug_carries_no_more_than_its_weight():
    """0.06 g under a 2 mm bore: 108 Pa at most, whatever the skin holds. Own arithmetic: m g / (area sqrt 3)."""
    evidence = look(extruded_slug.TEST, slug_g=0.06).evidence
    assert evidence.kind is Kind.BELOW
    assert evidence.high == pytest.approx(6e-5 * 9.80665 / (math.pi * 1e-6 * math.sqrt(3)), rel=1e-3)
