"""The two-sided desirability of the worked example, put together from the one-sided forms slake uses."""

from __future__ import annotations

from slake.campaign.nearness import larger_is_better, smaller_is_better


def target_is_best(value: float, low: float, target: float, high: float) -> float:
    """1 at `target`, 0 at and beyond `low` and `high`."""
    if value <= target:
        return larger_is_better(value, low, target)
    return smaller_is_better(value, target, high)
