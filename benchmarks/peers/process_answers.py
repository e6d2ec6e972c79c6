"""Answers of the Gaussian processes of scikit-learn, after a start of as many batches as the peer's name ends in."""

from __future__ import annotations

from typing import Any

import numpy as np

from . import processes
from .forecasts import quantiles
from .notes import notes_of


def answer(asked: dict[str, Any]) -> dict[str, Any]:
    notes = notes_of(asked["problem"], asked["batches"])
    if "recipes" in asked:
        fitted = processes.processes(notes, asked["names"], asked["seed"] % 2**31)
        return quantiles(notes, {n: process.reading_mean_sd for n, process in fitted.items()}, asked)
    rng = np.random.default_rng([asked["seed"], len(asked["batches"]), 3])
    many = int(asked["peer"].rsplit("-", 1)[1])
    start = notes.region.filling(many, np.random.default_rng([asked["seed"], 5]))
    return {"recipe": processes.suggest(notes, rng, start).tolist()}
