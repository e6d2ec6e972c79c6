"""The notebook slake keeps of a made-up waste: what a person in that kitchen would type."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from slake.campaign import Lot, Machine, Notebook
from slake.paste.ingredients import find

from .families import Array


def lots_of(waste: Any) -> dict[str, Lot]:
    """Ingredients by their kitchen names; a role is said where slake does not know the name."""
    found = {}
    for key in waste.names[:-1]:
        name = waste.kitchen[key]
        found[key] = Lot(
            name,
            moisture=waste.told_moisture.get(key),
            role=None if find(name) else waste.roles[key],
            water_demand=waste.told_demand.get(key),
        )
    return found


def open_book(waste: Any, batches: Sequence[Any] = ()) -> Notebook:
    book = Notebook(
        lots=lots_of(waste),
        brief=dict(waste.brief),
        bounds=dict(waste.bounds),
        machine=Machine(nozzle_mm=waste.nozzle_mm),
    )
    for mixed in batches:
        write(book, mixed)
    return book


def write(book: Notebook, mixed: Any, **more: object) -> None:
    """One line of the kitchen's notebook; rounding of the masses goes to the water."""
    told = dict(mixed.fractions)
    told["water"] += 1.0 - sum(told.values())
    outcome = mixed.outcome or None
    book.add(told, outcome=outcome, readings=dict(mixed.readings), reached_cap=mixed.reached_cap, **more)


def proposed(waste: Any, batches: Sequence[Any], seed: int) -> Array:
    return in_order(waste, open_book(waste, batches).propose(seed=seed).fractions)


def in_order(waste: Any, fractions: Mapping[str, float]) -> Array:
    return np.array([fractions[n] for n in waste.names], dtype=float)
