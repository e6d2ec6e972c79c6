"""Slug, squeeze, spread, kettle-weight syringe, two lands, bleed press, spring-back and ageing: what each says."""

from __future__ import annotations

import math

import pytest

from slake.bench import (
    ageing_series,
    bleed_press,
    extruded_slug,
    plate_squeeze,
    spread,
    spring_back,
    syringe_push,
    two_lands,
)
from slake.bench.declaration import Context
from slake.bench.disagreeing import disagreement
from slake.bench.together import Look
from slake.ground.evidence import Kind
from slake.ground.problems import DoesNotFit, Problem
from tests.bench.good_readings import GOOD


def good(test, *, rows=None, **fields):
    typed, usual = GOOD[test.id]
    return test.read({**typed, **fields}, usual if rows is None else rows)


def said(test, **fields):
    return test.inverse(good(test, **fields), Context())


def test_a_slug_reads_high_by_its_skin_and_that_is_taken_off():
    """0.410 g from 2.0 mm is 739 Pa before the skin's 42 Pa (own arithmetic)."""
    found = said(extruded_slug.TEST, slug_g="0.41", slug_least_g="", slug_most_g="")
    assert found.kind is Kind.EXACT and found.low == pytest.approx(739 - 42, abs=1.5)


def test_soft_pastes_and_strings_are_only_bounds():
    assert said(extruded_slug.TEST, slug_g="0.15", slug_least_g="", slug_most_g="").kind is Kind.BELOW
    strung = said(extruded_slug.TEST, how="strung")
    assert strung.kind is Kind.BELOW and "strings" in strung.note


def test_uneven_slugs_are_said():
    assert "knead it" in said(extruded_slug.TEST, slug_g="0.6", slug_least_g="0.2", slug_most_g="1.2").note


def test_a_squeeze_of_the_check_numbers():
    """2.0 mL under 0.5 kg to 34 mm across: 1050 Pa by the thin-disc formula (own arithmetic)."""
    found = said(plate_squeeze.TEST, squeeze_mm="34", squeeze_across_mm="34")
    assert found.kind is Kind.EXACT and 700 < found.low <= 1055


def test_a_puddle_that_hardly_spread_is_stiffer_and_a_wide_one_with_a_skin_is_softer():
    assert said(spread.TEST, spread_mm="55", spread_across_mm="").kind is Kind.ABOVE
    assert said(spread.TEST, spread_mm="220", spread_across_mm="").kind is Kind.BELOW
    assert said(spread.TEST, spread_mm="105", spread_across_mm="").kind is Kind.EXACT


def test_two_widths_that_are_not_of_one_puddle_are_refused():
    with pytest.raises(DoesNotFit, match="measure both again"):
        good(spread.TEST, spread_mm="100", spread_across_mm="200")


def test_a_kettle_weight_is_a_pressure_and_a_stall_a_bound():
    """5 kg less 0.5 of friction on 26.7 mm, half a step off: about 4.25 kg x 17.5 kPa (own arithmetic)."""
    found = said(syringe_push.TEST, syringe_kg="5", friction_kg="0.5", weight_step_kg="0.5", steady_kg="")
    assert found.low == pytest.approx(4.25 * 9.81 / (math.pi * 0.0267**2 / 4), rel=1e-6)
    assert said(syringe_push.TEST, ended="stalled").kind is Kind.ABOVE


@pytest.mark.parametrize("bore", ["0", "-3", "", "nan"])
def test_a_syringe_with_no_bore_takes_the_typical_one_or_is_refused(bore):
    if bore == "":
        assert good(syringe_push.TEST, syringe_bore_mm="").numbers["syringe_bore_mm"] == pytest.approx(0.0267)
        return
    with pytest.raises(Problem):
        good(syringe_push.TEST, syringe_bore_mm=bore)


def test_two_lands_of_the_check_numbers():
    """2.1 and 3.0 kg through 10 and 30 mm of 2 mm bore: 394 Pa on the wall (own arithmetic)."""
    rows = [{"land_mm": "10", "land_kg": "2.1"}, {"land_mm": "30", "land_kg": "3.0"}]
    raw = good(two_lands.TEST, rows=rows, lands_friction_kg="0")
    assert two_lands.TEST.headline(raw).value == pytest.approx(394, abs=0.6)
    assert "entry" in two_lands.TEST.headline(raw).words


def test_lands_of_one_length_are_refused():
    with pytest.raises(DoesNotFit, match="clearly different length"):
        good(two_lands.TEST, rows=[{"land_mm": "10", "land_kg": "2"}, {"land_mm": "10", "land_kg": "3"}])


def test_bleed_in_grams_per_100():
    raw = good(bleed_press.TEST)
    assert bleed_press.TEST.headline(raw).value == pytest.approx(2.0)


def test_ooze_over_a_twentieth_of_a_gram_is_said():
    assert "ooze" in said(spring_back.TEST, ooze_g="0.2").note
    assert said(spring_back.TEST, ooze_g="").note == ""


def test_a_series_says_rate_and_pot_life_and_names_what_lies_outside():
    raw = good(ageing_series.TEST)
    assert "pot life" in ageing_series.TEST.headline(raw).words
    rows = [{"age_min": a, "depth_mm": d, "mass_g": "30"} for a, d in (("15", "25"), ("60", "16"), ("120", "12"))]
    found = ageing_series.TEST.inverse(good(ageing_series.TEST, rows=rows), Context())
    assert "25 mm at 15 min" in found.note and found.low > 0


def test_tests_of_one_paste_agree_and_a_slip_by_ten_between_them_is_named():
    def look(test, name, **fields):
        return Look(called=name, test=test, raw=good(test, **fields), context=Context(age_s=3600))

    slug = look(extruded_slug.TEST, "slug", slug_g="0.6", slug_least_g="", slug_most_g="")
    pascals = slug.evidence.low
    width = plate_squeeze.TEST.forward(pascals, Context())
    squeeze = look(plate_squeeze.TEST, "squeeze", squeeze_mm=f"{width:.1f}", squeeze_across_mm="")
    assert disagreement([slug, squeeze]) is None
    slipped = look(extruded_slug.TEST, "slug", slug_g="6.0", slug_least_g="", slug_most_g="")
    found = disagreement([slipped, squeeze])
    assert found is not None and found.cause.name == "SLIP_BY_TEN" and "0.6 g and not 6" in found.words


def test_age_is_named_across_two_tests_and_a_slug_a_tenth_too_light_is_a_slip():
    def look(test, name, minutes, **fields):
        return Look(called=name, test=test, raw=good(test, **fields), context=Context(age_s=60 * minutes))

    young = look(extruded_slug.TEST, "slug", 10, slug_g="0.5", slug_least_g="", slug_most_g="")
    width = plate_squeeze.TEST.forward(2 * young.evidence.low, Context())
    old = look(plate_squeeze.TEST, "squeeze", 150, squeeze_mm=f"{width:.1f}", squeeze_across_mm="")
    found = disagreement([young, old])
    assert found is not None and found.cause.name == "AGE" and "140 min apart" in found.words
    light = look(extruded_slug.TEST, "slug", 150, slug_g="0.1", slug_least_g="", slug_most_g="")
    slipped = disagreement([light, old])
    assert slipped is not None and slipped.cause.name == "SLIP_BY_TEN" and "1 g and not 0.1" in slipped.words
