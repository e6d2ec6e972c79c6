"""103 real mixes of another trade (tests/references/yeh2007.csv): 80 % ranges of mixes left out, and the next mix.

Five splits of fixed seeds, 26 mixes left out of each. Peers: the 10 and 90 % quantiles of the mixes kept, and least
squares on the fractions.
"""

from __future__ import annotations

import csv
import tomllib

import pytest

from benchmarks.real_mixes import (
    BRIEF,
    ENDS,
    LEFT_OUT,
    SPLITS,
    TABLE,
    foretold,
    held,
    mixes,
    own_readings,
    pooled,
    told,
)


@pytest.fixture(scope="module")
def found():
    with own_readings():
        return foretold()


@pytest.mark.parametrize("name", ENDS)
def test_ranges_hold_7_to_9_in_10_of_real_mixes_left_out(found, name):
    assert SPLITS == 5 and LEFT_OUT >= 25
    assert {len(one.read) for one in found if one.name == name} == {LEFT_OUT}
    assert 0.70 <= pooled(found, name, "slake")[0] <= 0.90


@pytest.mark.parametrize("name", ENDS)
def test_ranges_of_real_mixes_score_better_than_a_constant(found, name):
    assert pooled(found, name, "slake")[1] < pooled(found, name, "constant")[1]


def test_no_range_of_a_real_mix_is_the_whole_scale(found):
    """A range from end to end would hold everything and say nothing."""
    for one in found:
        low, high = one.ranges["slake"].T
        assert held(one.read, one.ranges["slake"]).any()
        assert ((high - low) < 0.999 * (ENDS[one.name][1] - ENDS[one.name][0])).mean() > 0.9


def test_a_next_mix_is_proposed_for_a_stated_brief():
    with own_readings():
        book = told(mixes())
        proposal = book.propose(seed=1)
    assert len(book.batches) == 103
    assert sum(proposal.fractions.values()) == pytest.approx(1, abs=1e-9)
    for name, (low, high) in BRIEF.items():
        span = proposal.predictions[name]
        assert span.low < span.mid < span.high
        assert span.high > low and (high is None or span.low < high)
        assert proposal.line_chances[name] > 0.15
    assert proposal.chance.mid > 0.05


def test_the_ten_rows_shown_are_rows_of_the_whole_table():
    shown = tomllib.loads(TABLE.with_suffix(".toml").read_text(encoding="utf-8"))["mixes"]
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))[1:]
    assert len(rows) == 103 and [row[0] for row in rows] == [str(n) for n in range(1, 104)]
    assert all(row in rows for row in shown) and len(shown) == 10
