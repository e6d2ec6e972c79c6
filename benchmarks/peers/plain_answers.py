"""Answers of the peers that need numpy and scipy only: recipes at random, and the mixture design."""

from __future__ import annotations

from typing import Any

import numpy as np

from . import blending
from .forecasts import quantiles
from .notes import notes_of


def answer(asked: dict[str, Any]) -> dict[str, Any]:
    notes = notes_of(asked["problem"], asked["batches"])
    if "recipes" in asked:
        fitted = blending.blends(notes, asked["names"])
        return quantiles(notes, {n: blend.mean_sd for n, blend in fitted.items()}, asked)
    rng = np.random.default_rng([asked["seed"], len(asked["batches"]), 3])
    if asked["peer"] == "random":
        return {"recipe": notes.region.spread(1, rng)[0].tolist()}
    start = notes.region.filling(blending.starts(len(notes.region.low)), np.random.default_rng([asked["seed"], 5]))
    return {"recipe": blending.suggest(notes, rng, start).tolist()}
