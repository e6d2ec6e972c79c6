"""Looking over the recipe space: worked out once for the same evidence, anew for another, of every batch there is."""

from __future__ import annotations

import numpy as np
import pytest

from slake.actions import looking
from slake.actions.looking import BEST, look
from slake.actions.mixing import begin_batch, start_clock
from slake.actions.notebook import take_in
from slake.actions.proposing import propose_next
from slake.campaign.seen_curve import curve
from slake.campaign.seen_map import cut
from slake.ground.problems import NotEnoughEvidence, Problem

LINES = (
    "mussel shell 300, guar 2.5, alginate 6, water 170 - too runny; cone 26 mm at 60 min\n"
    "mussel shell 300, guar 5, alginate 9, water 130 - good but cracked; cone 14 mm at 60 min\n"
)


@pytest.fixture(autouse=True)
def nothing_kept(monkeypatch):
    monkeypatch.setattr(looking, "_kept", {})


@pytest.fixture
def two_batches(first_day, entry):
    return take_in(entry(), LINES).batches


def test_the_same_evidence_is_looked_at_once_and_a_new_reading_anew(two_batches, entry):
    first = look()
    assert look().seen is first.seen
    take_in(entry(5), "mussel shell 300, guar 4, alginate 6, water 150 - good; cone 15 mm at 60 min")
    second = look()
    assert second.seen is not first.seen and len(second.seen.tried) == 3


def test_no_more_than_a_few_are_kept(two_batches):
    for number in range(looking.MOST_KEPT):
        looking._kept[str(number)] = None
    look()
    assert len(looking._kept) == looking.MOST_KEPT


def test_before_the_first_batch_there_is_nothing_to_look_at(first_day):
    with pytest.raises(NotEnoughEvidence, match="read one batch, or say how one ended"):
        look()


def test_the_rest_is_held_at_the_likeliest_recipe_or_at_a_batch_by_its_number(two_batches):
    sight = look()
    assert (sight.held(BEST) == sight.seen.best).all()
    assert (sight.held(str(two_batches[1].number)) == sight.seen.tried[1]).all()
    assert sight.seen.best.sum() == pytest.approx(1) and 0 <= sight.seen.chance <= 1
    for at in ("99", "soup", "-1", "1.0"):
        with pytest.raises(Problem, match="there is no batch"):
            sight.held(at)
    with pytest.raises(Problem, match="choose one of water, guar gum, sodium alginate"):
        sight.axis("cement")


def test_a_batch_mixed_and_not_read_yet_is_looked_at_too(two_batches, entry):
    batch = begin_batch(entry(10), propose_next(entry(9)).pk, {"dry_g": "300"})
    start_clock(entry(11), batch.pk)
    sight = look()
    assert sight.numbers == (*(one.number for one in two_batches), batch.number)
    assert len(sight.numbers) == len(sight.endings) == len(sight.seen.tried)
    held = sight.held(str(batch.number))
    assert len(curve(sight.seen, sight.seen.axes[0], held).places) == 3
    assert cut(sight.seen, *sight.seen.axes[:2], held).alike[2]


def test_the_standing_proposal_lies_on_the_map_as_given(two_batches, entry):
    assert look().proposed is None
    given = propose_next(entry(9))
    row = look().proposed
    water = look().seen.axes[0].values(look().seen.space, row[None, :])[0]
    assert row.sum() == pytest.approx(1)
    assert water == pytest.approx(given.answer["water_per_dry"], rel=1e-6) and np.isfinite(row).all()
