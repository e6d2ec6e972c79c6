"""Batches for today within stock and days; what was mixed and not read yet, and words said while it dries."""

import pytest

from slake.actions.campaign import tell
from slake.actions.lots import move_stock
from slake.actions.mixing import begin_batch, start_clock, weigh
from slake.actions.notebook import take_in
from slake.actions.proposing import propose_next
from slake.actions.reading import log_reading, say_outcome
from slake.actions.setting_up import describe_machine, set_brief
from slake.actions.todays import propose_today, read_asked, standing_today
from slake.campaign.pending import pending
from slake.ground.problems import DoesNotFit, Problem
from slake.records.models import ProposalGiven
from slake.records.values import ingredient_of

DAY_MIN = 24 * 60


@pytest.fixture
def bench(first_day, entry):
    describe_machine(entry(), {"nozzle_mm": "2", "barrel_mm": "60"})
    set_brief(entry(), {"cone_depth_mm": ("12", "18"), "layers_stood": ("30", ""), "crack_grade": ("", "1")})
    take_in(entry(), "shell 300, guar 2.5, alginate 4, water 200 - fell at layer 9; cone 19 mm at 60 min")
    return first_day


@pytest.fixture
def batch(bench, entry):
    return begin_batch(entry(), propose_next(entry()).pk, {"dry_g": "300"})


def asked(**typed):
    return read_asked({"count": "2", "paste_g": "400", "days": "", **typed})


def held_of(told, number, name="crack_grade"):
    return next(v.held for v in told.book.explain(number) if v.name == name)


def test_two_batches_are_kept_as_two_proposals_and_given_again(bench, entry):
    rows = propose_today(entry(), asked())
    assert [row.answer["rank"] for row in rows] == [1, 2] and ProposalGiven.objects.count() == 2
    assert rows[0].answer["fractions"] != rows[1].answer["fractions"]
    again = propose_today(entry(), asked())
    assert [row.pk for row in again] == [row.pk for row in rows] == [row.pk for row in standing_today(asked())]
    assert begin_batch(entry(), rows[1].pk, {"paste_g": "400"}).proposal_id == rows[1].pk


def test_another_size_count_or_day_is_another_question(bench, entry):
    first = propose_today(entry(), asked(count="1"))
    assert standing_today(asked(count="1", days="2")) == []
    assert standing_today(asked(count="1", paste_g="500")) == []
    move_stock(entry(), bench[0].pk, "100", "spilled")
    assert standing_today(asked(count="1")) == [] and first


def test_a_recipe_that_needs_more_than_the_stock_is_not_proposed(bench, entry):
    shell = bench[0]
    move_stock(entry(), shell.pk, "1750", "spilled")
    one, *rest = propose_today(entry(), asked(count="2", paste_g="350"))
    assert one.answer["fractions"]["mussel shell"] * 350 <= 250 + 1e-6 and rest == []
    assert any("mussel shell" in note for note in one.answer["notes"])
    with pytest.raises(DoesNotFit) as said:
        propose_today(entry(), asked(paste_g="5000"))
    assert "250 g of mussel shell" in str(said.value) and "g or less" in str(said.value)


@pytest.mark.parametrize(
    "wrong", [{"count": "4"}, {"count": "1,5"}, {"count": "0"}, {"paste_g": "-3"}, {"paste_g": "soup"}, {"days": "-1"}]
)
def test_what_cannot_be_asked_is_one_sentence_and_keeps_nothing(bench, entry, wrong):
    with pytest.raises(Problem):
        propose_today(entry(), asked(**wrong))
    assert not ProposalGiven.objects.exists()


def test_a_batch_in_the_bowl_is_known_before_it_is_read(batch, entry):
    before = tell()
    assert before.begun == ()
    row = batch.amounts.exclude(lot=None).first()
    weigh(entry(1), batch.pk, row.order, f"{row.target_g:.1f}")
    told = tell()
    assert told.begun == (batch,) and told.seen != before.seen
    assert batch not in told.batches and pending(told.book) == [1]
    assert propose_next(entry()).answer["pending"] == [batch.number]


def test_good_said_at_two_hours_says_nothing_of_cracks_and_at_four_days_does(batch, entry):
    start_clock(entry(), batch.pk)
    say_outcome(entry(120), batch.pk, "good")
    told = tell()
    assert held_of(told, 1) is None and held_of(told, 1, "layers_stood") is True and pending(told.book) == [1]
    say_outcome(entry(4 * DAY_MIN), batch.pk, "good")
    told = tell()
    assert held_of(told, 1) is True and pending(told.book) == []


def test_the_crack_line_read_says_it_whenever_the_words_were_said(batch, entry):
    start_clock(entry(), batch.pk)
    say_outcome(entry(120), batch.pk, "good")
    log_reading(entry(3 * DAY_MIN), "crack_grade", ("batch", batch.pk), {"crack_grade": "3"})
    assert held_of(tell(), 1) is False


@pytest.mark.parametrize(("words", "held"), [("good but cracked", False), ("good, still drying", None)])
def test_cracked_counts_at_once_and_a_person_may_say_that_it_dries(batch, entry, words, held):
    start_clock(entry(), batch.pk)
    say_outcome(entry(120), batch.pk, words)
    told = tell()
    assert held_of(told, 1) is held
    assert (pending(told.book) == [1]) == (held is None)


def test_a_line_of_an_old_notebook_means_good_to_the_end(bench, entry):
    take_in(entry(), "shell 300, guar 3, alginate 4, water 180 - good; cone 14 mm at 60 min")
    assert held_of(tell(), 1) is True


def test_where_it_stands_is_kept_with_the_proposal(bench, entry):
    answer = propose_next(entry()).answer
    assert answer["stands"]["verdict"] == "go on" and answer["stands"]["sentences"]
    for water in (181, 180, 179):
        take_in(
            entry(), f"shell 300, guar 3, alginate 4, water {water} - good; all 40 layers stood; cone 15 mm at 60 min"
        )
    stands = propose_next(entry()).answer["stands"]
    assert stands["verdict"] in {"good enough", "mix again", "go on"}
    if stands["verdict"] == "good enough":
        names = {ingredient_of(lot).name for lot in bench}
        assert names < set(stands["enough"]["fractions"]) and stands["enough"]["like_it"]
