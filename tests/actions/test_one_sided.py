"""A reading that is no one number reaches the belief as the bound it is: stalled, puddled, held, clean, not dry yet."""

from __future__ import annotations

import math

import pytest

from slake.actions.campaign import tell
from slake.actions.mixing import begin_batch, start_clock
from slake.actions.proposing import propose_next
from slake.actions.reading import log_reading
from slake.actions.readings_told import own_repeatability
from slake.actions.setting_up import set_brief
from slake.records.models import Batch


@pytest.fixture
def batches(first_day, entry):
    set_brief(entry(), {"cone_depth_mm": ("12", "18")})
    given = propose_next(entry()).pk
    return [start_clock(entry(), begin_batch(entry(), given, {"dry_g": "300"}).pk) for _ in range(2)]


BEND = [{"load_n": "20", "span_mm": "60", "width_mm": "10", "thickness_mm": "6"}]
WET = [{"hours": hours, "mass_g": mass} for hours, mass in (("0", "60"), ("2", "57"), ("4", "54"))]
LOOKS = [{"day": "1", "mould_grade": "0"}, {"day": "3", "mould_grade": "0"}]
BOUNDS = {
    "ram_push": ({"ram_force_n": "200", "ended": "stalled"}, [], "ram_force_n", (200, None)),
    "layers_stood": ({"layers_stood": "3", "how": "puddled"}, [], "layers_stood", (None, 4)),
    "three_point_bend": ({"ended": "none broke"}, BEND, "strength_mpa", (5, None)),
    "mould_watch": ({"kept": "warm"}, LOOKS, "mould_first_day", (3, None)),
    "drying_curve": ({"tare_g": "0"}, WET, "dry_after_h", (4, None)),
}


def seen_of(batch: Batch, name: str):
    told = tell()
    mixed = told.book.batches[[one.number for one in told.batches].index(batch.number)].mixed
    return next(seen for seen in mixed.readings if seen.gauge.name == name)


@pytest.mark.parametrize("test", BOUNDS)
def test_what_is_one_sided_is_told_as_the_bound_it_is(test, batches, entry):
    fields, rows, name, (low, high) = BOUNDS[test]
    log_reading(entry(60), test, ("batch", batches[0].pk), fields, rows)
    seen = seen_of(batches[0], name)
    assert (seen.ends.low, seen.ends.high) == (
        low if low is None else pytest.approx(low),
        high if high is None else pytest.approx(high),
    )
    latent_low, latent_high, _ = seen.bounds()
    assert math.isfinite(latent_low) == (low is not None) and math.isfinite(latent_high) == (high is not None)


def test_a_syringe_that_did_not_run_is_told_as_more_than_its_weight(batches, entry):
    fields = {"syringe_kg": "6", "ended": "stalled", "friction_kg": "0.4", "weight_step_kg": "0.5"}
    log_reading(entry(60), "syringe_push", ("batch", batches[0].pk), fields)
    seen = seen_of(batches[0], "syringe_kg")
    assert seen.ends.high is None and seen.ends.low == pytest.approx(6.25), "half a step over the weight that held"


def test_a_slug_that_drew_strings_is_told_as_no_more_than_its_weight(batches, entry):
    log_reading(entry(60), "extruded_slug", ("batch", batches[0].pk), {"slug_g": "0.6", "how": "strung"})
    seen = seen_of(batches[0], "slug_g")
    assert seen.ends.low is None and seen.ends.high == pytest.approx(0.6)


def test_a_day_mould_was_seen_between_two_far_looks_is_told_as_that_wide(batches, entry):
    looks = [{"day": "1", "mould_grade": "0"}, {"day": "9", "mould_grade": "2"}]
    log_reading(entry(60), "mould_watch", ("batch", batches[0].pk), {"kept": "warm"}, looks)
    seen = seen_of(batches[0], "mould_first_day")
    assert (seen.ends.low, seen.ends.high) == (pytest.approx(1), pytest.approx(9))


def test_what_ended_as_one_number_is_told_as_it(batches, entry):
    log_reading(entry(60), "ram_push", ("batch", batches[0].pk), {"ram_force_n": "90", "ended": "ran"})
    seen = seen_of(batches[0], "ram_force_n")
    assert (seen.value, seen.ends) == (90, None)


def test_a_slump_of_nothing_stays_the_number_it_was(batches, entry):
    log_reading(entry(60), "slump", ("batch", batches[0].pk), {"slump_mm": "0"})
    seen = seen_of(batches[0], "slump_mm")
    assert (seen.value, seen.ends) == (0, None) and math.isinf(seen.bounds()[1])


def test_of_two_walls_of_one_count_only_the_one_that_stood_is_a_least(batches, entry):
    for minutes, how in ((60, "fell"), (61, "all stood")):
        log_reading(entry(minutes), "layers_stood", ("batch", batches[0].pk), {"layers_stood": "8", "how": how})
    told = tell().book.batches[0].mixed.readings
    assert [seen.ends is None for seen in told] == [True, False]


def test_layers_of_another_height_are_told_as_those_the_machine_lays(batches, entry):
    """40 layers of 0.6 mm are 24 mm: 20 of the 1.2 mm a machine lays unless it says otherwise."""
    fields = {"layers_stood": "40", "how": "folded sideways", "layer_height_mm": "0.6"}
    log_reading(entry(60), "layers_stood", ("batch", batches[0].pk), fields)
    assert seen_of(batches[0], "layers_stood").value == pytest.approx(20)


def test_a_push_that_ran_is_both_ends_and_one_that_stalled_only_the_lower(batches, entry):
    log_reading(entry(60), "ram_push", ("batch", batches[0].pk), {"ram_force_n": "200", "ended": "ran"})
    log_reading(entry(61), "ram_push", ("batch", batches[1].pk), {"ram_force_n": "200", "ended": "stalled"})
    ran, stalled = (tell().book.batches[n].mixed.readings[0].bounds() for n in (0, 1))
    assert ran[0] == ran[1] == stalled[0] and stalled[1] == math.inf
    assert propose_next(entry()).answer["fractions"]


def test_a_begun_bar_is_told_to_nobody_and_counts_as_no_repeat(batches, entry):
    for minutes in (60, 61):
        log_reading(entry(minutes), "shrinkage_bar", ("batch", batches[0].pk), {}, [{"wet_mm": "100"}])
    log_reading(entry(62), "fall_cone", ("batch", batches[0].pk), {"cone_depth_mm": "15"})
    assert [seen.gauge.name for seen in tell().book.batches[0].mixed.readings] == ["cone_depth_mm"]
    assert "shrinkage_percent" not in own_repeatability(batches)
    log_reading(entry(90), "shrinkage_bar", ("batch", batches[0].pk), {}, [{"wet_mm": "100", "dry_mm": "96"}])
    assert seen_of(batches[0], "shrinkage_percent").value == pytest.approx(4)
