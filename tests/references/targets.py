"""The worked example of desirability (Kuhn): two response models of Myers and Montgomery, judged with the forms slake
uses.
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import minimize

from slake.campaign.nearness import larger_is_better, overall, smaller_is_better


def target_is_best(value: float, low: float, target: float, high: float) -> float:
    """1 at `target`, 0 at and beyond `low` and `high`."""
    if value <= target:
        return larger_is_better(value, low, target)
    return smaller_is_better(value, target, high)


def conversion(a: float, b: float, c: float) -> float:
    straight = 81.09 + 1.0284 * a + 4.043 * b + 6.2037 * c
    return straight - 1.8366 * a * a + 2.9382 * b * b - 5.1915 * c * c + 2.2150 * a * b + 11.375 * a * c - 3.875 * b * c


def activity(a: float, b: float, c: float) -> float:
    straight = 59.85 + 3.583 * a + 0.2546 * b + 2.2298 * c
    curved = 0.83479 * a * a + 0.07484 * b * b + 0.05716 * c * c
    return straight + curved - 0.3875 * a * b - 0.375 * a * c + 0.3125 * b * c


def both(a: float, b: float, c: float) -> float:
    """Desirability of both at one setting."""
    kept = target_is_best(activity(a, b, c), 55.0, 57.5, 60.0)
    return overall([larger_is_better(conversion(a, b, c), 80.0, 97.0), kept])


def best_within(edge: float) -> float:
    """The best desirability with every setting between -edge and edge, climbed from a lattice of starts."""
    ends = [-edge, -edge / 3, edge / 3, edge]
    starts = sorted(((a, b, c) for a in ends for b in ends for c in ends), key=lambda at: -both(*at))[:8]
    close = {"xatol": 1e-7, "fatol": 1e-10}

    def short_of(at: np.ndarray) -> float:
        return -both(*np.clip(at, -edge, edge))

    return float(max(-minimize(short_of, at, method="Nelder-Mead", options=close).fun for at in starts))
