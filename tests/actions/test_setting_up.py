import pytest

from slake.actions.heating import heat_words, log_heat
from slake.actions.keeping import is_raw
from slake.actions.lots import take_lots
from slake.actions.setting_up import describe_machine, say_room, set_brief
from slake.ground.problems import OutsideRange, Problem
from slake.paste.ingredients import HowKnown
from slake.records.values import moisture_of, windows_of


def test_a_first_day_needs_no_more_than_names(first_day):
    shell, guar, _ = first_day
    assert [lot.role for lot in first_day] == ["filler", "thickener", "binder"]
    assert moisture_of(shell).how is not HowKnown.MEASURED
    assert moisture_of(shell).value.low < moisture_of(shell).value.high
    assert guar.name == "guar gum"


def test_a_stated_moisture_narrows_the_range(first_day, entry):
    (known,) = take_lots(entry(), [{"ingredient": "mussel shell", "moisture_percent": "2,5"}])
    wide, narrow = moisture_of(first_day[0]).value, moisture_of(known).value
    assert narrow.high - narrow.low < wide.high - wide.low
    assert narrow.mid == pytest.approx(0.025)


def test_an_unknown_ingredient_needs_only_its_role(databases, entry):
    with pytest.raises(Problem, match="what it is there for"):
        take_lots(entry(), [{"ingredient": "fly ash"}])
    (ash,) = take_lots(entry(), [{"ingredient": "fly ash", "role": "filler"}])
    assert moisture_of(ash).how is HowKnown.TYPICAL


def test_machine_with_force_unknown(databases, entry):
    machine = describe_machine(entry(), {"nozzle_mm": "2", "barrel_mm": "60", "force_n": "don't know"})
    assert (machine.nozzle_mm, machine.barrel_mm, machine.force_n) == (2, 60, None)


@pytest.mark.parametrize(
    "typed",
    [
        {"nozzle_mm": "", "barrel_mm": "60"},
        {"nozzle_mm": "-2", "barrel_mm": "60"},
        {"nozzle_mm": "0", "barrel_mm": "60"},
        {"nozzle_mm": "nan", "barrel_mm": "60"},
        {"nozzle_mm": "inf", "barrel_mm": "60"},
        {"nozzle_mm": "2 g", "barrel_mm": "60"},
        {"nozzle_mm": "1e9", "barrel_mm": "60"},
        {"nozzle_mm": "2", "barrel_mm": "60", "pushed_cone_mm": "10", "stalled_cone_mm": "14"},
    ],
)
def test_bad_machines_are_one_sentence(databases, entry, typed):
    with pytest.raises(Problem) as caught:
        describe_machine(entry(), typed)
    assert "\n" not in str(caught.value)


def test_brief_windows(databases, entry):
    brief = set_brief(entry(), {"cone_depth_mm": ("14", "20"), "layers_stood": ("30", ""), "crack_grade": ("", "")})
    assert windows_of(brief) == {"cone_depth_mm": (14, 20), "layers_stood": (30, None)}
    for windows in ({}, {"cone_depth_mm": ("20", "14")}, {"moonlight": ("1", "2")}):
        with pytest.raises(Problem):
            set_brief(entry(), windows)


def test_room_is_optional(databases, entry):
    room = say_room(entry(), {"temperature_c": "21,5"})
    assert (room.temperature_c, room.humidity_percent) == (21.5, None)


def test_heat_that_meets_the_rule_and_heat_that_does_not(first_day, entry):
    """40 CFR 503.32 (read in 15A NCAC 02T .1106): 60 C needs 0.5243 days, 70 C 30.06 min."""
    shell = first_day[0]
    assert heat_words(shell) is None
    shell = log_heat(entry(), shell.pk, [{"minutes": "30", "temperature_c": "70", "state": "before"}])
    assert not heat_words(shell).meets
    shell = log_heat(entry(), shell.pk, [{"minutes": "31", "temperature_c": "70", "state": "before"}])
    assert heat_words(shell).meets


def test_dry_powder_in_an_oven_gets_no_credit(first_day, entry):
    shell = log_heat(entry(), first_day[0].pk, [{"minutes": "600", "temperature_c": "90", "state": "dry"}])
    verdict = heat_words(shell)
    assert verdict.refused and not verdict.meets


@pytest.mark.parametrize("state", ["wet", ""])
def test_a_lot_that_is_powder_is_asked_when_it_was_heated(first_day, entry, state):
    with pytest.raises(Problem, match="before it was dried and milled"):
        log_heat(entry(), first_day[0].pk, [{"minutes": "20", "temperature_c": "90", "state": state}])


def test_powder_wetted_again_lifts_nothing_and_ends_a_stretch(first_day, entry):
    rows = [
        {"minutes": "20", "temperature_c": "70", "state": "before"},
        {"minutes": "60", "temperature_c": "90", "state": "powder wetted again"},
        {"minutes": "20", "temperature_c": "70", "state": "before"},
    ]
    shell = log_heat(entry(), first_day[0].pk, rows[1:2])
    assert not heat_words(shell).meets and is_raw(shell)
    shell = log_heat(entry(), shell.pk, [rows[0]])
    shell = log_heat(entry(), shell.pk, rows[1:])
    assert not heat_words(shell).meets and is_raw(shell)
    shell = log_heat(entry(), shell.pk, [{"minutes": "31", "temperature_c": "70", "state": "before"}])
    assert heat_words(shell).meets


@pytest.mark.parametrize(("celsius", "state"), [("101", "before"), ("900", "before"), ("601", "dry"), ("-21", "dry")])
def test_a_heat_no_waste_can_have_is_refused(first_day, entry, celsius, state):
    with pytest.raises(OutsideRange, match="temperature in the coldest spot"):
        log_heat(entry(), first_day[0].pk, [{"minutes": "30", "temperature_c": celsius, "state": state}])
    first_day[0].refresh_from_db()
    assert first_day[0].heat_log == []


def test_a_waste_not_dried_is_taken_as_wet_as_it_comes(databases, entry):
    wet, dry, open_ = take_lots(entry(), [{"ingredient": "spent grain", "dried": d} for d in ("no", "yes", "")])
    assert moisture_of(wet).value.low > 0.5 > 0.2 > moisture_of(dry).value.high
    assert moisture_of(open_).value == moisture_of(dry).value


@pytest.mark.parametrize(
    "row",
    [
        {"ingredient": "water"},
        {"ingredient": "Water "},
        {"ingredient": "mussel shell", "name": "water"},
        {"ingredient": "mussel shell", "name": "water_held_back"},
    ],
)
def test_water_is_no_lot(databases, entry, row):
    with pytest.raises(Problem, match="water is always there"):
        take_lots(entry(), [row])
