"""What a bench wrote down, as columns a general-purpose method can fit. Logs of positive properties."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.special import log_ndtr

from .region import Array, Region

GRADES = ("crack_grade",)
FLOORS = {"layers_stood": 0.5}
NEVER_PRINTED = ("stalled", "would not extrude", "clogged", "puddled", "tore", "too runny")
STUCK, FORCE, STUCK_LOG = ("stalled", "would not extrude"), "ram_force_n", 0.3
FELL = re.compile(r"fell at layer (\d+)")


@dataclass(frozen=True, kw_only=True)
class Notes:
    """rows (n, parts); printed (n,) yes or no; columns: reading -> (n,) on its own scale, NaN where not taken."""

    region: Region
    rows: Array
    printed: Array
    columns: Mapping[str, Array]
    windows: Mapping[str, tuple[float, float]]

    def taken(self, name: str) -> tuple[Array, Array]:
        """Scaled recipes and values where this reading was taken."""
        column = self.columns[name]
        have = np.isfinite(column)
        return self.region.scaled(self.rows[have]), column[have]


def on_scale(name: str, value: float) -> float:
    """A reading on the scale it is fitted on: natural log but for grades."""
    return value if name in GRADES else float(np.log(max(value, FLOORS.get(name, 1e-3))))


def off_scale(name: str, value: float) -> float:
    return value if name in GRADES else float(np.exp(value))


def window(name: str, ends: Sequence[float | None]) -> tuple[float, float]:
    """A line of the brief on the scale of its reading. Grades are read whole: half a grade belongs to each."""
    half = 0.5 if name in GRADES else 0.0
    low, high = ends
    return (
        -np.inf if low is None else on_scale(name, low) - half,
        np.inf if high is None else on_scale(name, high) + half,
    )


def notes_of(problem: Mapping[str, Any], batches: Sequence[Mapping[str, Any]]) -> Notes:
    names = problem["names"]
    limits = [problem["bounds"][n] for n in names]
    windows = {name: window(name, ends) for name, ends in problem["brief"].items()}
    wanted = {*problem["brief"], *(name for b in batches for name in b["readings"])}
    rows = np.array([[b["fractions"][n] for n in names] for b in batches]).reshape(len(batches), len(names))
    return Notes(
        region=Region([a for a, _ in limits], [b for _, b in limits]),
        rows=rows,
        printed=np.array([not b["outcome"].startswith(NEVER_PRINTED) for b in batches], dtype=bool),
        columns={name: _column(name, batches, windows) for name in sorted(wanted)},
        windows=windows,
    )


def _column(name: str, batches: Sequence[Mapping[str, Any]], windows: Mapping[str, tuple[float, float]]) -> Array:
    """A reading of all batches. What stuck took more force than any that was read and than the brief allows."""
    column = np.array([_read(name, b) for b in batches], dtype=float)
    if name == FORCE and name in windows and np.isfinite(windows[name][1]):
        stuck = np.array([b["outcome"].startswith(STUCK) for b in batches], dtype=bool)
        column[stuck & ~np.isfinite(column)] = max(np.nanmax(np.append(column, -np.inf)), windows[name][1]) + STUCK_LOG
    return column


def _read(name: str, batch: Mapping[str, Any]) -> float:
    fell = FELL.search(batch["outcome"])
    if name in batch["readings"]:
        return on_scale(name, batch["readings"][name])
    return on_scale(name, float(fell.group(1))) if fell and name == "layers_stood" else float("nan")


def log_within(mean: Array, sd: Array, ends: tuple[float, float]) -> Array:
    """Log of the chance that a normal value lies in a window, exact far out too."""
    a, b = (ends[0] - mean) / sd, (ends[1] - mean) / sd
    flip = a + b > 0 if np.isfinite(ends).all() else np.full(len(mean), not np.isfinite(ends[1]))
    a, b = np.where(flip, -b, a), np.where(flip, -a, b)
    high = log_ndtr(b)
    return np.asarray(high + np.log1p(-np.exp(np.minimum(log_ndtr(a) - high, -1e-12))))
