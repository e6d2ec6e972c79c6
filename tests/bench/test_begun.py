"""A reading taken over days is begun, kept as it is, and continued with its rows carried over."""

from __future__ import annotations

import pytest

from slake.bench import drying_curve, fall_cone, mould_watch, shrinkage_bar
from slake.bench.declaration import Context
from slake.bench.shelf import all_tests
from slake.ground.evidence import Kind
from slake.ground.problems import DoesNotFit, NotEnoughEvidence
from tests.bench.good_readings import GOOD

BEGUN = {
    "shrinkage_bar": (shrinkage_bar.TEST, {}, [{"wet_mm": "100"}, {"wet_mm": "101,5"}]),
    "drying_curve": (drying_curve.TEST, {"tare_g": "10", "scale_step_g": "0.01"}, [{"hours": "0", "mass_g": "60"}]),
    "mould_watch": (mould_watch.TEST, {"kept": "warm"}, [{"day": "1", "mould_grade": "0"}]),
}
each = pytest.mark.parametrize("name", BEGUN)


@each
def test_a_begun_reading_is_kept_says_what_it_waits_for_and_claims_nothing(name):
    test, typed, rows = BEGUN[name]
    raw = test.read(typed, rows)
    assert raw.typed["rows"] == rows
    assert test.still_to_do(raw)
    evidence = test.inverse(raw, Context())
    assert evidence.kind is Kind.ABOVE and evidence.range80() is None
    assert test.further_sentences(raw, Context()) is not None


@each
def test_the_same_rows_with_later_ones_are_a_whole_reading(name):
    test = BEGUN[name][0]
    raw = test.read(*GOOD[name])
    assert not test.says_nothing_yet(raw)
    assert test.inverse(raw, Context()).kind in {Kind.EXACT, Kind.BETWEEN}


def test_wet_marks_alone_are_shown_as_what_they_are():
    test, typed, rows = BEGUN["shrinkage_bar"]
    raw = test.read(typed, rows)
    assert test.says_nothing_yet(raw)
    headline = test.headline(raw)
    assert (headline.name, headline.value, headline.unit) == ("wet_mm", pytest.approx(100.75), "mm")
    assert "nothing yet: measure the dry length when dry" in headline.words
    assert test.inverse(raw, Context()).note == "nothing yet: measure the dry length when dry"
    assert test.still_to_do(raw) == "measure the dry length when dry (2 bars still wet)"


def test_of_three_bars_those_already_dry_count_and_the_rest_is_waited_for():
    rows = [{"wet_mm": "100", "dry_mm": "96"}, {"wet_mm": "100", "dry_mm": ""}, {"wet_mm": "100", "dry_mm": "95"}]
    raw = shrinkage_bar.TEST.read({}, rows)
    assert shrinkage_bar.TEST.inverse(raw, Context()).low == pytest.approx(0.045)
    assert shrinkage_bar.TEST.headline(raw).words == "2 bars"
    assert shrinkage_bar.TEST.still_to_do(raw) == "measure the dry length when dry (1 bar still wet)"
    assert shrinkage_bar.TEST.still_to_do(shrinkage_bar.TEST.read({}, rows[:1])) == ""


def test_a_first_weighing_must_weigh_more_than_its_tray_and_none_is_no_beginning():
    with pytest.raises(DoesNotFit, match="tray alone"):
        drying_curve.TEST.read({"tare_g": "70"}, [{"hours": "0", "mass_g": "60"}])
    with pytest.raises(NotEnoughEvidence, match="weigh it again"):
        drying_curve.TEST.read({}, [])


def test_weighings_that_have_hardly_lost_anything_yet_are_kept_all_the_same():
    rows = [{"hours": hours, "mass_g": mass} for hours, mass in (("0", "60"), ("0.2", "59.95"), ("0.4", "59.9"))]
    raw = drying_curve.TEST.read({"tare_g": "10", "scale_step_g": "0.01"}, rows)
    assert drying_curve.TEST.says_nothing_yet(raw) and drying_curve.TEST.still_to_do(raw)


def test_a_curve_waits_until_it_has_slowed_and_a_watch_until_there_is_enough_mould():
    good = GOOD["drying_curve"]
    early = drying_curve.TEST.read({"tare_g": "10"}, good[1][:3])
    assert drying_curve.TEST.still_to_do(early)
    assert drying_curve.TEST.still_to_do(drying_curve.TEST.read(*good)) == ""
    seen = [{"day": "1", "mould_grade": "0"}, {"day": "2", "mould_grade": "1"}]
    assert mould_watch.TEST.still_to_do(mould_watch.TEST.read({}, seen))
    assert mould_watch.TEST.still_to_do(mould_watch.TEST.read({}, [*seen, {"day": "3", "mould_grade": "2"}])) == ""


def test_a_test_read_at_once_waits_for_nothing():
    assert fall_cone.TEST.still_to_do(fall_cone.TEST.read(*GOOD["fall_cone"])) == ""
    assert {test.id for test in all_tests().values() if test.goes_on} >= set(BEGUN)
