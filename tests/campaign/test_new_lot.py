"""A new lot of a known recipe: carried over, water with its range, from the dry side; narrower with every lot seen."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from benchmarks.campaigns.book import lots_of, write
from benchmarks.campaigns.families import named
from benchmarks.campaigns.histories import known
from slake.campaign import Lot, Notebook
from slake.campaign.lots import LOT_SD_LOG, alike, all_facts
from slake.campaign.new_lot import Known, lot_change
from slake.ground.problems import DoesNotFit, Problem

FAMILY = named("toys")


def demand(lots: dict[str, Lot]) -> dict[str, tuple[float, float]]:
    return {f.key: (f.demand, f.demand_sd_log) for f in all_facts(lots)}


def test_a_lot_nobody_weighed_drinks_about_as_its_weighed_sibling():
    found = demand({"a": Lot("mussel shell"), "b": Lot("mussel shell", water_demand=0.5)})
    alone = demand({"a": Lot("mussel shell")})
    assert found["a"][0] == pytest.approx(0.5, rel=0.01) and found["a"][1] < alone["a"][1]


def test_weighed_lots_are_drawn_towards_each_other_and_other_materials_are_left_alone():
    found = demand(
        {
            "a": Lot("mussel shell", water_demand=0.3),
            "b": Lot("mussel shell", water_demand=0.5),
            "c": Lot("spent grain"),
        }
    )
    assert 0.3 < found["a"][0] < found["b"][0] < 0.5
    assert found["c"] == demand({"c": Lot("spent grain")})["c"]


def test_the_spread_between_lots_is_learned_from_lots():
    alikes = alike([(np.log(0.4 * x), 0.03) for x in (0.99, 1.0, 1.01, 1.0, 1.0, 0.99, 1.01, 1.0)])
    unlike = alike([(np.log(0.4 * x), 0.03) for x in (0.6, 1.4, 0.8, 1.3, 0.7, 1.2, 1.0, 1.5)])
    assert alikes.spread_log < LOT_SD_LOG < unlike.spread_log
    assert alikes.middle_log == pytest.approx(np.log(0.4), abs=0.01)


def book_after(
    lots_before: int, number: int = 1, *, read: int = 0, dripped: bool = True
) -> tuple[Notebook, Known, Any, Any]:
    """A material with so many lots before, one batch of each after the first; then a new lot, weighed and dripped."""
    waste = FAMILY.draw(number, 2026)
    rng = np.random.default_rng([number, 3])
    recipe, history = known(FAMILY, waste, rng)
    fillers = [key for key in waste.names[:-1] if waste.roles[key] == "filler"]
    drawn = [FAMILY.another_lot(waste, 50 + n) for n in range(lots_before)]
    wastes = [waste, *drawn[1:], FAMILY.another_lot(waste, 90)]
    named_lots = {f"{key} {n}": lots_of(one)[key] for n, one in enumerate(wastes) for key in fillers}
    if not dripped:
        named_lots |= {
            f"{key} {lots_before}": replace(named_lots[f"{key} {lots_before}"], water_demand=None) for key in fillers
        }
    for key in fillers:
        first = named_lots[f"{key} 0"]
        drip = float(waste.powders.demand[waste.names.index(key)])
        named_lots[f"{key} 0"] = replace(first, water_demand=first.water_demand or drip)
    gums = {key: lot for key, lot in lots_of(waste).items() if key not in fillers}
    bounds = dict(waste.bounds) | dict.fromkeys(named_lots, (0.0, 0.0))
    last = len(wastes) - 1
    bounds = {k: v for k, v in bounds.items() if k not in fillers} | {f"{k} {last}": waste.bounds[k] for k in fillers}
    book = Notebook(lots={**named_lots, **gums}, brief=dict(waste.brief), bounds=bounds)

    def told(mixed: Any, n: int) -> None:
        write(book, mixed, {f"{k} {n}" if k in fillers else k: v for k, v in mixed.fractions.items()})

    for mixed in history:
        told(mixed, 0)
    for n, one in enumerate(wastes[1:-1], 1):
        for times in (0.93, 1.0, 1.07):
            row = recipe.copy()
            row[-1] *= times
            told(FAMILY.mix(one, row / row.sum(), rng), n)
    for _ in range(read):
        told(FAMILY.mix(wastes[-1], recipe, rng), last)
    row = dict(zip(book.keys, book.batches[len(history) - 1].fractions, strict=True))
    swapped = {f"{key} 0": f"{key} {last}" for key in fillers}
    return book, Known(fractions=row, swapped=swapped, batches=(7, 8, 9)), wastes[-1], recipe


def water_error(found: Any, lot: Any) -> tuple[float, float]:
    """(distance in log water from where the truth is as stiff as wanted, width of the range in log water)."""
    names = list(lot.names)
    parts = found.proposal.fractions
    row = np.array([sum(v for k, v in parts.items() if k == n or k.rsplit(" ", 1)[0] == n) for n in names])
    logs = np.linspace(-0.6, 0.6, 481)
    rows = np.tile(row, (len(logs), 1))
    rows[:, -1] *= np.exp(logs)
    depth = FAMILY.truth(lot, rows / rows.sum(1, keepdims=True))["cone_depth_mm"]
    true = float(logs[int(np.argmax(depth >= found.watered.wanted))])
    water = found.watered.water
    return abs(np.log(water.mid) - true), float(np.log(water.high / water.low))


def test_the_range_narrows_and_the_error_falls_as_more_lots_were_seen():
    """Before the new lot is dripped: what one earlier lot says of it, and what four do."""
    few, many = [], []
    for number in (1, 2, 5, 6, 9, 10):
        for seen, kept in ((1, few), (4, many)):
            book, recipe, lot, _ = book_after(seen, number, dripped=False)
            kept.append(water_error(lot_change(book, recipe), lot))
    few_error, few_width = np.mean(few, axis=0)
    many_error, many_width = np.mean(many, axis=0)
    assert many_width < 0.95 * few_width
    assert many_error < few_error


def test_a_batch_of_the_new_lot_narrows_it_further():
    book, recipe, _, _ = book_after(1)
    before = lot_change(book, recipe).watered.water
    book, recipe, _, _ = book_after(1, read=1)
    after = lot_change(book, recipe).watered.water
    assert np.log(after.high / after.low) < 0.8 * np.log(before.high / before.low)


def test_it_starts_on_the_dry_side_and_a_shallow_reading_asks_for_more_water():
    book, recipe, _, _ = book_after(1)
    found = lot_change(book, recipe)
    watered = found.watered
    assert watered.start <= watered.water.low * 1.005 < watered.water.high
    assert watered.shows_at_start.mid < watered.wanted
    more = [row.more_water.mid for row in sorted(watered.then, key=lambda row: row.reading)]
    assert len(more) >= 3 and more == sorted(more, reverse=True)
    assert all(row.more_water.low < row.more_water.mid < row.more_water.high for row in watered.then)


def test_a_wider_moisture_widens_the_water():
    """Moisture may follow next day, with a wider range till then."""
    book, recipe, _, _ = book_after(1)
    weighed = lot_change(book, recipe).watered.water
    key = next(new for new in recipe.swapped.values())
    facts = tuple(
        f if f.key != key else type(f)(**{**vars(f), "moisture_sd": 0.05, "measured": ()}) for f in book.stated.facts
    )
    book.stated = type(book.stated)(facts=facts)
    book.space = type(book.space)(facts=facts, mixed=book.space.mixed)
    guessed = lot_change(book, recipe).watered.water
    assert guessed.high / guessed.low > 1.02 * weighed.high / weighed.low


def test_the_recipe_carried_over_keeps_dry_grams_and_water():
    book, recipe, _, _ = book_after(1)
    found = lot_change(book, recipe)
    moist = {f.key: f.moisture for f in book.space.facts} | {"water": 1.0}

    def dry(parts: Any) -> float:
        return sum(part * (1 - moist[key]) for key, part in parts.items())

    assert dry(found.carried) == pytest.approx(dry(recipe.fractions))
    assert sum(found.carried.values()) == pytest.approx(1)
    assert sum(found.proposal.fractions.values()) == pytest.approx(1)
    old = next(iter(recipe.swapped))
    assert found.carried[old] == 0 and found.proposal.fractions[old] == 0


def test_the_same_evidence_gives_the_same_change():
    book, recipe, _, _ = book_after(1, read=1)
    assert lot_change(book, recipe).proposal.fractions == lot_change(book, recipe).proposal.fractions


def test_bad_input_is_refused_in_a_sentence():
    book, recipe, _, _ = book_after(1)
    with pytest.raises(Problem, match="no lot here"):
        lot_change(book, Known(fractions={"sand": 0.5, "water": 0.5}, swapped={}))
    with pytest.raises(Problem, match="no batch 99"):
        lot_change(book, Known(fractions=recipe.fractions, swapped=recipe.swapped, batches=(99,)))
    with pytest.raises(DoesNotFit, match="no powder or no water"):
        lot_change(book, Known(fractions={"water": 1.0}, swapped={}))
