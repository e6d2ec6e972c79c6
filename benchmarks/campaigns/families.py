"""A family of made-up wastes by name, and what is asked of any of them."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchmarks.peers.region import Region

Array = NDArray[np.float64]
PLACE = Path(__file__).parents[1] / "families"
BOUNDS_SLACK = 1e-3


def known() -> tuple[str, ...]:
    return tuple(sorted(p.name for p in PLACE.iterdir() if (p / "__init__.py").exists()))


def named(name: str) -> Any:
    """The package of one family: NAME, VERSION, draw, another_lot, kin, truth, mix."""
    return importlib.import_module(f"benchmarks.families.{name}")


def passes(family: Any, waste: Any, recipes: Array) -> NDArray[np.bool_]:
    """Which recipes lie in the bounds and truly meet every line, without noise, at 60 minutes."""
    recipes = np.atleast_2d(recipes)
    limits = np.array([waste.bounds[n] for n in waste.names])
    fine = ((recipes >= limits[:, 0] - BOUNDS_SLACK) & (recipes <= limits[:, 1] + BOUNDS_SLACK)).all(axis=1)
    fine &= np.abs(recipes.sum(axis=1) - 1.0) <= 0.005
    return np.asarray(fine & holds(family.truth(waste, recipes), waste.brief))


def uniform(waste: Any, count: int, rng: np.random.Generator) -> Array:
    """Recipes of a waste, each within its bounds as likely as the next."""
    limits = np.array([waste.bounds[n] for n in waste.names])
    return Region(limits[:, 0], limits[:, 1]).spread(count, rng)


def holds(true: Mapping[str, Array], brief: Mapping[str, tuple[float | None, float | None]]) -> NDArray[np.bool_]:
    held = np.ones(len(next(iter(true.values()))), dtype=bool)
    for name, (low, high) in brief.items():
        held &= true[name] >= (-np.inf if low is None else low - 1e-9)
        held &= true[name] <= (np.inf if high is None else high + 1e-9)
    return held


def broken(family: Any, waste: Any, recipe: Array) -> list[str]:
    """Lines that the truth of one recipe breaks."""
    true = family.truth(waste, np.atleast_2d(recipe))
    lines = [n for n, ends in waste.brief.items() if not holds(true, {n: ends})[0]]
    return lines if passes(family, waste, recipe)[0] or lines else ["out of bounds"]


def as_json(waste: Any) -> dict[str, Any]:
    """What a peer is told of a waste: names, bounds, brief and what the bench can do."""
    return {
        "names": list(waste.names),
        "bounds": {n: list(waste.bounds[n]) for n in waste.names},
        "brief": {n: list(ends) for n, ends in waste.brief.items()},
        "cap_layers": waste.cap_layers,
    }


def batch_json(mixed: Any) -> dict[str, Any]:
    return {
        "fractions": dict(mixed.fractions),
        "outcome": mixed.outcome or "",
        "readings": {n: float(value) for n, (value, _) in mixed.readings.items()},
        "reached_cap": bool(mixed.reached_cap),
    }


def own_seed(family: Any, number: int, seed: int) -> int:
    """One for each waste: the same draws of chance on every waste would make lucky or unlucky tables."""
    return int(np.random.default_rng([seed, number, *family.NAME.encode()]).integers(2**31))


def rounded(recipes: list[Any]) -> list[list[float]]:
    return [[round(float(x), 5) for x in recipe] for recipe in recipes]
