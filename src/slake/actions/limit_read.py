"""A reading that is only a limit ("all 28 stood", "still clean on day 4") beside a window of the brief."""

from __future__ import annotations

from slake.bench.declaration import BenchTest
from slake.ground.evidence import Evidence, Kind

OWN_NUMBER = frozenset({"layers_stood", "mould_first_s", "dry_after_s", "gum_run_out_s"})
"""Properties that are their own reading: a bound of the one is a bound of the other."""
Window = tuple[float | None, float | None]


def of_bound(test: BenchTest, evidence: Evidence, value: float, window: Window | None) -> tuple[str, str] | None:
    """Inside, outside or unsure, with why; None where it is no limit of its own number, or nothing is asked."""
    if window is None or test.informs not in OWN_NUMBER or evidence.kind not in (Kind.ABOVE, Kind.BELOW):
        return None
    return _at_least(value, *window) if evidence.kind is Kind.ABOVE else _at_most(value, *window)


def _at_least(value: float, low: float | None, high: float | None) -> tuple[str, str]:
    if high is not None and value >= high:
        return "outside", "it went further than that"
    if low is not None and value >= low and high is None:
        return "inside", "as far as this one reading shows: it was this much or more"
    return "unsure", "it was this much or more: how much more, this reading cannot say"


def _at_most(value: float, low: float | None, high: float | None) -> tuple[str, str]:
    if low is not None and value < low:
        return "outside", "it was less than that"
    if high is not None and value <= high and low is None:
        return "inside", "as far as this one reading shows: it was this much or less"
    return "unsure", "it was this much or less: how much less, this reading cannot say"
