"""A verdict gathered from rows: what is read is used, what is not stays usual and wide, and it is kept as given."""

from __future__ import annotations

import pytest

import slake.actions.verdict as asked_for
from slake.actions.agreeing import looks_of
from slake.actions.mixing import begin_batch, start_clock, weigh
from slake.actions.proposing import propose_next
from slake.actions.reading import log_reading, say_outcome
from slake.actions.readings_told import of_the_last_paste
from slake.actions.setting_up import describe_machine, set_brief
from slake.actions.verdict import keep_verdict, typed_with, verdict
from slake.campaign.verdict import judge
from slake.campaign.verdict.changes import CHANGES
from slake.ground.problems import NotEnoughEvidence, Problem
from slake.ground.units import from_si
from slake.records.models import Action, VerdictGiven

PRINTER = {"nozzle_mm": "2", "barrel_mm": "60"}


@pytest.fixture
def batch(first_day, entry):
    describe_machine(entry(), PRINTER)
    return start_clock(entry(), begin_batch(entry(), propose_next(entry()).pk, {"dry_g": "300"}).pk)


def cone(entry, batch, depth, minutes=60):
    return log_reading(entry(minutes), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": depth})


def test_two_bores_are_enough(databases, entry):
    with pytest.raises(NotEnoughEvidence, match="two bores"):
        verdict({})
    describe_machine(entry(), PRINTER)
    found = verdict({"wall_height_mm": "40"}).verdict
    assert 0 < found.chance < 1 and found.word == "doubtful"
    assert all(line.guessed for line in found.lines if line.name in {"force", "fold", "air", "bleed"})


def test_a_stiffer_paste_needs_more_force_and_stands_higher(batch, entry):
    cone(entry, batch, "18")
    soft = verdict({"wall_height_mm": "40"}, batch).verdict
    cone(entry, batch, "9", 61)
    stiff = verdict({"wall_height_mm": "40"}, batch).verdict
    assert stiff.line("force").value.mid > 2 * soft.line("force").value.mid
    assert stiff.line("foot").value.mid > 2 * soft.line("foot").value.mid
    assert stiff.line("force").chance < soft.line("force").chance


def test_mineral_powder_has_no_fibres_and_its_sieve_is_its_grain(batch):
    found = verdict({}, batch)
    assert found.question.paste.longest_fibre_m.mid == 0
    assert found.question.paste.largest_grain_m.mid == pytest.approx(125e-6)
    assert found.verdict.line("fibres").chance == 1


def test_force_from_torque_and_lead_where_it_is_not_measured(batch, entry):
    """2 pi x 0.4 x 0.5 N m / 8 mm = 157 N: own arithmetic on the printed formula, checks the coding."""
    drive = {"motor_torque_nm": "0,4", "screw_lead_mm": "8", "drive_efficiency_percent": "50"}
    describe_machine(entry(), {**PRINTER, **drive})
    assert verdict({}).question.press.force_n.mid == pytest.approx(157.08, abs=0.01)
    describe_machine(entry(), {**PRINTER, **drive, "force_n": "140"})
    found = verdict({}).question.press.force_n
    assert (found.mid, found.basis) == (140, "measured")


def test_pushes_of_this_machine_with_a_stiffness_beside_them_teach_its_law(batch, entry):
    usual = verdict({}, batch).question.law
    cone(entry, batch, "12")
    for n, (speed, force) in enumerate((("5", "95"), ("20", "150"), ("40", "190"))):
        fields = {"ram_force_n": force, "ended": "ran", "push_speed_mm_s": speed}
        log_reading(entry(62 + n), "ram_push", ("batch", batch.pk), fields)
    learnt = verdict({}, batch).question.law
    assert "common practice" in usual.why and learnt.why.startswith("fitted from 3 pushes")


def test_a_folded_wall_of_this_paste_narrows_the_fold(batch, entry):
    cone(entry, batch, "12")
    wide = verdict({"wall_height_mm": "40"}, batch).verdict.line("fold")
    fields = {"layers_stood": "30", "how": "folded", "layer_height_mm": "1,2"}
    log_reading(entry(70), "layers_stood", ("batch", batch.pk), fields)
    narrow = verdict({"wall_height_mm": "40"}, batch).verdict.line("fold")
    assert narrow.value.high / narrow.value.low < 0.7 * wide.value.high / wide.value.low
    assert narrow.value.low < 0.036 < narrow.value.high  # it folded at 30 layers of 1.2 mm


def test_the_height_comes_from_the_brief_where_nobody_says_one(batch, entry):
    set_brief(entry(), {"layers_stood": ("30", "")})
    describe_machine(entry(), {**PRINTER, "layer_height_mm": "1"})
    found = verdict({})
    assert found.asked.wall_from_brief and found.asked.wall_height_mm == pytest.approx(30)
    assert not verdict({"wall_height_mm": "25"}).asked.wall_from_brief


def test_kept_as_given_and_once(batch, entry):
    cone(entry, batch, "12")
    first = keep_verdict(entry(id="keep"), batch.pk, {"wall_height_mm": "40"})
    assert keep_verdict(entry(id="keep"), batch.pk, {"wall_height_mm": "40"}) == first
    cone(entry, batch, "8", 62)
    assert VerdictGiven.objects.get().answer["lines"]["force"]["unit"] == "N"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"wall_height_mm": "0"}, "height of the wall"),
        ({"wall_height_mm": "tall"}, "height of the wall"),
        ({"cone_depth_mm": "nan"}, "cone reading"),
        ({"print_min": "-3"}, "print takes"),
        ({"closed": "round"}, "yes, no"),
    ],
)
def test_a_number_no_press_has_is_one_sentence(batch, typed, says):
    with pytest.raises(Problem, match=says):
        verdict({"wall_height_mm": "40", **typed})


def test_a_paste_in_hand_has_aged_since_it_was_read_and_one_that_ended_has_not(batch, entry):
    cone(entry, batch, "12", 60)
    now = entry(120).at
    assert verdict({}, batch, now).asked.aged_s == pytest.approx(3600)
    aged, fresh = (verdict({"wall_height_mm": "40"}, batch, when).verdict for when in (now, None))
    assert aged.line("force").value.mid > fresh.line("force").value.mid
    say_outcome(entry(121), batch.pk, "printed well")
    assert verdict({}, batch, now).asked.aged_s == 0


def test_a_kept_verdict_says_what_it_rests_on(batch, entry):
    cone(entry, batch, "12")
    kept = keep_verdict(entry(61), batch.pk, {"wall_height_mm": "40"}).answer["rests_on"]
    assert "Fall cone 12 mm" in kept["numbers"]["yield_stress_pa"][2]
    assert kept["law"]["title"] and kept["barrel"]["nozzle_m"] == pytest.approx(0.002)


PRESSED = {"pressed_g": "15", "paper_dry_g": "1.2", "paper_wet_g": "2.4", "bleed_load_kg": "5", "bleed_minutes": "5"}


def test_what_was_read_before_more_went_in_is_of_another_paste(batch, entry):
    log_reading(entry(30), "bleed_press", ("batch", batch.pk), PRESSED)
    cone(entry, batch, "12", 31)
    fields = {"layers_stood": "30", "how": "folded", "layer_height_mm": "1,2"}
    log_reading(entry(32), "layers_stood", ("batch", batch.pk), fields)
    before = verdict({}, batch).question.paste
    assert not before.bleed.guessed and not before.modulus_per_yield.guessed
    weigh(entry(40), batch.pk, batch.amounts.last().order, "30")
    cone(entry, batch, "14", 41)
    after = verdict({}, batch).question.paste
    assert after.bleed.guessed and after.modulus_per_yield.guessed and not after.yield_stress_pa.guessed
    assert len(looks_of(batch)) == len(of_the_last_paste(batch)) == 1


def test_a_push_moves_the_force_needed_and_the_force_there_is(batch, entry):
    """A drive taken for 151 N has pushed this paste with 420 N: both sides of the line say so."""
    cone(entry, batch, "12", 60)
    before = verdict({}, batch).verdict.line("force")
    fields = {"ram_force_n": "420", "ended": "ran", "push_speed_mm_s": "20"}
    log_reading(entry(61), "ram_push", ("batch", batch.pk), fields)
    found = verdict({}, batch)
    after = found.verdict.line("force")
    assert before.limit.mid < 200 and after.limit.mid > 400 and "it pushed 420 N" in after.note
    assert abs(after.value.mid - 420) < abs(before.value.mid - 420) and after.value.mid == pytest.approx(420, rel=0.2)
    assert after.value.high / after.value.low < before.value.high / before.value.low
    assert not found.question.press.force_n.guessed


def test_a_push_of_another_motor_says_nothing_of_this_one(batch, entry):
    cone(entry, batch, "12", 60)
    log_reading(entry(61), "ram_push", ("batch", batch.pk), {"ram_force_n": "420", "ended": "ran"})
    describe_machine(entry(62), {**PRINTER, "force_n": "140"})
    assert verdict({}).question.press.force_n.mid == 140


def test_it_is_worked_out_before_anything_is_written(batch, entry, monkeypatch):
    """Nobody at the bench waits for it: inside the transaction there is only one row to write."""
    cone(entry, batch, "12")
    order = []
    monkeypatch.setattr(asked_for, "mends", lambda question: order.append("worked out") or asked_for.Mends())
    real = asked_for.recorded

    def noted(*args):
        order.append("begun")
        return real(*args)

    monkeypatch.setattr(asked_for, "recorded", noted)
    first = keep_verdict(entry(61, id="k"), batch.pk, {})
    assert order == ["worked out", "begun"] and Action.objects.filter(entry="k").exists()
    assert keep_verdict(entry(61, id="k"), batch.pk, {}) == first and order == ["worked out", "begun", "begun"]


@pytest.mark.parametrize("typed", [{"wall_height_mm": "60"}, {"wall_height_mm": "20", "print_min": "45"}, {}])
def test_a_suggested_change_typed_back_passes_and_half_of_it_does_not(batch, entry, typed):
    cone(entry, batch, "10")
    now = entry(90).at
    answer = verdict(typed, batch, now)
    assert answer.verdict.word != "go" and answer.mends.whole
    for one in answer.mends.whole:
        again = typed_with(one, typed)
        assert set(again) - set(typed) <= {step.change.field for step in one.steps}
        assert verdict(again, batch, now).verdict.word == "go", again
        half = {step.change.field: step.change.before(answer.question) for step in one.steps}
        half = {step.change.field: (half[step.change.field] + step.value) / 2 for step in one.steps}
        halved = dict(again) | {step.change.field: _bench(step.change, half[step.change.field]) for step in one.steps}
        assert verdict(halved, batch, now).verdict.word != "go", halved


def _bench(change, value):
    return f"{from_si(value, change.unit):.10f}"


def test_every_setting_a_change_may_move_can_be_typed(batch, entry):
    """And does to the question what the change does."""
    cone(entry, batch, "10")
    known = {"wall_height_mm": "40", "wall_mm": "3", "print_min": "60", "wait_min": "20", "pause_min": "10"}
    for change in CHANGES:
        plain = verdict(known, batch).question
        value = change.at(plain, 0.5 * min(change.furthest(plain), 2.0)) if change.furthest(plain) else None
        if value is None:
            continue
        written = change.rounded(plain, value, 3)
        typed = verdict(known | {change.field: written}, batch)
        assert judge(change.put(plain, change.read(written))).chance == pytest.approx(typed.verdict.chance), change.key


def test_what_has_aged_already_cannot_be_waited_less(batch, entry):
    cone(entry, batch, "9", 60)
    answer = verdict({"wait_min": "0"}, batch, entry(240).at)
    assert answer.asked.aged_s > 0
    keys = {step.change.key for one in answer.mends.whole for step in one.steps}
    assert "less wait" not in keys


@pytest.mark.parametrize("field", ["nozzle_mm", "grain_um", "water_g", "air_percent", "speed_mm_s", "fill_mm"])
@pytest.mark.parametrize("bad", ["nan", "1e9", "-1e9", "two"])
def test_a_slip_in_what_would_be_otherwise_is_one_sentence(batch, field, bad):
    with pytest.raises(Problem):
        verdict({field: bad}, batch)


def test_a_nozzle_as_wide_as_the_barrel_is_refused(batch, entry):
    describe_machine(entry(), {"nozzle_mm": "2", "barrel_mm": "20"})
    with pytest.raises(Problem, match="narrower"):
        verdict({"nozzle_mm": "20"})
