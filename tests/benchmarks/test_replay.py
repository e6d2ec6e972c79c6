"""The replay of open tables: the tables are whole, a brief is met by few rows, a half is foretold, a rule of scale."""

from __future__ import annotations

import numpy as np
import pytest

from benchmarks.replay.open_tables import described, opened
from benchmarks.replay.trials import MET_BY, a_brief, halves
from slake.campaign.by_factors import FEWEST, by_factors

ROWS = {"yeh2007": 103, "yeh1998": 425, "bash2021": 178, "langner2020_pce10": 1040, "langner2020_wf3": 1040}


@pytest.mark.parametrize("name", ROWS)
def test_a_table_is_whole_and_says_where_it_comes_from(name):
    table, said = opened(name), described()[name]
    assert len(table) == ROWS[name] and set(described()) == set(ROWS)
    assert table.shares.sum(axis=1) == pytest.approx(1) and (table.shares >= 0).all()
    assert said["source"] and said["licence"] in {"CC BY 4.0", "MIT"}
    assert all(np.isfinite(values).all() for values in table.readings.values())


@pytest.mark.parametrize("name", ROWS)
def test_a_brief_is_met_by_few_rows(name):
    table = opened(name)
    shares = [a_brief(table, np.random.default_rng(seed))[1].mean() for seed in range(20)]
    assert np.median(shares) == pytest.approx(MET_BY, rel=0.35) and max(shares) < 0.2


def test_half_a_table_is_foretold_about_as_well_as_by_the_better_general_model():
    found = halves(opened("yeh2007"), 3)["28-day strength (MPa)"]
    better = min(found["quadratic"]["error"], found["process"]["error"])
    assert found["slake"]["error"] < 1.3 * better
    assert found["slake"]["held"] > 0.6


def test_by_factors_only_where_that_is_clearly_likelier():
    rng = np.random.default_rng(2)
    rows = rng.dirichlet(np.ones(4), 60)
    straight = 20 + 5 * rows[:, 0] - 3 * rows[:, 2] + rng.normal(0, 0.3, 60)
    factors = np.exp(4 * rows[:, 0] - 3 * rows[:, 2] + rng.normal(0, 0.3, 60))
    assert by_factors(rows, straight) is False
    assert by_factors(rows, factors) is True
    assert by_factors(rows, np.where(np.arange(60) % 4 == 0, 0.0, factors)) is False
    assert by_factors(rows[: FEWEST - 1], factors[: FEWEST - 1]) is None
