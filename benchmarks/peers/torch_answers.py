"""Answers of BoTorch; the peer's name says the rule and the number of batches of the start."""

from __future__ import annotations

from typing import Any

import numpy as np

from . import torch_processes
from .notes import notes_of


def answer(asked: dict[str, Any]) -> dict[str, Any]:
    notes = notes_of(asked["problem"], asked["batches"])
    rng = np.random.default_rng([asked["seed"], len(asked["batches"]), 3])
    _, rule, many = asked["peer"].split("-")
    start = notes.region.filling(int(many), np.random.default_rng([asked["seed"], 5]))
    return {"recipe": torch_processes.suggest(notes, rng, start, rule).tolist()}
