"""Usual bounds are a guess: what was really mixed is always among the recipes to choose from, stated bounds stand."""

import numpy as np

from slake.campaign import Lot, Notebook

LOTS = {"sand": Lot("sand", role="filler", moisture=0.0), "lime": Lot("lime", role="filler", moisture=0.0)}
ROW = {"sand": 0.7, "lime": 0.22, "water": 0.08}


def test_a_batch_outside_usual_bounds_widens_them():
    book = Notebook(lots=LOTS)
    assert book.box[0][-1] > ROW["water"]
    book.add(ROW, outcome="good")
    low, high = book.box
    row = np.array(list(ROW.values()))
    assert (low <= row).all() and (row <= high).all()


def test_a_stated_bound_stands():
    book = Notebook(lots=LOTS, bounds={"water": (0.2, 0.4)})
    book.add(ROW, outcome="good")
    assert (book.box[0][-1], book.box[1][-1]) == (0.2, 0.4)
