"""Ram push: a stall is a bound, not a force."""

from __future__ import annotations

from slake.bench.declaration import Context
from slake.bench.ram_push import TEST
from slake.ground.evidence import Kind


def evidence(force: str, ended: str = ""):
    return TEST.inverse(TEST.read({"ram_force_n": force, "ended": ended}), Context())


def test_a_stall_says_more_than_this():
    found = evidence("165", "stalled")
    assert (found.kind, found.low) == (Kind.ABOVE, 165)
    assert "more than" in found.note
    assert TEST.headline(TEST.read({"ram_force_n": "165", "ended": "stalled"})).words == "stalled"


def test_a_steady_bead_says_the_force():
    assert (evidence("90").kind, evidence("90", "ran steadily").low) == (Kind.EXACT, 90)


def test_a_force_the_seal_alone_may_take_is_doubted():
    """10 to 40 N of seal friction: practice."""
    assert "seal" in evidence("30").note and evidence("41").note == ""


def test_a_push_whose_speed_and_bore_are_typed_says_how_fast_it_sheared():
    """15 mm/s through 2.5 mm: 8 v / D = 48 per second; times 1.17 to 1.58 for a flow index of 0.6 to 0.3. Own."""
    typed = {"ram_force_n": "90", "push_speed_mm_s": "15", "push_nozzle_mm": "2.5"}
    (line,) = TEST.further_sentences(TEST.read(typed), Context())
    assert "about 48 per second, 56 to 76 in one that thins" in line
    assert TEST.further_sentences(TEST.read({"ram_force_n": "90"}), Context()) == ()
    assert TEST.further_sentences(TEST.quick(90.0), Context()) == ()
