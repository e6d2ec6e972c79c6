"""slake with every prior mean moved by one standard deviation, each up or down at random, the same way all campaign."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from slake.campaign import Notebook
from slake.campaign.layout import Layout

from .book import open_book

NOT_BELIEFS = ("calibration ", "lot ")
"""Errors of instruments and steps from lot to lot have a mean of nought by what they are."""


class MovedNotebook(Notebook):
    sign_seed: str = ""

    def layout(self) -> Layout:
        found = super().layout()
        starts = sorted(found.places.items(), key=lambda place: place[1])
        ends = [start for _, start in starts[1:]] + [len(found.mean)]
        shift = np.zeros(len(found.mean))
        for (name, start), end in zip(starts, ends, strict=True):
            if not name.startswith(NOT_BELIEFS):
                shift[start:end] = [self._sign(f"{name} {k}") for k in range(end - start)]
        return replace(found, mean=found.mean + shift * found.sd)

    def _sign(self, name: str) -> float:
        return 1.0 if hashlib.sha256(f"{self.sign_seed} {name}".encode()).digest()[0] % 2 else -1.0


def moved_book(waste: Any, batches: Sequence[Any], seed: int) -> MovedNotebook:
    """Signs differ from waste to waste and seed to seed, and stay as they are while batches come in."""
    book = open_book(waste, batches, MovedNotebook)
    assert isinstance(book, MovedNotebook)
    book.sign_seed = str(seed)
    return book
