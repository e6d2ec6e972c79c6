"""What pages ask and nothing changes: what a reading means."""

from __future__ import annotations

from dataclasses import dataclass, replace

from slake.ground.evidence import Evidence, Range
from slake.records.models import Reading
from slake.records.values import context_of, evidence_of, raw_of, test_of

from .advising import Advice as Advice
from .advising import advice as advice
from .foreseen import other_instrument
from .limit_read import of_bound
from .reading_said import evidence_words
from .readings_told import Own, own_times
from .windowed import in_window, windows


@dataclass(frozen=True, kw_only=True)
class Meaning:
    """One reading in words and numbers: evidence, its 80 % range where there is one, and the brief's window.

    in_window: "inside", "outside" or "unsure" (the range of one reading straddles a limit); None without window.
    """

    evidence: Evidence
    range80: Range | None
    words: str
    in_window: str | None
    window: tuple[float | None, float | None] | None
    note: str
    more: tuple[str, ...] = ()
    bound_words: str = ""


def meaning(reading: Reading, own: Own | None = None) -> Meaning:
    """What a reading says, worked out afresh from what was typed, with the scatter of this bench's own repeats where
    there are enough (`own`, else looked up). Raises Problem where it can no longer be read.
    """
    times = own_times(reading, own)
    test, evidence = test_of(reading), evidence_of(reading)
    evidence = replace(evidence, scatter=times * evidence.scatter)
    window = windows().get(test.notebook_name)
    held = of_bound(test, evidence, reading.headline_value, window)
    return Meaning(
        evidence=evidence,
        range80=evidence.range80(),
        words=evidence_words(evidence, test),
        in_window=held[0] if held else in_window(test, reading.headline_value, window, times) if window else None,
        window=window,
        note="; ".join(filter(None, (evidence.note, other_instrument(reading, evidence)))),
        more=test.further_sentences(raw_of(reading), context_of(reading)),
        bound_words=held[1] if held else "",
    )
