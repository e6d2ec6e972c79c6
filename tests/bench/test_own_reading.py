"""A lab own reading, declared as data: taken as it is, one-sided at the ends of its scale, refused otherwise."""

from __future__ import annotations

import pytest

from slake.bench.declaration import Context
from slake.bench.own import OwnReading, declared
from slake.ground.evidence import Kind
from slake.ground.problems import DoesNotFit, OutsideRange, Problem

FLOW = OwnReading(key="flow_cm", title="Flow", unit="cm", floor=20.0)


def test_a_plain_number_goes_in_and_comes_out():
    test = declared(FLOW)
    raw = test.read({"flow_cm": "52,5"})
    assert test.headline(raw).value == pytest.approx(52.5)
    found = test.inverse(raw, Context())
    assert found.kind is Kind.EXACT and found.low == pytest.approx(0.525) and found.informs == "flow_cm"
    assert test.forward(found.low, Context()) == pytest.approx(52.5)
    assert test.inverse(test.quick(52.5), Context()) == found


def test_at_the_floor_it_only_says_at_most():
    test = declared(FLOW)
    found = test.inverse(test.read({"flow_cm": "20"}), Context())
    assert found.kind is Kind.BELOW and found.high == pytest.approx(0.20)
    assert "20 cm or less" in test.headline(test.read({"flow_cm": "20"})).words
    with pytest.raises(OutsideRange):
        test.read({"flow_cm": "19"})


def test_at_the_ceiling_it_only_says_at_least():
    test = declared(OwnReading(key="shade", title="Shade", unit="steps", floor=0, ceiling=10))
    found = test.inverse(test.read({"shade": "10"}), Context())
    assert found.kind is Kind.ABOVE and found.low == 10
    assert test.forward(14.0, Context()) == 10


def test_it_may_inform_a_known_property_in_a_unit_of_it():
    test = declared(OwnReading(key="vane_kpa", title="Vane", unit="kPa", floor=0, informs="yield_stress_pa"))
    found = test.inverse(test.read({"vane_kpa": "1,2"}), Context())
    assert (found.informs, found.low) == ("yield_stress_pa", pytest.approx(1200))


@pytest.mark.parametrize(
    ("own", "kind", "says"),
    [
        (OwnReading(key="vane", title="Vane", unit="cm", informs="yield_stress_pa"), DoesNotFit, "Pa"),
        (OwnReading(key="vane", title="Vane", unit="blobs", informs="yield_stress_pa"), DoesNotFit, "plain number"),
        (OwnReading(key="vane", title="Vane", unit="Pa", informs="magic"), Problem, "magic"),
        (OwnReading(key="x y", title="X", unit=""), Problem, "small letters"),
        (OwnReading(key="xy", title="X", unit="", floor=5, ceiling=5), OutsideRange, "above its start"),
        (OwnReading(key="xy", title="X", unit="", scatter=0.0), OutsideRange, "scatter"),
    ],
)
def test_what_cannot_be_declared_is_refused_in_a_sentence(own, kind, says):
    with pytest.raises(kind, match=says):
        declared(own)
