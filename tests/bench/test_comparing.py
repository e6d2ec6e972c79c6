import pytest

from slake.bench.comparing import Ends, as_read_with, ends_of, instrument_of
from slake.bench.declaration import Context
from slake.bench.shelf import test_named as named
from slake.ground.evidence import above, exact


def evidence(test_id, **fields):
    test = named(test_id)
    return test, test.inverse(test.read(fields), Context())


def test_a_lighter_cone_sinks_less_by_the_root_of_the_masses():
    test, seen = evidence("fall_cone", cone_depth_mm="20", cone_mass_g="80")
    # depth goes with the root of the mass (Hansbo 1957, K m g / d^2): 20 * sqrt(30/80) = 12.2474
    assert as_read_with(test, seen, {"cone_mass_g": "30"}) == pytest.approx(12.247, abs=0.0005)
    assert as_read_with(test, seen, {}) == pytest.approx(12.247, abs=0.0005)
    assert as_read_with(test, seen, {"cone_mass_g": "80"}) == pytest.approx(20, abs=1e-6)


def test_what_the_other_cone_cannot_show_is_no_number():
    test, seen = evidence("fall_cone", cone_depth_mm="30", cone_mass_g="30")
    # 30 * sqrt(200/30) = 77 mm: deeper than any cup
    assert as_read_with(test, seen, {"cone_mass_g": "200"}) is None


def test_a_blind_slump_is_never_told_as_more_than_was_seen():
    test, low = evidence("slump", slump_mm="0", cylinder_height_mm="50")
    assert as_read_with(test, low, {"mould": "concrete_cone"}) is None  # stands for more pascals than the cylinder saw
    assert as_read_with(test, low, {"cylinder_height_mm": "40"}) == 0  # blind from fewer pascals on: claims less
    assert as_read_with(test, low, {"cylinder_height_mm": "100"}) is None


def test_left_open_is_the_typical_instrument_and_grams_typed_twice_are_one_cone():
    cone = named("fall_cone")
    assert instrument_of(cone, {}) == instrument_of(cone, {"cone_mass_g": "30,0", "cone_angle": "30"})
    assert instrument_of(cone, {}) != instrument_of(cone, {"cone_mass_g": "80"})


def test_a_test_whose_number_is_worked_out_has_no_instrument_to_change():
    assert instrument_of(named("paste_density"), {"empty_g": "5"}) == {}


def test_another_mould_shows_it_at_the_density_of_the_paste_and_not_at_the_usual_one():
    """A heavier paste of one stress slumps more; own arithmetic through the law itself."""
    test = named("slump")
    heavy, light = Context(density_kg_m3=1900), Context(density_kg_m3=1300)
    seen = test.inverse(test.read({"slump_mm": "10"}), heavy)
    shown = {c.density_kg_m3: as_read_with(test, seen, {"cylinder_height_mm": "80"}, c) for c in (heavy, light)}
    assert shown[1900] == pytest.approx(
        test.forward(seen.low, Context(density_kg_m3=1900, instrument={"cylinder_height_mm": 0.08}))
    )
    assert shown[1900] > 1.3 * shown[1300]
    same = as_read_with(test, seen, {}, heavy)
    assert same == pytest.approx(10, abs=1e-6)


def test_the_end_of_a_scale_is_judged_at_the_density_of_the_paste_too():
    """At 1.1 g/mL the 40 mm cylinder is blind from fewer pascals on than the 50 mm one was; at 1.5 g/mL, more."""
    test = named("slump")
    seen = test.inverse(test.read({"slump_mm": "0", "cylinder_height_mm": "40"}), Context(density_kg_m3=1500))
    assert as_read_with(test, seen, {"cylinder_height_mm": "50"}, Context(density_kg_m3=1100)) == 0
    assert as_read_with(test, seen, {"cylinder_height_mm": "50"}, Context(density_kg_m3=1500)) is None


def test_a_bound_is_turned_the_way_the_reading_runs():
    """Stiffer than a stress: the slug weighs at least, the cone sinks at most."""
    cone, slug = named("fall_cone"), named("extruded_slug")
    stiffer = above("yield_stress_pa", 1000.0, 0.1)
    assert ends_of(cone, stiffer, Context()) == Ends(low=None, high=pytest.approx(cone.forward(1000.0, Context())))
    assert ends_of(slug, stiffer, Context()) == Ends(low=pytest.approx(slug.forward(1000.0, Context())), high=None)
    assert ends_of(slug, exact("yield_stress_pa", 1000.0, 0.1), Context()) is None
