"""A cone that is not the one the batch was foreseen with: what the other would show is said, by its own arithmetic."""

from __future__ import annotations

import math

import pytest

from slake.actions.answers import meaning
from slake.actions.mixing import begin_batch, start_clock
from slake.actions.proposing import propose_next
from slake.actions.reading import log_reading
from slake.actions.reading_said import evidence_words
from slake.actions.setting_up import set_brief
from slake.bench.shelf import all_tests
from slake.ground.evidence import Evidence, Kind


@pytest.fixture
def batch(first_day, entry):
    set_brief(entry(), {"cone_depth_mm": ("11", "17")})
    return start_clock(entry(), begin_batch(entry(), propose_next(entry()).pk, {"dry_g": "300"}).pk)


def note_of(batch, entry, **fields: str) -> str:
    return meaning(log_reading(entry(60), "fall_cone", ("batch", batch.pk), fields)).note


def test_a_heavier_cone_than_foreseen_is_told_as_the_foreseen_one_shows_it(batch, entry):
    """One paste, one angle: depth goes with the root of the mass (Hansbo), so 13 mm of 80 g is 7.96 mm of 30 g."""
    said = note_of(batch, entry, cone_depth_mm="13", cone_mass_g="80")
    assert f"would show {13 * math.sqrt(30 / 80):.3g} mm" in said


def test_the_foreseen_cone_says_nothing_more(batch, entry):
    assert "foreseen" not in note_of(batch, entry, cone_depth_mm="13", cone_mass_g="30")
    assert "foreseen" not in note_of(batch, entry, cone_depth_mm="13")


@pytest.mark.parametrize(("test", "words"), [("mould_watch", "mould above 2 day"), ("drying_curve", "dry above 48 h")])
def test_no_unit_of_a_key_shows_in_plain_words(test, words):
    declared = all_tests()[test]
    kept = Evidence(informs=declared.informs, kind=Kind.ABOVE, low=2 * 86400.0, high=None, scatter=0.1, on_log=False)
    assert evidence_words(kept, declared).endswith(words)
    assert "_" not in evidence_words(kept, declared)
