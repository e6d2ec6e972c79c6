"""What `slake start` says before it serves: the sample workshop's next batch, with its chance and reason."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from slake.actions.entry import Entry
from slake.actions.proposing import propose_next
from slake.ground.problems import Problem
from slake.records import which

from .home import SAMPLE

SHOWN_PASTE_G = 1000.0
LEAST_SHOWN_G = 0.05


def next_of_sample(now: datetime) -> list[str]:
    """Work the next batch out as a page would, and say it in lines of text."""
    with which.using(SAMPLE):
        try:
            given = propose_next(Entry(id=f"start {now.isoformat()}", at=now))
        except Problem as problem:
            return [f"The sample workshop has no next batch: {problem}"]
    return list(said(given.answer))


def said(answer: Mapping[str, Any]) -> Iterator[str]:
    """Grams for one kilogram of paste, the chance with its 80 % range, and why."""
    number = max(answer["after"], default=0) + 1
    yield f"The sample workshop (invented) would mix next, as batch {number}, for {SHOWN_PASTE_G:.0f} g of paste:"
    for name, fraction in answer["fractions"].items():
        grams = fraction * SHOWN_PASTE_G
        if grams >= LEAST_SHOWN_G:
            yield f"  {grams:7.1f} g  {name}"
    low, mid, high = (round(100 * part) for part in answer["chance"])
    yield f"  chance that all lines of the brief hold: {mid} % (80 % range {low} to {high} %)"
    if answer["least_known"] in answer["why"]:
        yield f"  {answer['least_known']}"
    yield from (
        f"  {reason}"
        for reason in answer["why"]
        if reason != answer["least_known"] and not reason.startswith("Chance that all")
    )
