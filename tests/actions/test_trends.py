"""A trend tells of the paste a batch became: what was read before the last pour was another one."""

from __future__ import annotations

import pytest

from slake.actions.bowl import knead_in
from slake.actions.mixing import start_clock
from slake.actions.reading import log_reading, strike
from slake.actions.trends import followed, trend
from tests.actions.test_bowl import weigh_all
from tests.pages.begun import begin


@pytest.fixture
def batch(databases, entry):
    begun = start_clock(entry(), begin().pk)
    weigh_all(begun, entry)
    return begun


def cone(batch, entry, minutes: float, depth: str) -> None:
    log_reading(entry(minutes), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": depth})


def drawn():
    (point,) = trend(followed("yield_stress_pa"))
    return point


def test_a_correction_moves_the_point_to_the_reading_after_it(batch, entry):
    cone(batch, entry, 60, "8")
    before = drawn().around.mid
    poured = knead_in(entry(65), batch.pk, "10")
    assert drawn().around.mid == before, "nothing was read since: what there is still counts"
    cone(batch, entry, 90, "16")
    assert drawn().around.mid == pytest.approx(before / 4, rel=0.01)
    strike(entry(95), "weighing", poured.pk, "it was not kneaded in")
    assert drawn().around.mid == pytest.approx(before, rel=0.01)
