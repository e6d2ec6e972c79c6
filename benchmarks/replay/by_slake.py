"""slake told of a table: every part an ingredient nobody knows, every reading a lab's own plain number."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager

import numpy as np
from numpy.typing import NDArray

from slake.bench.own import OwnReading, declared
from slake.bench.shelf import lend
from slake.campaign import Lot, Notebook
from slake.campaign.belief import forecast, sight
from slake.campaign.chances import all_hold
from slake.campaign.layout import table
from slake.campaign.not_yet import times_left
from slake.campaign.proposal import predicted

from .open_tables import Array, OpenTable

Brief = Mapping[str, tuple[float, float]]


def key_of(reading: str) -> str:
    return "own_" + re.sub(r"[^a-z0-9]+", "_", reading.casefold()).strip("_")


@contextmanager
def lent(open_table: OpenTable) -> Iterator[None]:
    """The readings of the table stand as a lab declares them: as data, a plain number from nothing up."""
    tests = {
        key_of(name): declared(OwnReading(key=key_of(name), title=name, unit="", floor=0.0, ceiling=1e6))
        for name in open_table.readings
    }
    lend(lambda: tests)
    try:
        yield
    finally:
        lend(None)


def told(open_table: OpenTable, rows: NDArray[np.intp], brief: Brief) -> Notebook:
    """A notebook that was told these rows of the table."""
    names = [part for part in open_table.parts if part != "water"]
    book = Notebook(
        lots={name: Lot(name, moisture=(0.0, 0.0), role="filler") for name in names},
        brief={key_of(name): ends for name, ends in brief.items()},
    )
    book.add_all(
        {
            "fractions": dict(zip(open_table.parts, map(float, open_table.shares[row]), strict=True)),
            "readings": {key_of(name): float(values[row]) for name, values in open_table.readings.items()},
        }
        for row in rows
    )
    return book


def recipes(book: Notebook, open_table: OpenTable, rows: NDArray[np.intp]) -> Array:
    """In the notebook's own order, water last."""
    found = np.zeros((len(rows), len(book.keys)))
    for i, key in enumerate(book.keys):
        if key in open_table.parts:
            found[:, i] = open_table.shares[rows, open_table.parts.index(key)]
    return found


def foretold(open_table: OpenTable, known: NDArray[np.intp], left: NDArray[np.intp]) -> dict[str, Array]:
    """Reading -> (n, 3) low, middle, high of the 80 % range of every row left out."""
    middle = {name: np.quantile(values[known], [0.4, 0.6]) for name, values in open_table.readings.items()}
    book = told(open_table, known, {name: (float(a), float(b)) for name, (a, b) in middle.items()})
    belief = book.belief()
    view = forecast(belief, table(belief.layout, recipes(book, open_table, left)), book.aim().looks)
    spans = [predicted(book.brief, belief, view, i) for i in range(len(left))]
    return {
        name: np.array([[s[key_of(name)].low, s[key_of(name)].mid, s[key_of(name)].high] for s in spans])
        for name in open_table.readings
    }


def chances(open_table: OpenTable, known: NDArray[np.intp], left: NDArray[np.intp], brief: Brief) -> Array:
    """(n,) chance of every remaining row to meet the whole brief, given that none so far did."""
    book = told(open_table, known, brief)
    belief, aim = book.belief(), book.aim()
    seen = sight(belief, recipes(book, open_table, left), aim.looks)
    now = all_hold(seen.view.mean, seen.view.cov, aim.windows, 64)
    return now * times_left(belief, aim.looks, aim.windows, (seen, seen))[0]
