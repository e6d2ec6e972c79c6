"""A verdict gathered from rows: what is read is used, what is not stays usual and wide, and it is kept as given."""

from __future__ import annotations

import pytest

from slake.actions.mixing import begin_batch, start_clock
from slake.actions.proposing import propose_next
from slake.actions.reading import log_reading, say_outcome
from slake.actions.setting_up import describe_machine, set_brief
from slake.actions.verdict import keep_verdict, verdict
from slake.ground.problems import NotEnoughEvidence, Problem
from slake.records.models import VerdictGiven

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
