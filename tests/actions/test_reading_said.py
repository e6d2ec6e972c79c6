"""Every property a bench test informs is said in plain words and in a unit of its own quantity."""

import pytest

from slake.actions.reading_said import BENCH_UNIT_OF, evidence_words, range_words
from slake.bench.declaration import Context
from slake.bench.own import properties
from slake.bench.shelf import all_tests
from slake.ground.evidence import Range, above, exact
from slake.ground.units import UNITS, to_si
from tests.bench.good_readings import GOOD

each = pytest.mark.parametrize("test_id", sorted(all_tests()))


@each
def test_every_key_of_every_test_has_words_and_a_unit_of_its_own_quantity(test_id):
    informs = all_tests()[test_id].informs
    words, unit = BENCH_UNIT_OF[informs]
    assert UNITS[unit].base == properties()[informs]["unit"]
    assert "_" not in words and not words.endswith((" pa", " per s", " n"))


@each
def test_a_good_reading_is_said_with_its_number_turned_into_that_unit(test_id):
    test = all_tests()[test_id]
    found = test.inverse(test.read(*GOOD[test_id]), Context()).range80()
    if found is None:
        pytest.skip("a good reading that is only a limit")
    words, unit = BENCH_UNIT_OF[test.informs]
    said = range_words(test.informs, found, test)
    number = float(said.removeprefix(words).split()[0])
    assert to_si(number, unit) == pytest.approx(found.mid, rel=0.006)
    assert unit in said or unit in {"grade", "layers"}


def test_pascals_are_never_called_kilograms():
    test = all_tests()["syringe_push"]
    said = evidence_words(exact("extrusion_pressure_pa", 45_000.0, 0.1), test)
    assert "45 kPa" in said and "kg" not in said


def test_a_property_without_words_falls_back_to_a_unit_of_its_own_quantity():
    test = all_tests()["syringe_push"]  # its notebook unit is kg
    assert range_words("pressure_pa", Range(low=1.0, mid=2.0, high=3.0), test) == "pressure 2 Pa (80 %: 1 to 3)"


def test_a_unit_its_words_say_already_is_not_said_again():
    said = evidence_words(above("layers_stood", 28, 1, on_log=False), all_tests()["layers_stood"])
    assert said == "layers that stand above 28"
