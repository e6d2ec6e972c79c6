"""The notebook slake keeps of a made-up waste: what a person in that kitchen would type."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from slake.campaign import Lot, Notebook, confirming, stopping
from slake.campaign.belief import forecast
from slake.campaign.chances import all_hold, of_the_recipe
from slake.campaign.layout import table
from slake.campaign.new_lot import Known
from slake.campaign.proposal import predicted
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


def open_book(waste: Any, batches: Sequence[Any] = (), kind: type[Notebook] = Notebook) -> Notebook:
    """Nothing is said of the machine: the peers are told nothing of it either."""
    book = kind(lots=lots_of(waste), brief=dict(waste.brief), bounds=dict(waste.bounds))
    for mixed in batches:
        write(book, mixed)
    return book


def write(book: Notebook, mixed: Any, told: Mapping[str, float] | None = None, **more: object) -> None:
    """One line of the kitchen's notebook; rounding of the masses goes to the water."""
    fractions = dict(told or mixed.fractions)
    fractions["water"] += 1.0 - sum(fractions.values())
    outcome = mixed.outcome or None
    book.add(fractions, outcome=outcome, readings=dict(mixed.readings), reached_cap=mixed.reached_cap, **more)


def proposed(waste: Any, batches: Sequence[Any], seed: int) -> Array:
    return in_order(waste, open_book(waste, batches).propose(seed=seed).fractions)


def in_order(waste: Any, fractions: Mapping[str, float]) -> Array:
    return np.array([fractions[n] for n in waste.names], dtype=float)


BEFORE = " before"


def after_new_lot(old: Any, new: Any, history: Sequence[Any], batches: Sequence[Any]) -> tuple[Notebook, Known]:
    """The book of a known recipe when new lots of the fillers have come in, weighed, dripped and sieved: each lot is an
    ingredient of its own, as on a bench. The recipe is that of the last batch before; its repeats held every line.
    """
    then, now = lots_of(old), lots_of(new)
    swapped = {key + BEFORE: key for key in old.names[:-1] if old.roles[key] == "filler"}
    lots = {**{key: then[new_key] for key, new_key in swapped.items()}, **now}
    bounds = {**dict(new.bounds), **dict.fromkeys(swapped, (0.0, 0.0))}
    book = Notebook(lots=lots, brief=dict(new.brief), bounds=bounds)
    names = {key: before for before, key in swapped.items()}
    for mixed in history:
        write(book, mixed, {names.get(key, key): part for key, part in mixed.fractions.items()})
    for mixed in batches:
        write(book, mixed)
    repeats = tuple(n for n, mixed in enumerate(history) if mixed.fractions == history[-1].fractions)
    row = book.batches[repeats[-1]].fractions
    return book, Known(fractions=dict(zip(book.keys, row, strict=True)), swapped=swapped, batches=repeats)


def beside_relatives(waste: Any, earlier: Sequence[tuple[Any, Sequence[Any]]], batches: Sequence[Any]) -> Notebook:
    """The book of a new material beside its relatives in the records, each with fillers of its own, as on a bench."""
    lots, bounds, told = dict(lots_of(waste)), dict(waste.bounds), []
    for k, (other, mixed_then) in enumerate(earlier, 1):
        names = {key: f"{key} of {k}" for key in other.names[:-1] if other.roles[key] == "filler"}
        lots = {**{names[key]: lot for key, lot in lots_of(other).items() if key in names}, **lots}
        bounds |= dict.fromkeys(names.values(), (0.0, 0.0))
        told += [(mixed, {names.get(key, key): part for key, part in mixed.fractions.items()}) for mixed in mixed_then]
    book = Notebook(lots=lots, brief=dict(waste.brief), bounds=bounds)
    for mixed, fractions in told:
        write(book, mixed, fractions)
    for mixed in batches:
        write(book, mixed)
    return book


def good_enough(book: Notebook, seed: int) -> Mapping[str, float] | None:
    """The recipe slake says one may stop at, if it says so."""
    said = stopping.good_enough(book, seed=seed)
    return None if said is None else said.fractions


def to_confirm(book: Notebook, seed: int) -> Mapping[str, float]:
    """What is mixed by somebody who waits for slake to say so."""
    return confirming.next_to_mix(book, seed)


def chances(book: Notebook, rows: Array) -> Array:
    """Stated chance of each recipe that every line holds."""
    belief, aim = book.belief(), book.aim()
    view = of_the_recipe(forecast(belief, table(belief.layout, rows), aim.looks))
    return all_hold(view.mean, view.cov, aim.windows, 128)


def ranges(book: Notebook, rows: Array) -> dict[str, list[tuple[float, float]]]:
    """80 % range of the reading of each line of the brief at each recipe."""
    belief, aim = book.belief(), book.aim()
    view = forecast(belief, table(belief.layout, rows), aim.looks)
    each = [predicted(book.brief, belief, view, row) for row in range(len(rows))]
    return {name: [(said[name].low, said[name].high) for said in each] for name in each[0]}
