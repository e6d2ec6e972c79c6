"""The runner of campaigns: results kept, figures with their intervals, peers that see what slake sees."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from benchmarks.campaigns import asking, book, cold, days, kept, moved, tables
from benchmarks.campaigns.experiments import TRIALS
from benchmarks.campaigns.families import as_json, batch_json, named, own_seed, passes, uniform
from benchmarks.campaigns.figures import best, line, ratio, spread
from benchmarks.campaigns.histories import known, lot_that_breaks
from slake.campaign.pending import pending

TOYS = named("toys")
TASK = kept.Task(experiment="cold", family="toys", number=0, drawn=2026, peer="random", seed=1)


def test_a_kept_result_is_used_again_and_a_fresh_one_is_not(tmp_path, monkeypatch):
    monkeypatch.setattr(kept, "RESULTS", tmp_path)
    calls = []

    def run(family, number, drawn, peer, seed):
        calls.append(number)
        return {"score": len(calls)}

    assert kept.result(TASK, run, cold.__file__, False)["score"] == 1
    assert kept.result(TASK, run, cold.__file__, False)["score"] == 1
    assert kept.result(TASK, run, cold.__file__, True)["score"] == 2
    assert kept.result(replace(TASK, seed=2), run, cold.__file__, False)["score"] == 3
    found = json.loads(TASK.path(cold.__file__).read_text())
    assert found["version"] == TOYS.VERSION and found["task"]["family"] == "toys"


def test_the_checksum_sees_who_takes_part_and_which_family(tmp_path):
    marks = {kept.mark(f, p, cold.__file__) for f in ("toys", "kitchen") for p in ("slake", "random")}
    assert len(marks) == 4
    assert kept.mark("toys", "random", cold.__file__) == kept.mark("toys", "mixture", cold.__file__)


def test_a_campaign_ends_with_the_first_recipe_that_truly_meets_the_brief():
    found = cold.run(TOYS, 0, 2026, "slake", 1)
    waste = TOYS.draw(0, 2026)
    fine = passes(TOYS, waste, np.array(found["recipes"]))
    assert found["score"] == len(fine) <= cold.MOST
    assert fine[-1] and not fine[:-1].any()


@pytest.mark.parametrize("peer", ["random", "mixture"])
def test_a_peer_stays_within_the_bounds_and_says_the_same_again(peer):
    waste = TOYS.draw(1, 2026)
    rng = np.random.default_rng(1)
    batches = [TOYS.mix(waste, row, rng) for row in uniform(waste, 9, rng)]
    choose = asking.suggest(peer, waste)
    first, again, other = choose(batches, 5), choose(batches, 5), choose(batches, 6)
    low, high = np.array([waste.bounds[n] for n in waste.names]).T
    assert abs(first.sum() - 1) < 1e-9 and ((first >= low - 1e-9) & (first <= high + 1e-9)).all()
    assert (first == again).all()
    assert peer == "mixture" or (first != other).any()


def test_what_a_peer_cannot_answer_is_said_with_its_reason():
    with pytest.raises(RuntimeError, match="KeyError"):
        asking.answered("random", {"peer": "random", "problem": {}, "batches": [], "seed": 1})


def test_a_peer_is_told_the_words_of_failure_and_no_hidden_habit():
    waste = TOYS.draw(0, 2026)
    assert set(as_json(waste)) == {"names", "bounds", "brief", "cap_layers"}
    rows = uniform(waste, 30, np.random.default_rng(2))
    told = [batch_json(TOYS.mix(waste, row, np.random.default_rng(3))) for row in rows]
    assert {b["outcome"] for b in told} & {"stalled", "puddled"}


def test_every_waste_has_draws_of_chance_of_its_own():
    seeds = {own_seed(named(f), n, s) for f in ("toys", "kitchen") for n in range(20) for s in (1, 2)}
    assert len(seeds) == 80


def test_a_batch_that_still_dries_keeps_its_dry_readings_and_its_cracks_to_itself():
    waste = TOYS.draw(0, 2026)
    rng = np.random.default_rng(4)
    for row in uniform(waste, 40, rng):
        mixed = TOYS.mix(waste, row, rng)
        before, after = (days.seen_on(day, days.Drying(mixed=mixed, dry_on=8)) for day in (7, 8))
        assert after is mixed
        assert not set(before.readings) & set(days.DRIED)
        assert set(before.readings) == set(mixed.readings) - set(days.DRIED)
        assert "crack" not in before.outcome
        assert before.outcome == (days.SO_FAR if mixed.outcome.startswith("good") else mixed.outcome)


def test_slake_waits_for_what_dries_and_is_asked_for_two_together_or_one_by_one():
    waste = TOYS.draw(0, 2026)
    rng = np.random.default_rng(6)
    well = replace(TOYS.mix(waste, known(TOYS, waste, rng)[0], rng), outcome="good but cracked")
    drying = [days.seen_on(1, days.Drying(mixed=well, dry_on=5))]
    assert pending(book.open_book(waste, drying)) == [0]
    two, one = (days.chooser(name, waste)(drying, 3) for name in (days.TOGETHER, days.ONE_BY_ONE))
    assert len(two) == days.A_DAY and len(one) == 1
    assert (two[0] == one[0]).all() and (two[0] != two[1]).any()


def test_a_peer_chooses_anew_before_each_batch_of_the_day(monkeypatch):
    waste = TOYS.draw(0, 2026)
    poor, fine = uniform(waste, 1, np.random.default_rng(6))[0], known(TOYS, waste, np.random.default_rng(5))[0]
    asked = []

    def choose(batches, seed):
        asked.append(len(batches))
        return fine if len(batches) == 4 else poor

    monkeypatch.setattr(days, "suggest", lambda name, waste: choose)
    assert days.run(TOYS, 0, 2026, "random", 1)["score"] == 3
    assert asked == [0, 1, 2, 3, 4]


def test_the_known_recipe_was_good_and_the_new_lot_breaks_it():
    waste = TOYS.draw(3, 2026)
    recipe, history = known(TOYS, waste, np.random.default_rng(5))
    lot, _ = lot_that_breaks(TOYS, waste, recipe, 1)
    assert passes(TOYS, waste, recipe)[0] and not passes(TOYS, lot, recipe)[0]
    assert sum(np.allclose(list(m.fractions.values()), recipe, atol=1e-4) for m in history) == 3


def test_moved_priors_are_one_standard_deviation_away_and_stay_so():
    waste = TOYS.draw(0, 2026)
    usual, other = book.open_book(waste).layout(), moved.moved_book(waste, [], 7).layout()
    away = np.abs(other.mean - usual.mean)[usual.sd > 0] / usual.sd[usual.sd > 0]
    beliefs = np.concatenate([np.arange(s, s + len(usual.space.names)) for n, s in usual.places.items() if "feat" in n])
    assert np.all((away < 1e-9) | (np.abs(away - 1) < 1e-9))
    assert np.allclose(np.abs(other.mean - usual.mean)[beliefs], usual.sd[beliefs])
    up = np.mean((other.mean - usual.mean)[beliefs][usual.sd[beliefs] > 0] > 0)
    assert 0.3 < up < 0.7
    row = uniform(waste, 1, np.random.default_rng(1))[0]
    later = moved.moved_book(waste, [TOYS.mix(waste, row, np.random.default_rng(1))], 7).layout()
    mine, then = later.weights_of("yield stress"), other.weights_of("yield stress")
    assert np.allclose(later.mean[mine], other.mean[then])
    assert (moved.moved_book(waste, [], 8).layout().mean != other.mean).any()


def test_figures_over_all_campaigns_with_intervals_over_wastes():
    scores = {("toys", k): [float(v), float(v)] for k, v in enumerate([2, 4, 6, 8, 31])}
    value, low, high = spread(scores, np.median)
    assert value == 6 and low < 6 < high
    alone, same, _ = spread({("toys", 0): [5.0, 9.0]}, np.mean)
    assert alone == same == 7
    assert "20 [0, 60]" in line("slake", scores, 31)
    half = {k: [v / 2 for v in s] for k, s in scores.items()}
    assert ratio(half, scores) == pytest.approx((0.5, 0.5, 0.5))
    assert best({"a": scores, "b": half}) == "b"


def test_only_wastes_of_both_are_compared():
    ours = {("toys", 0): [4.0], ("toys", 1): [100.0]}
    assert ratio(ours, {("toys", 0): [8.0]})[0] == 0.5


def test_the_table_names_the_best_peer_and_the_ratio_to_it():
    results = [
        {"task": {"peer": p, "family": "toys", "number": n, "seed": 1}, "score": s * (n + 1)}
        for p, s in (("slake", 2), ("random", 9), ("mixture", 5))
        for n in range(3)
    ]
    lines = tables.scored(results, "toys", TRIALS["cold"])
    assert lines[-1] == "median of slake over that of the best peer, mixture, same wastes: 0.40 [0.40, 0.40]"
    assert [text.split()[0] for text in lines[2:5]] == ["slake", "random", "mixture"]


def test_stated_chances_are_compared_bin_by_bin():
    stated = {"random": [[0.3, True], [0.3, False], [0.9, True]], "chosen": [[0.01, False]] * 250}
    lines = tables.calibrated([{"task": {"family": "toys", "number": 0, "seed": 1}, "stated": stated}], None)
    middle = next(text for text in lines if text.startswith("0.25 to 0.50"))
    assert "30.0 %" in middle and "50.0 %" in middle and "fewer" in middle
    assert any(text.startswith("0.00 to 0.02") and "250" in text and "fewer" not in text for text in lines)
