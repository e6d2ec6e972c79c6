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
