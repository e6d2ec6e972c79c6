"""What only many batches may teach: own scatter of each property, by factors or not, ingredients nobody knows."""

from __future__ import annotations

import numpy as np
import pytest

from slake.bench.own import OwnReading, declared
from slake.bench.shelf import lend
from slake.campaign import Lot, Notebook
from slake.campaign.belief import MANY, forecast
from slake.campaign.features import MANY_RECIPES
from slake.campaign.gauges import MANY_VALUES, usual_of
from slake.campaign.layout import table
from slake.campaign.own_readings import FEWEST
from slake.campaign.proposal import predicted
from slake.campaign.scales import FEW, USUAL

LOTS = {key: Lot(key, moisture=(0.0, 0.0), role="filler") for key in ("grit", "dust", "salt of nothing")}
BRIEF = {"glow": (20, 40)}


@pytest.fixture
def glow():
    lend(lambda: {"glow": declared(OwnReading(key="glow", title="Glow", unit="points", floor=-1000.0))})
    yield
    lend(None)


def told(count, scatter, seed=1, strength=900.0):
    """A made-up property that rises with a hundredth of one ingredient, read with a known scatter."""
    rng = np.random.default_rng(seed)
    book = Notebook(lots=LOTS, brief=BRIEF)
    truth = []
    for _ in range(count):
        salt, water, dust = rng.uniform(0.002, 0.02), rng.uniform(0.2, 0.26), rng.uniform(0.2, 0.3)
        mix = {"grit": 1 - salt - water - dust, "dust": dust, "salt of nothing": salt, "water": water}
        truth.append(30 + strength * (salt - 0.011) - 60 * (water - 0.23))
        book.add(mix, readings={"glow": truth[-1] + rng.normal(0, scatter)})
    return book, np.array(truth)


def foretold(book, others):
    belief = book.belief()
    rows = np.array([t.fractions for t in others.batches])
    view = forecast(belief, table(belief.layout, rows), book.aim().looks)
    return [predicted(book.brief, belief, view, i)["glow"] for i in range(len(rows))]


@pytest.mark.parametrize("scatter", [0.3, 1.5, 6.0])
def test_ranges_of_readings_follow_the_scatter_there_is(glow, scatter):
    """Ideal ranges are 2 * 1.28 scatters wide; learned from sixty readings, up to four times that is allowed."""
    book, _ = told(60, scatter)
    fresh, _ = told(120, scatter, seed=2)
    spans = foretold(book, fresh)
    read = np.array([t.mixed.readings[0].value for t in fresh.batches])
    held = np.mean([span.low <= value <= span.high for span, value in zip(spans, read, strict=True)])
    assert 0.68 <= held <= 0.95
    width = np.median([span.high - span.low for span in spans])
    assert 0.8 * 2 * 1.28 * scatter < width < 4 * 2 * 1.28 * scatter


@pytest.mark.parametrize("count", [25, MANY_RECIPES + 20])
def test_a_hundredth_of_an_ingredient_nobody_knows_counts_once_readings_show_it(glow, count):
    few, _ = told(FEWEST - 1, 0.5)
    many, _ = told(count, 0.5)
    fresh, truth = told(60, 0.5, seed=3)
    spread = []
    for book in (few, many):
        middles = np.array([span.mid for span in foretold(book, fresh)])
        spread.append(np.std(middles - truth))
    assert spread[1] < 0.5 * spread[0]
    assert spread[1] < 1.0


def test_with_few_batches_only_the_six_usual_scales_are_asked(glow):
    assert MANY == MANY_RECIPES == MANY_VALUES
    assert told(3, 1.0)[0].belief().scale == USUAL
    assert told(FEWEST - 1, 1.0)[0].belief().scale in FEW
    own = told(FEWEST, 1.0)[0].belief().scale
    assert set(own.reach) == {"glow"} and own.of("yield stress") in {scale.of("yield stress") for scale in FEW}
    assert set(told(MANY, 1.0)[0].belief().scale.reach) == {"glow"}


def test_by_factors_or_as_it_is_is_said_by_many_values_only():
    rng = np.random.default_rng(4)
    by_factors = np.exp(rng.normal(3, 0.8, 200))
    as_it_is = 100 - np.exp(rng.normal(3, 0.6, 200))
    assert usual_of(list(by_factors)).by_factors is True
    assert usual_of([max(float(x), 1.0) for x in as_it_is]).by_factors is False
    assert usual_of(list(by_factors[: MANY_VALUES - 1])).by_factors is None
    assert usual_of([*by_factors, 0.0]).by_factors is None
    assert usual_of([5.0] * 200).by_factors is None
