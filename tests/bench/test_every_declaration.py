"""What holds for every declared bench test, the lab's own included: said, sourced, consistent there and back."""

from __future__ import annotations

import tomllib
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.bench.declaration import BenchTest, Choice, Context, Scalar
from slake.bench.describe import known_sources
from slake.bench.shelf import all_tests
from slake.ground.evidence import Kind
from slake.ground.units import unit
from tests.bench.good_readings import GOOD

DECLARED = list(all_tests().values())
NAMES = tomllib.loads((Path(__file__).parents[2] / "src/slake/ground/names.toml").read_text(encoding="utf-8"))
NOTEBOOK = {
    "cone_depth_mm",
    "slump_mm",
    "ram_force_n",
    "springback_percent",
    "layers_stood",
    "shrinkage_percent",
    "crack_grade",
    "strength_mpa",
    "density_g_per_ml",
    "slug_g",
    "squeeze_mm",
    "spread_mm",
    "syringe_kg",
    "lands_stress_pa",
    "bleed_g_per_100g",
    "stiffening_percent_per_h",
}
each = pytest.mark.parametrize("test", DECLARED, ids=lambda test: test.id)


def scalars(test: BenchTest) -> list[Scalar]:
    columns = test.rows.columns if test.rows else ()
    return [item for item in (*test.inputs, *columns) if isinstance(item, Scalar)]


OF_THE_TRADE = {
    "fall_cone", "extruded_slug", "plate_squeeze", "slump", "spread", "syringe_push", "two_lands", "bleed_press",
    "spring_back", "ageing_series", "oven_moisture", "water_demand", "gum_run_out", "sieve_split", "paste_density",
    "shrinkage_bar", "crack_grade", "three_point_bend", "jar_humidity", "drying_curve", "mould_watch", "layers_stood",
    "first_last_bead",
}  # fmt: skip


def test_every_test_of_the_trade_is_declared():
    """T1 to T19 and T22 to T24 of a bench with a kitchen scale, syringes, calipers and a phone."""
    assert {test.id for test in DECLARED} >= OF_THE_TRADE


def test_every_reading_a_notebook_may_name_has_a_test():
    assert {t.notebook_name for t in DECLARED} >= NOTEBOOK


@each
def test_it_says_what_to_do_and_what_to_mind(test: BenchTest):
    assert 2 <= len(test.procedure) <= 5
    assert max(map(len, test.procedure)) <= 90, "too long to read with wet hands"
    assert test.cautions and test.validity and test.brief_words and test.title


@each
def test_its_sources_names_and_units_are_known(test: BenchTest):
    assert test.sources and set(test.sources) <= set(known_sources())
    assert test.informs in NAMES
    for name in (test.notebook_unit, *(item.unit for item in scalars(test))):
        assert unit(name).name == name


@each
def test_typical_values_keep_their_own_limits(test: BenchTest):
    for item in scalars(test):
        assert item.low < item.high
        if item.typical is not None:
            assert item.low <= item.typical <= item.high
    for item in test.inputs:
        if isinstance(item, Choice) and item.typical is not None:
            assert item.typical in item.words
    assert test.floor < test.ceiling


@each
def test_a_good_reading_becomes_evidence_of_what_it_informs(test: BenchTest):
    typed, rows = GOOD[test.id]
    raw = test.read(typed, rows)
    evidence = test.inverse(raw, Context())
    assert evidence.informs == test.informs
    assert evidence.kind in {Kind.EXACT, Kind.BETWEEN}
    assert evidence.note == ""
    span = evidence.range80()
    assert span is not None and span.low < span.mid < span.high
    assert {key: raw.typed[key] for key in typed} == typed
    assert raw.typed["rows"] == rows


@each
def test_the_headline_is_the_reading_a_notebook_names(test: BenchTest):
    headline = test.headline(test.read(*GOOD[test.id]))
    assert (headline.name, headline.unit) == (test.notebook_name, test.notebook_unit)


NARROW = {"plate_squeeze": (0.8, 1.5), "spread": (0.8, 1.5), "syringe_push": (0.6, 2.2), "jar_humidity": (0.5, 1.6)}
"""Widths go with the fifth root of the stress, a weight has its plunger's friction in it, air holds 100 % at most."""


def usual_span(test: BenchTest) -> tuple[float, float]:
    return NARROW.get(test.id, (0.4, 2.2))


def usual_values(test: BenchTest) -> st.SearchStrategy[float]:
    """Headline values away from the ends; whole ones where the test counts or grades."""
    typed, rows = GOOD[test.id]
    middle = test.headline(test.read(typed, rows)).value
    if test.notebook_unit in {"layers", "grade"}:
        return st.integers(1, 4).map(float)
    low, high = usual_span(test)
    return st.floats(low * middle, high * middle)


@given(data=st.data())
@each
def test_what_is_expected_of_what_was_read_is_the_reading(test: BenchTest, data: st.DataObject):
    """Headline -> evidence -> property -> headline comes back."""
    value = data.draw(usual_values(test))
    raw = test.quick(value)
    evidence = test.inverse(raw, Context())
    if evidence.kind is Kind.EXACT:
        assert test.forward(evidence.low, Context()) == pytest.approx(value, rel=1e-6)
    elif evidence.kind is Kind.BETWEEN:
        assert test.forward((evidence.low + evidence.high) / 2, Context()) == pytest.approx(value, rel=1e-6)
    else:
        pytest.fail(f"{test.id} says only {evidence.kind.value} for a usual {value}")


@given(data=st.data())
@each
def test_a_number_alone_is_the_reading_taken_with_the_typical_instrument(test: BenchTest, data: st.DataObject):
    value = data.draw(usual_values(test))
    raw = test.quick(value)
    assert test.headline(raw).value == pytest.approx(value, rel=1e-9)
    assert set(raw.numbers) == {i.name for i in test.inputs if isinstance(i, Scalar)}
    assert set(raw.words) == {i.name for i in test.inputs if isinstance(i, Choice)}
    for item in test.inputs:
        if isinstance(item, Scalar) and item.typical is not None and item.name != test.notebook_name:
            assert raw.numbers[item.name] == pytest.approx(item.typical_si())
    for row in raw.rows:
        assert test.rows is not None and set(row) == {column.name for column in test.rows.columns}


OTHER_INSTRUMENT = {
    "fall_cone": {"cone_mass_g": "80", "cone_angle": "60"},
    "slump": {"cylinder_height_mm": "80"},
    "layers_stood": {"layer_height_mm": "0.7"},
    "spring_back": {"column_mm": "30"},
    "paste_density": {"volume_ml": "12"},
    "oven_moisture": {"oven_c": "60"},
    "extruded_slug": {"nozzle_mm": "1.5"},
    "plate_squeeze": {"press_g": "400", "dollop_ml": "2.5"},
    "spread": {"puddle_ml": "40"},
    "syringe_push": {"syringe_bore_mm": "20", "friction_kg": "0.8", "weight_step_kg": "0.25"},
}


@each
def test_with_another_instrument_named_it_still_comes_back(test: BenchTest):
    typed, rows = GOOD[test.id]
    raw = test.read({**typed, **OTHER_INSTRUMENT.get(test.id, {})}, rows)
    context = Context(density_kg_m3=1320, layer_height_m=2e-3, instrument={**raw.numbers, **raw.words})
    evidence = test.inverse(raw, context)
    assert evidence.low is not None and evidence.high is not None
    middle = (evidence.low + evidence.high) / 2
    assert test.forward(middle, context) == pytest.approx(test.headline(raw).value, rel=1e-9)


@each
def test_the_reading_runs_one_way_with_the_property(test: BenchTest):
    """No two properties share a reading inside the usual span, or a search over the property would be lost."""
    middle = test.headline(test.read(*GOOD[test.id])).value
    counted = test.notebook_unit in {"layers", "grade"}
    low, high = usual_span(test)
    tried = [1, 2, 3] if counted else [1.2 * low * middle, middle, high / 1.2 * middle]
    found = [test.inverse(test.quick(value), Context()) for value in tried]
    values = [test.forward(e.low + 1e-12, Context()) for e in found if e.low is not None]
    steps = [b - a for a, b in pairwise(values)]
    assert all(s > 0 for s in steps) or all(s < 0 for s in steps)


@each
def test_scatter_is_never_nothing(test: BenchTest):
    value = test.headline(test.read(*GOOD[test.id])).value
    assert test.scatter(value) > 0
    assert test.scatter(value) >= test.scatter_absolute
