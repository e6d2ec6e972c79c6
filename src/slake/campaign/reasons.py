"""Why this batch, in plain sentences."""

from __future__ import annotations

from collections.abc import Mapping

from slake.ground.evidence import Range, percent

from .least_known import LeastKnown
from .told import Book


def reasons(
    book: Book,
    lines: Mapping[str, float],
    chance: Range,
    lacking: LeastKnown | None,
    where: tuple[str, ...],
) -> tuple[str, ...]:
    phase, *outside = where
    critical = min(lines, key=lambda name: lines[name])
    line = book.brief.line(critical)
    words = line.words if line else critical
    span = f"{round(100 * chance.low)}-{round(100 * chance.high)}"
    found = [
        f"Chance that all lines hold {percent(chance.mid)} ({span}).",
        f"The critical line is {words}: chance {percent(lines[critical])} by itself.",
    ]
    if lacking is not None and lacking.narrower < 0.98:
        found.append(lacking.sentence)
    if phase != "aim":
        found.append(f"This batch is on the {phase}, to learn how this material takes water.")
    if outside:
        found.append(
            f"Outside what you have tried so far in {', '.join(outside)}: the ranges there rest on usual behaviour."
        )
    return (*found, *_stand_ins(book))


def _stand_ins(book: Book) -> list[str]:
    """What was not given and what stands in for it."""
    found = []
    if book.brief.typical:
        found.append("No brief was given: a usual one stands in.")
    if book.typical_bounds:
        found.append("No bounds were given: usual amounts of such ingredients stand in.")
    return found
