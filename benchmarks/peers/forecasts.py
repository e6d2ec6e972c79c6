"""80 % ranges of the next reading of each property, from a peer's fit."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from .notes import Notes, off_scale
from .region import Array

Z80 = 1.2815515655446004
Predict = Callable[[Array], tuple[Array, Array]]


def quantiles(notes: Notes, fitted: Mapping[str, Predict], asked: Mapping[str, Any]) -> dict[str, Any]:
    """Reading -> [low, high] a recipe, in the unit of the reading."""
    place = notes.region.scaled(np.array(asked["recipes"]))
    ranges = {}
    for name, predict in fitted.items():
        mean, sd = predict(place)
        ends = np.stack([mean - Z80 * sd, mean + Z80 * sd], axis=1)
        ranges[name] = [[off_scale(name, float(a)), off_scale(name, float(b))] for a, b in ends]
    return {"ranges": ranges}
