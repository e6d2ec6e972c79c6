"""A reading taken with another instrument than its batch was foreseen with: said, so that no window is misread."""

from __future__ import annotations

from slake.bench.comparing import as_read_with, instrument_of
from slake.bench.declaration import BenchTest
from slake.ground.evidence import Evidence
from slake.ground.problems import Problem, plain
from slake.records.models import Reading
from slake.records.values import context_of, test_of


def other_instrument(reading: Reading, evidence: Evidence) -> str:
    """What the instrument of the proposal would have shown; nothing where it is the same one, or none was foreseen."""
    proposal = reading.batch.proposal if reading.batch is not None else None
    test = test_of(reading)
    if proposal is None or test.notebook_name not in proposal.answer.get("predictions", {}):
        return ""
    foreseen = proposal.answer.get("read_with", {}).get(test.notebook_name, {})
    try:
        if instrument_of(test, dict(reading.typed.get("fields", {}))) == instrument_of(test, foreseen):
            return ""
        return _said(test, as_read_with(test, evidence, foreseen, context_of(reading)))
    except Problem:
        return ""


def _said(test: BenchTest, shows: float | None) -> str:
    would = "could not show it" if shows is None else f"would show {plain(float(f'{shows:.3g}'))} {test.notebook_unit}"
    return (
        f"the batch was foreseen with another instrument, which {would}: "
        "the window of the brief may not be meant for this one"
    )
