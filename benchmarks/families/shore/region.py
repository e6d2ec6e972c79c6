"""The bounds a kitchen would set, off to one side of what works, and even draws from what they allow."""

from collections.abc import Mapping

import numpy as np

from .pantry import SHELVES
from .waste import Part, Window
from .water import Array

Rng = np.random.Generator
Bounds = Mapping[str, tuple[float, float]]


def _beside(rng: Rng, centre: float, span: float) -> tuple[float, float]:
    """A span that holds a value at a place well off its middle."""
    place = float(rng.uniform(0.12, 0.4))
    place = place if rng.random() < 0.5 else 1.0 - place
    return centre - place * span, centre + (1.0 - place) * span


def _round(value: float, step: float) -> float:
    return round(round(value / step) * step, 4)


def _minor(rng: Rng, name: str) -> tuple[float, float]:
    """A kitchen starts small doses at nothing, or at a pinch for the gum."""
    high = float(rng.uniform(*SHELVES[name].dose))
    step = 0.005 if high < 0.1 else 0.01
    top = max(_round(high, step), 2 * step)
    pinch = SHELVES[name].role == "thickener" or rng.random() < 0.3
    return (min(_round(top * 0.1, 0.001) if pinch else 0.0, top / 4), top)


def kitchen_bounds(rng: Rng, parts: tuple[Part, ...], usual: Array) -> dict[str, tuple[float, float]]:
    """Fractions of wet paste; `usual` is a hidden workable recipe that must not end up in the middle."""
    bounds = {part.name: _minor(rng, part.name) for part in parts[1:-1]}
    main, water = 1.2 * float(usual[0]), float(usual[-1]) - 0.15 * float(usual[0])  # sound pastes are on the dry side
    low, high = _beside(rng, main, main * float(rng.uniform(0.75, 1.15)))
    bounds[parts[0].name] = (max(_round(low, 0.01), 0.02), min(_round(high, 0.01), 0.85))
    low, high = _beside(rng, water, min(0.42, 0.8 * water) * float(rng.uniform(0.8, 1.2)))
    bounds["water"] = (max(_round(low, 0.01), 0.05), min(_round(high, 0.01), 0.95))
    return {part.name: bounds[part.name] for part in parts}


def even(rng: Rng, bounds: Bounds, wanted: int) -> Array:
    """Recipes spread evenly over the bounded part of the mixture (water is the rest); may be fewer if it is thin."""
    low, high = (np.array([pair[side] for pair in bounds.values()]) for side in (0, 1))
    kept: list[Array] = []
    found = 0
    for _ in range(20):
        tries = rng.uniform(low[:-1], high[:-1], size=(wanted, len(low) - 1))
        water = 1.0 - tries.sum(axis=1)
        fits = (water >= low[-1]) & (water <= high[-1])
        kept.append(np.column_stack([tries[fits], water[fits]]))
        found += int(fits.sum())
        if found >= wanted:
            break
    return np.vstack(kept)[:wanted]


def passes(brief: Mapping[str, Window], said: Mapping[str, Array]) -> Array:
    """Which recipes keep every line of the brief."""
    count = len(next(iter(said.values())))
    keep = np.ones(count, dtype=bool)
    for name, (low, high) in brief.items():
        if low is not None:
            keep &= said[name] >= low
        if high is not None:
            keep &= said[name] <= high
    return keep
