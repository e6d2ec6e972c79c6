import math

import pytest

from slake.actions.agreeing import looks_of
from slake.actions.answers import meaning
from slake.actions.campaign import tell
from slake.actions.instruments import WITH, describe_instrument
from slake.actions.lots import move_stock, stock_g
from slake.actions.mixing import begin_batch, start_clock, weigh
from slake.actions.own_readings import declare_reading
from slake.actions.proposing import propose_next
from slake.actions.reading import log_reading, strike
from slake.actions.readings_told import as_shown, lately_repeated, own_repeatability
from slake.actions.setting_up import set_brief
from slake.bench import shelf
from slake.ground.problems import Problem
from slake.records.models import Batch, Lot
from slake.records.own_tests import declared_here
from slake.records.values import evidence_of


@pytest.fixture(autouse=True)
def lent():
    yield
    shelf.lend(None)


@pytest.fixture
def batches(first_day, entry):
    set_brief(entry(), {"cone_depth_mm": ("12", "18")})
    given = propose_next(entry()).pk
    return [start_clock(entry(), begin_batch(entry(), given, {"dry_g": "300"}).pk) for _ in range(2)]


@pytest.fixture
def cone(entry):
    return lambda batch, minutes, **fields: log_reading(entry(minutes), "fall_cone", ("batch", batch.pk), fields)


def read(told, number):
    return [(seen.gauge.name, seen.value, seen.minutes) for seen in told.book.batches[number].mixed.readings]


def test_another_cone_is_told_as_the_one_in_use_would_have_read(batches, cone):
    cone(batches[0], 60, cone_depth_mm="20", cone_mass_g="80")
    cone(batches[1], 60, cone_depth_mm="15", cone_mass_g="30")
    told = tell()
    assert told.book.instruments["cone_depth_mm"] == {"cone_mass_g": "30"}
    # depth goes with the root of the mass: 20 * sqrt(30/80) = 12.247 mm
    assert read(told, 0)[0][1] == pytest.approx(12.247, abs=0.0005)
    assert read(told, 1)[0][1] == 15
    assert Batch.objects.get(pk=batches[0].pk).readings.get().headline_value == 20


def test_what_the_cone_in_use_cannot_show_is_left_out_and_stops_nothing(batches, cone):
    cone(batches[0], 60, cone_depth_mm="30", cone_mass_g="30")
    cone(batches[1], 60, cone_depth_mm="9", cone_mass_g="200")
    told = tell()
    assert [batch.number for batch in told.batches] == [batches[1].number]


def test_of_stiffness_every_reading_is_told_with_its_own_age(batches, cone):
    for minutes, depth in ((10, "26"), (55, "19"), (600, "9")):
        cone(batches[0], minutes, cone_depth_mm=depth)
    told = tell()
    assert [(name, value) for name, value, _ in read(told, 0)] == [("cone_depth_mm", d) for d in (26, 19, 9)]
    assert [minutes for _, _, minutes in read(told, 0)] == [pytest.approx(m, abs=1) for m in (10, 55, 600)]
    assert [site.look.batch for site in told.book.belief().sites] == [0, 0, 0]


def test_of_what_is_judged_in_the_end_only_the_last_age_is_told(batches, entry):
    about = ("batch", batches[0].pk)
    for minutes, grade in ((600, "0"), (2880, "3"), (2900, "2")):
        log_reading(entry(minutes), "crack_grade", about, {"crack_grade": grade})
    assert [value for _, value, _ in read(tell(), 0)] == [3, 2]


def test_a_reading_tells_the_instrument_it_was_taken_with(batches, cone, entry):
    black = describe_instrument(entry(), {"name": "black cone", "kind": "cone", "cone_mass_g": "30"})
    cone(batches[0], 60, cone_depth_mm="15", **{WITH: str(black.pk)})
    cone(batches[0], 62, cone_depth_mm="16")
    seen = tell().book.batches[0].mixed.readings
    assert [one.with_which for one in seen] == ["black cone", ""]
    assert "cone:black cone" in seen[0].gauge.shared("black cone")


def test_own_repeats_change_what_a_reading_is_worth(batches, cone):
    """Read again and again, widely apart: from three repeats on, belief and ranges take the own scatter."""
    cone(batches[0], 60, cone_depth_mm="10")
    cone(batches[0], 61, cone_depth_mm="16")
    declared = tell()
    assert declared.book.scatter_times == {}
    cone(batches[0], 62, cone_depth_mm="22")
    cone(batches[1], 60, cone_depth_mm="12")
    cone(batches[1], 200, cone_depth_mm="19")  # another age: no repeat
    assert tell().book.scatter_times == {}
    cone(batches[1], 62, cone_depth_mm="18")
    told = tell()
    own = own_repeatability(told.batches)["cone_depth_mm"]
    assert own.repeats == 3 and own.sd.low < own.sd.mid < own.sd.high
    assert told.book.scatter_times == {"cone_depth_mm": pytest.approx(own.times)} and own.times > 2
    soft = [book.book.batches[0].mixed.readings[0].gauge.latent(15.0)[2] for book in (declared, told)]
    assert soft[1] == pytest.approx(soft[0] * own.times)
    assert told.seen != declared.seen
    assert lately_repeated(["fall_cone"])["cone_depth_mm"] == own and lately_repeated(["slump"]) == {}
    said = meaning(batches[0].readings.first())
    assert said.evidence.scatter == pytest.approx(own.times * evidence_of(batches[0].readings.first()).scatter)
    assert said.range80.high / said.range80.low > math.exp(2 * 1.28 * said.evidence.scatter)
    looks = looks_of(batches[0])
    assert [look.scatter / look.evidence.scatter for look in looks] == pytest.approx([own.times] * 3)


def test_a_lab_s_own_reading_at_its_floor_is_told_one_sided_and_proposed_for(batches, entry):
    shelf.lend(declared_here)
    declare_reading(entry(), {"title": "Flow", "unit": "cm", "floor": "20"})
    for batch, value in zip(batches, ("20", "46"), strict=True):
        log_reading(entry(60), "flow_cm", ("batch", batch.pk), {"flow_cm": value})
    set_brief(entry(), {"flow_cm": ("40", "60")})
    sites = tell().book.belief().sites
    assert [(math.isfinite(site.low), math.isfinite(site.high)) for site in sites] == [(False, True), (True, True)]
    low, mid, high = propose_next(entry()).answer["predictions"]["flow_cm"]
    assert 20 <= low <= mid <= high


def test_what_was_read_before_more_water_went_in_is_of_another_paste(batches, cone, entry):
    cone(batches[0], 60, cone_depth_mm="9")
    held = batches[0].amounts.get(held_back=True)
    weigh(entry(70), batches[0].pk, held.order, f"{held.target_g:.1f}")
    assert tell().batches == ()
    cone(batches[0], 80, cone_depth_mm="15")
    assert read(tell(), 0)[0][1] == 15


def test_a_struck_weighing_is_back_in_its_lot_once(batches, entry):
    shell = Lot.objects.get(name="mussel shell")
    row = batches[0].amounts.filter(lot=shell).last()
    wrong = weigh(entry(), batches[0].pk, row.order, "1800")
    assert stock_g(shell) == pytest.approx(200)
    line = entry()
    for _ in range(2):
        strike(line, "weighing", wrong.pk, "a slip of the finger")
    assert stock_g(Lot.objects.get(pk=shell.pk)) == pytest.approx(2000)
    weigh(entry(), batches[0].pk, row.order, "180")
    assert stock_g(Lot.objects.get(pk=shell.pk)) == pytest.approx(1820)


@pytest.mark.parametrize("typed", ["-500", "0", "nan", "1e9"])
def test_what_came_in_is_grams_above_zero(first_day, entry, typed):
    with pytest.raises(Problem, match="grams"):
        move_stock(entry(), first_day[0].pk, typed, "came in")
    assert stock_g(first_day[0]) == 2000


def test_an_instrument_that_cannot_show_the_brief_is_passed_over_and_stops_nothing(batches, entry):
    set_brief(entry(), {"slump_mm": ("100", "150")})
    about = ("batch", batches[0].pk)
    log_reading(entry(60), "slump", about, {"slump_mm": "120", "mould": "concrete_cone"})
    log_reading(entry(61), "slump", ("batch", batches[1].pk), {"slump_mm": "0"})  # the 50 mm cylinder
    told = tell()
    assert told.book.instruments["slump_mm"]["mould"] == "concrete_cone"
    assert [batch.number for batch in told.batches] == [batch.number for batch in batches]
    blind = told.book.batches[1].mixed.readings[0]
    assert blind.ends.low is None and 200 < blind.ends.high < 230, "stiffer than 343 Pa: no more than this on the cone"
    assert propose_next(entry()).answer["fractions"]


def test_syringes_with_unlike_plungers_are_told_and_stop_nothing(batches, entry):
    """The second plunger alone takes more than the first needed for the paste: told as far as the one in use shows."""
    for batch, onset, friction in zip(batches, ("0.9", "4"), ("0.2", "1.5"), strict=True):
        typed = {"syringe_kg": onset, "ended": "ran", "friction_kg": friction}
        log_reading(entry(60), "syringe_push", ("batch", batch.pk), typed)
    told = tell()
    assert told.book.instruments["syringe_kg"]["friction_kg"] == "1.5"
    values = [value for number in range(len(told.batches)) for _, value, _ in read(told, number)]
    assert values[-1] == 4 and all(value > 1.5 for value in values)
    assert propose_next(entry()).answer["fractions"]


def test_a_reading_that_can_no_longer_be_read_stops_nothing(batches, cone):
    cone(batches[0], 60, cone_depth_mm="15")
    odd = cone(batches[1], 60, cone_depth_mm="15")
    odd.headline_value, odd.typed = 55.0, {**odd.typed, "fields": {"cone_depth_mm": "55"}}
    assert as_shown(odd, {}) is None
    assert as_shown(batches[0].readings.get(), {}) == (15, None)


def test_readings_of_a_test_that_was_taken_away_wait_until_it_is_back(batches, entry, cone):
    shelf.lend(declared_here)
    declare_reading(entry(), {"title": "Flow", "unit": "cm", "floor": "20"})
    log_reading(entry(60), "flow_cm", ("batch", batches[0].pk), {"flow_cm": "30"})
    cone(batches[0], 60, cone_depth_mm="15")
    shelf.lend(None)
    assert [name for name, _, _ in read(tell(), 0)] == ["cone_depth_mm"]
    shelf.lend(declared_here)
    assert sorted(name for name, _, _ in read(tell(), 0)) == ["cone_depth_mm", "flow_cm"]
