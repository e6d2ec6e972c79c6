"""A slump is read with the density of its own recipe, and a weighed density with what the recipe weighs without air."""

from __future__ import annotations

import pytest

from slake.actions.mixing import begin_batch, start_clock
from slake.actions.proposing import propose_next
from slake.actions.reading import log_reading
from slake.records.values import air_free_density, context_of


@pytest.fixture
def batch(first_day, entry):
    return start_clock(entry(), begin_batch(entry(), propose_next(entry()).pk, {"dry_g": "300"}).pk)


def test_the_recipes_own_density_then_the_weighed_one(batch, entry):
    slumped = log_reading(entry(60), "slump", ("batch", batch.pk), {"slump_mm": "5"})
    free = air_free_density(batch)
    assert 1300 < free < 2200
    assert context_of(slumped).density_kg_m3 == pytest.approx(0.98 * free)
    log_reading(
        entry(61), "paste_density", ("batch", batch.pk), {"empty_g": "0", "filled_g": "16,2", "volume_ml": "10"}
    )
    slumped.refresh_from_db()
    assert context_of(slumped).density_kg_m3 == pytest.approx(1620)


def test_air_is_told_from_the_weighed_density(batch, entry):
    free = air_free_density(batch)
    grams = f"{free * 0.95 / 100:.2f}"
    row = log_reading(
        entry(61), "paste_density", ("batch", batch.pk), {"empty_g": "0", "filled_g": grams, "volume_ml": "10"}
    )
    context = context_of(row)
    assert context.air_free_kg_m3 == pytest.approx(free)


def test_a_cone_needs_no_density(batch, entry):
    assert (
        context_of(log_reading(entry(60), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": "14"})).air_free_kg_m3
        is None
    )


def test_what_the_foot_of_a_wall_carried_is_worked_out_with_its_own_density(batch, entry):
    fields = {"layers_stood": "20", "how": "foot bulged"}
    wall = log_reading(entry(61), "layers_stood", ("batch", batch.pk), fields)
    assert context_of(wall).density_kg_m3 == pytest.approx(0.98 * air_free_density(batch))
