"""A file checked before the print, without a bench: what is asked, what is done, what is said."""

from __future__ import annotations

import json
import re

import pytest
from pytest import approx

from slake.actions.check_question import loaded_of
from slake.demo.pot import pot_toolpath
from slake.ground.evidence import percent
from slake.ground.problems import NotANumber, OutsideRange, Problem
from slake.path.checked import STEPS, check_drawing, check_toolpath
from slake.path.checked_asked import asked_of, is_toolpath, short_name
from slake.path.checked_mesh_words import told_of_drawing
from slake.path.checked_path_words import told_of_toolpath
from slake.path.checked_words import capital
from slake.path.mesh_out import write_stl
from tests.path.paths import rings, tube
from tests.path.solids import ball, cylinder, ours

TYPED = {"nozzle_mm": "2", "barrel_mm": "60", "cone_mm": "14"}
LOADED = loaded_of(TYPED)
ASKED = asked_of({"e_counts": "ram"}, 0.06)
LOW = tube(height_m=0.008, points=40)


def parts_of(told):
    return {part.heading: part for part in told.parts}


def test_what_e_counts_is_as_said_and_mm_of_ram_where_nobody_says():
    assert asked_of({}, 0.06).pushed == ASKED.pushed and not asked_of({}, 0.06).sure_of_e and ASKED.sure_of_e
    assert asked_of({"e_counts": "ml"}, 0.06).pushed.m3_per_e == approx(1e-6)
    assert asked_of({"e_counts": "filament"}, 0.06).pushed.m3_per_e == approx(2.405e-9, rel=1e-3)
    assert asked_of({"e_counts": "filament", "filament_mm": "2,85"}, 0.06).pushed.m3_per_e == approx(6.379e-9, rel=1e-3)


def test_where_nobody_says_the_beads_say_what_e_counts():
    """The pot is written with E in mm of a 60 mm ram; then with the same paste in mL."""
    found = check_toolpath(pot_toolpath(), LOADED, asked_of({}, 0.06))
    assert found.asked.pushed == ASKED.pushed and "mm of ram: beads 2.4 mm wide" in found.asked.why_e
    said = " ".join(parts_of(told_of_toolpath(found))["The file"].sentences)
    assert "E taken to count mm of ram" in said and "Nobody said so." in said
    as_ml = re.sub(rb"E([0-9.]+)", lambda e: b"E%.6f" % (float(e[1]) * ASKED.pushed.m3_per_e * 1e6), pot_toolpath())
    assert check_toolpath(as_ml, LOADED, asked_of({}, 0.06)).asked.pushed.m3_per_e == approx(1e-6)


def test_a_bed_of_which_one_side_is_said_has_no_other_limit():
    bed = asked_of({"bed_x_mm": "200"}, 0.06).bed
    assert bed is not None and (bed.x_m, bed.y_m, bed.z_m) == (0.2, 5.0, 5.0)
    assert ASKED.bed is None


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ({"e_counts": "bits"}, Problem),
        ({"unit": "parsec"}, Problem),
        ({"unit": "um"}, Problem),
        ({"beads_across": "0"}, OutsideRange),
        ({"bed_z_mm": "nan"}, NotANumber),
    ],
)
def test_what_cannot_be_is_refused(typed, kind):
    with pytest.raises(kind):
        asked_of(typed, 0.06)


def test_a_file_is_told_by_its_ending_alone_and_a_long_name_keeps_it():
    assert is_toolpath("POT.GCODE") and not is_toolpath("a/b\\pot.3MF")
    long = "x" * 400 + ".stl"
    assert not is_toolpath(long) and short_name(long).endswith(".stl") and len(short_name(long)) <= 40
    for name in ("", "pot", "pot.step", ".stl", "pot.gcode.exe"):
        with pytest.raises(Problem, match="neither a mesh nor a toolpath"):
            is_toolpath(name)


def test_progress_goes_up_to_the_end_and_a_tell_may_stop_it():
    told: list[int] = []
    check_toolpath(tube(height_m=0.1, points=40), LOADED, ASKED, lambda done, total, words: told.append(done))
    assert told == sorted(told) and told[0] == 0 and told[-1] < STEPS

    def stop(done: int, total: int, words: str) -> None:
        raise KeyError(words)

    with pytest.raises(KeyError):
        check_toolpath(LOW, LOADED, ASKED, stop)
    with pytest.raises(KeyError):
        check_drawing(write_stl(ours(cylinder())), "a.stl", (LOADED, ASKED), stop)


def test_paste_by_cartridge_adds_up_to_what_is_laid():
    loaded = loaded_of({**TYPED, "cartridge_ml": "2.5"})
    checked = check_toolpath(rings(8, ((60, 60), (120, 60))), loaded, ASKED)
    use = checked.followed.use
    assert use.count > 2
    each = use.kg_per_cartridge(1.0, checked.followed.replayed.volume_m3)
    assert each.sum() == approx(use.laid_m3)
    lines = parts_of(told_of_toolpath(checked))["Paste, by cartridge"].lines
    assert len(lines) == 2 + use.count and "Empty in line" in lines[2].more and lines[-1].more == ""


def test_a_stiffer_paste_stands_better_and_is_harder_to_push():
    soft, stiff = (check_toolpath(LOW, loaded_of({**TYPED, "cone_mm": depth}), ASKED) for depth in ("25", "10"))
    assert stiff.stands.chance >= soft.stands.chance
    assert stiff.followed.force.all_chance < soft.followed.force.all_chance
    assert stiff.stands.margins.earliest[-1] > soft.stands.margins.earliest[-1]


def test_fixes_only_where_it_is_not_likely_to_stand():
    likely = check_toolpath(rings(3), LOADED, ASKED)
    assert likely.stands.chance > 0.8 and likely.fixes == ()
    assert "What would carry it" not in parts_of(told_of_toolpath(likely))
    falls = check_toolpath(tube(height_m=0.1, points=40), loaded_of({**TYPED, "cone_mm": "30"}), ASKED)
    told = parts_of(told_of_toolpath(falls))["What would carry it"]
    assert len(told.lines) == len(falls.fixes) == 5
    assert [fix.carries for fix in sorted(falls.fixes, key=lambda fix: not fix.carries)] == [
        "not enough by itself" not in line.more for line in told.lines
    ]
    assert 0 <= falls.planned_all_chance < falls.followed.force.all_chance and likely.planned_all_chance is None
    stiffer = next(line for line in told.lines if line.words == "stiffer paste")
    assert stiffer.more.endswith(f"The ram then has the force with a chance of {percent(falls.planned_all_chance)}.")


@pytest.mark.filterwarnings("error")
def test_a_closed_square_that_leans_in_places_is_told_without_a_stumble():
    """A straight wall has no radius, and where it is upright no lean: their product is nothing, not no number."""
    lines = ["G21", "G90", "M83", "G0 F1200"]
    for layer, side in enumerate((20, 20, 20.8, 21.6, 21.6), 1):
        corners = ((side, -side), (side, side), (-side, side), (-side, -side))
        lines.append(f"G0 X{-side} Y{-side} Z{1.2 * layer:.1f}")
        lines += [f"G1 X{x} Y{y} E{2 * side * 2.4 * 1.2 / 2827.4:.5f}" for x, y in corners]
    checked = check_toolpath("\n".join([*lines, ""]).encode(), LOADED, ASKED)
    assert checked.stack is not None and checked.stack.closed.all()
    assert {round(lean) for lean in checked.stack.lean_deg} == {0, 34}
    assert "nan" not in json.dumps(told_of_toolpath(checked).plain())


def test_a_path_whose_layers_cannot_be_looked_at_still_tells_the_push():
    content = b"G21\nG90\nM83\nG0 X0 Y0 Z0 F600\nG1 X50 E1\nG1 Y50 E1\n"
    checked = check_toolpath(content, LOADED, ASKED)
    told = told_of_toolpath(checked)
    assert checked.stands is None and told.margins == ()
    assert told.headline.startswith("Whether it stands is not known; the ram has the force")
    assert parts_of(told)["Does it stand"].sentences[0].startswith("A layer holds no paste or has no height")


def test_everything_told_can_be_kept_as_text_and_numbers():
    for told in (
        told_of_toolpath(check_toolpath(LOW, LOADED, ASKED)),
        told_of_drawing(check_drawing(write_stl(ours(ball())), "ball.stl", (LOADED, ASKED)), LOADED),
    ):
        kept = json.loads(json.dumps(told.plain(), allow_nan=False))
        assert kept["headline"] and kept["cautions"] and kept["parts"] and kept["basis"]
        for part in kept["parts"]:
            assert all(sentence.endswith((".", "?", "!", ":")) for sentence in part["sentences"]), part


def test_a_drawing_larger_than_its_bed_is_stopped_and_grams_go_with_density():
    content = write_stl(ours(cylinder(20, 50)))
    asked = asked_of({"bed_x_mm": "30", "bed_y_mm": "30"}, 0.06)
    told = told_of_drawing(check_drawing(content, "a.stl", (LOADED, asked), lambda *_: None), LOADED)
    assert any("mm too wide for the bed" in sentence for sentence in told.stops)
    heavy = loaded_of({**TYPED, "density_g_ml": "1,4"})
    found = check_drawing(content, "a.stl", (heavy, ASKED))
    assert found.as_drawn.paste_kg.mid == approx(1400 * found.as_drawn.volume_m3)


def test_a_unit_said_is_taken_where_the_file_says_none():
    asked = asked_of({"unit": "cm"}, 0.06)
    found = check_drawing(write_stl(ours(cylinder(2, 5))), "a.stl", (LOADED, asked))
    assert found.soundness.mesh.size_m[2] == approx(0.05, rel=1e-6)


def test_words():
    assert capital("it falls") == "It falls." and capital("why?") == "Why?"
    assert (percent(0.001), percent(0.4), percent(0.999)) == ("under 1 %", "40 %", "over 99 %")
