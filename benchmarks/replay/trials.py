"""What is measured on a table: half foretold from the other half, and rows drawn until a brief is met."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from . import by_slake, general
from .open_tables import Array, OpenTable

Z80 = 1.2815515655446004
MODELS = {"quadratic": general.quadratic, "process": general.process}
CHOOSERS = ("slake", *MODELS, "random")
MET_BY, MOST_ROWS, FIRST, MOST_DRAWN = 0.03, 200, 3, 60
"""Share of rows that meet a brief; rows of a table drawn from; drawn by the order before anyone chooses; at most."""
Chances = Callable[[NDArray[np.intp], NDArray[np.intp]], Array]


def halves(open_table: OpenTable, seed: int) -> dict[str, Any]:
    """Reading -> model -> root mean square error of the half left out and share of it within the 80 % range."""
    order = np.random.default_rng([seed, 1]).permutation(len(open_table))
    known, left = np.sort(order[: len(order) // 2]), np.sort(order[len(order) // 2 :])
    with by_slake.lent(open_table):
        spans = by_slake.foretold(open_table, known, left)
    found: dict[str, Any] = {}
    for name, values in open_table.readings.items():
        low, middle, high = spans[name].T
        found[name] = {"slake": _score(values[left], (low, middle, high))}
        for model, fit in MODELS.items():
            mean, sd = fit(open_table.shares[known], values[known], open_table.shares[left])
            found[name][model] = _score(values[left], (mean - Z80 * sd, mean, mean + Z80 * sd))
    return found


def _score(read: Array, span: tuple[Array, Array, Array]) -> dict[str, float]:
    low, middle, high = span
    held = (read >= low - 1e-9) & (read <= high + 1e-9)
    return {"error": float(np.sqrt(np.mean((read - middle) ** 2))), "held": float(held.mean())}


def until_met(open_table: OpenTable, chooser: str, seed: int) -> dict[str, Any]:
    """Rows drawn until one meets a brief that about three in a hundred rows meet; the brief and the order by seed."""
    rng = np.random.default_rng([seed, 2])
    some = open_table.only(np.sort(np.random.default_rng(7).permutation(len(open_table))[:MOST_ROWS]))
    brief, meets = a_brief(some, rng)
    order = rng.permutation(len(some))
    known = list(order[:FIRST])
    with by_slake.lent(some):
        while not meets[known].any() and len(known) < MOST_DRAWN:
            left = np.setdiff1d(order, known)
            known.append(int(order[len(known)]) if chooser == "random" else _next(some, chooser, (known, left), brief))
    first = np.flatnonzero(meets[known])
    return {"drawn": int(first[0]) + 1 if len(first) else MOST_DRAWN + 1, "met_by": float(meets.mean())}


def a_brief(some: OpenTable, rng: np.random.Generator) -> tuple[dict[str, tuple[float, float]], NDArray[np.bool_]]:
    """Windows about one row, as wide in ranks for every reading, that MET_BY of the rows meet together."""
    ranks = np.column_stack([np.argsort(np.argsort(values, kind="stable")) for values in some.readings.values()])
    middle = int(rng.integers(len(some)))
    far = np.abs(ranks - ranks[middle]).max(axis=1)
    inside = np.argsort(far, kind="stable")[: max(round(MET_BY * len(some)), 2)]
    brief, meets = {}, np.ones(len(some), dtype=np.bool_)
    for name, values in some.readings.items():
        low, high = float(values[inside].min()), float(values[inside].max())
        room = 1e-6 * max(float(np.ptp(values)), 1e-12)
        brief[name] = (max(low - room, 0.0), high + room)
        meets &= (values >= brief[name][0]) & (values <= brief[name][1])
    return brief, meets


def _next(
    some: OpenTable, chooser: str, rows: tuple[list[int], NDArray[np.intp]], brief: Mapping[str, tuple[float, float]]
) -> int:
    known, left = np.array(rows[0]), rows[1]
    if chooser == "slake":
        return int(left[int(np.argmax(by_slake.chances(some, known, left, brief)))])
    chance = np.zeros(len(left))
    for name, (low, high) in brief.items():
        mean, sd = MODELS[chooser](some.shares[known], some.readings[name][known], some.shares[left])
        chance += np.log(np.maximum(ndtr((high - mean) / sd) - ndtr((low - mean) / sd), 1e-300))
    return int(left[int(np.argmax(chance))])
