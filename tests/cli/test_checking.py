"""`slake check`: the made-up pot from both its files, what is left out, and what is refused."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from pytest import approx

from slake.cli import print_telling
from slake.demo.pot import pot_drawing, pot_toolpath
from slake.path.mesh import Mesh
from slake.path.mesh_in import read_mesh
from slake.path.mesh_out import write_stl
from tests.cli.in_process import here
from tests.cli.test_commands import WITHOUT_DJANGO, refused, slake
from tests.path.paths import rings
from tests.path.solids import box, ours

BORES = ["--nozzle-mm", "2", "--barrel-mm", "60"]
STIFF = ["--yield-pa", "20000..24000", "--force-n", "5000..6000", "--cartridge-ml", "40"]


@pytest.fixture(scope="module")
def files(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("files")
    (folder / "pot.gcode").write_bytes(pot_toolpath())
    (folder / "pot.3mf").write_bytes(pot_drawing())
    (folder / "two.gcode").write_bytes(rings(12, ((60, 60), (120, 60))))
    whole = ours(box(40, 30, 20))
    (folder / "box.stl").write_bytes(write_stl(whole))
    holed = Mesh(corners_m=whole.corners_m, triangles=whole.triangles[:-1])
    (folder / "open.stl").write_bytes(write_stl(holed))
    small = Mesh(corners_m=whole.corners_m / 25.4, triangles=whole.triangles)
    (folder / "inches.stl").write_bytes(write_stl(small))
    return folder


def look(files: Path, name: str, *more: str, program: str = "") -> str:
    words = ["check", str(files / name), *more]
    said = slake(*words, home=files, program=program) if program else here(*words)
    assert said.returncode == 0, said.stderr
    return said.stdout


def force(said: str) -> tuple[float, float, float]:
    mid, low, high = re.search(r"hardest bead: ([\d.]+) N \(([\d.]+) to ([\d.]+)\)", said).groups()
    return float(low), float(mid), float(high)


def test_a_toolpath_is_followed_and_said_in_plain_words_without_django(files: Path):
    said = look(files, "pot.gcode", *BORES, *STIFF, "--e-counts", "ram", program=WITHOUT_DJANGO)
    for words in (
        "pot.gcode: It stands to its top with a chance of", "Does it stand:", "hardest bead:", "at every bead:",
        "turns of a spiral", "It never stops between two beads", "E is taken as mm of ram.", "Caution. A geared ram",
    ):  # fmt: skip
        assert words in said
    assert re.search(r"cartridge 1: [\d.]+ g .*Empty in line \d+, [\d.]+ mm up, after [\d.]+ min", said)
    assert "What would carry it" not in said, "it stands as it is"
    assert said.splitlines()[-1] == "False", "Django was started"


def test_what_may_fall_is_told_with_its_bracket_and_what_would_carry_it(files: Path):
    said = look(files, "two.gcode", *BORES, "--yield-pa", "60..90")
    assert re.search(r"Earliest: at layer [\d.]+ \(80 %: .*\), [\d.]+ mm up, after [\d.]+ min, ", said)
    assert "What would carry it:" in said and re.search(r"stiffer paste: \d+ %. Use paste [\d.]+ times as stiff", said)
    assert "over a gap to another part" in said and "Print the parts as two" in said
    assert re.search(r"The dearest single stop is at line \d+: [\d.e-]+ g", said)


def test_what_is_left_out_widens_and_what_needs_it_is_not_told(files: Path):
    known = force(look(files, "two.gcode", *BORES, "--yield-pa", "3000..3300", "--e-counts", "ram"))
    cone = force(look(files, "two.gcode", *BORES, "--cone-mm", "9..12", "--e-counts", "ram"))
    none = look(files, "two.gcode", "--e-counts", "ram", "--barrel-mm", "60", "--yield-pa", "3000..3300")
    assert known[2] / known[0] < cone[2] / cone[0]
    assert " N " not in none and none.count("give --nozzle-mm and --barrel-mm") >= 2 and "ooze not told" in none


def test_dont_know_is_an_answer_to_everything(files: Path):
    options = ["--force-n", "--e-counts", "--cone-mm", "--density", "--cartridge-ml", "--speed-mm-s"]
    left = look(files, "two.gcode", *BORES, "--yield-pa", "3000..3300")
    words = [part for option in options for part in (option, "don't know")]
    assert look(files, "two.gcode", *BORES, "--yield-pa", "3000..3300", *words) == left
    words = [part for option in ("--unit", "--bed", "--shrink", "--lean-deg", "--bead-mm") for part in (option, "?")]
    assert look(files, "box.stl", *words) == look(files, "box.stl")


def test_what_e_counts_is_taken_from_the_beads_where_nobody_says(files: Path):
    said = look(files, "two.gcode", *BORES, "--yield-pa", "3000..3300")
    assert "E taken to count mm of ram: beads 2.4 mm wide, as mL of paste" in said and "Nobody said so." in said


def test_a_mesh_is_scaled_weighed_and_written_so_that_it_dries_to_size(files: Path):
    out = files / "to-print.3mf"
    said = look(
        files, "pot.3mf", "--shrink", "4..6:5:7..9", "--bed", "200:200:200", "--cartridge-ml", "500",
        "--density", "1,4..1,5", "--out", str(out), program=WITHOUT_DJANGO,
    )  # fmt: skip
    for words in ("surface: closed", "bed: fits", "the full body:", "1 cartridge;", "steepest lean:", "written:"):
        assert words in said
    drawn, printed = read_mesh(pot_drawing(), "pot.3mf"), read_mesh(out.read_bytes(), "to-print.3mf")
    assert printed.size_m / drawn.size_m == approx(1 / (1 - np.array([0.05, 0.05, 0.08])), abs=2e-4)
    assert printed.unit_said and said.splitlines()[-1] == "False", "Django was started"
    twice = here("check", str(files / "pot.3mf"), "--out", str(out))
    assert "is there already" in refused(twice)


def test_a_range_that_was_said_is_the_range_that_is_told(files: Path):
    said = look(files, "box.stl", "--shrink", "10..20:5:5")
    low, high = (float(n) for n in re.search(r"x: .*Print [\d.]+ mm \(([\d.]+) to ([\d.]+)\)", said).groups())
    assert (low, high) == approx((40 / 0.9, 40 / 0.8), abs=0.1)
    assert "cartridges and what to mix: not told" in said and "nozzle: taken as 2 mm" in said


def test_where_it_is_open_is_said_and_nothing_is_written(files: Path):
    out = files / "none.stl"
    said = here("check", str(files / "open.stl"), "--out", str(out))
    assert said.returncode == 2 and "the surface is open in 1 place (at x" in said.stdout.lower()
    assert "nothing was written, as the mesh is not closed" in said.stderr and not out.exists()


def test_inches_taken_for_millimetres_are_asked_and_then_believed(files: Path):
    out = files / "inches.3mf"
    asked = here("check", str(files / "inches.stl"), "--out", str(out))
    assert "which unit is it in" in asked.stdout and "--unit in" in asked.stderr and not out.exists()
    assert "size as drawn: 40 x 30 x 20 mm" in look(files, "inches.stl", "--unit", "in", "--out", str(out))


@pytest.mark.parametrize(
    ("name", "more"),
    [
        ("pot.gcode", ["--nozzle-mm", "nan"]),
        ("pot.gcode", ["--nozzle-mm", "70", "--barrel-mm", "60"]),
        ("pot.gcode", ["--e-counts", "ram"]),
        ("pot.gcode", ["--e-counts", "steps"]),
        ("pot.gcode", ["--e-counts", "filament"]),
        ("pot.gcode", ["--cone-mm", "15..12"]),
        ("pot.gcode", ["--cone-mm", "12.."]),
        ("pot.gcode", ["--cone-mm", "12", "--yield-pa", "900"]),
        ("pot.gcode", ["--out", "x.3mf"]),
        ("pot.gcode", ["--nozzle-mm", "0,1"]),
        ("pot.3mf", ["--bed", "200"]),
        ("pot.3mf", ["--bed", "200:200:-1"]),
        ("pot.3mf", ["--shrink", "5:5:5:5"]),
        ("pot.3mf", ["--shrink", "60"]),
        ("pot.3mf", ["--density", "0"]),
        ("pot.3mf", ["--unit", "furlong"]),
        ("pot.3mf", ["--out", "pot.obj"]),
        ("pot.3mf", ["--out", "no/such/folder/pot.stl"]),
        ("none.gcode", []),
        ("none.stl", []),
        ("pot.doc", []),
    ],
)
def test_what_cannot_be_is_one_sentence(files: Path, name: str, more: list[str]):
    refused(here("check", str(files / name), *more))


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("a.gcode", b"G1 X1 Y2 E1 F600\nG1 Xnan\n", "line 2"),
        ("b.gcode", b"\x00\x01\x02" * 50, "byte 0"),
        ("c.gcode", b"G21\nG90\nM83\nG1 X1 E-3 F600\n", "line 4"),
        ("d\n\x1b[31m.stl", b"solid nothing\nendsolid\n", "cut short or damaged"),
        ("e.3mf", b"PK\x03\x04 cut short", "e.3mf"),
    ],
)
def test_a_damaged_file_is_one_sentence_with_its_place(files: Path, name: str, content: bytes, says: str):
    (files / name).write_bytes(content)
    assert says in refused(here("check", str(files / name), *BORES))


def test_progress_is_silent_for_a_second_and_then_speaks_once_a_second(monkeypatch, capsys):
    now = [0.0]
    monkeypatch.setattr(print_telling.time, "monotonic", lambda: now[0])
    tell = print_telling.Progress()
    for at in (0.1, 0.9, 1.2, 1.3, 2.1, 2.3):
        now[0] = at
        tell(f"at {at}")
    said = capsys.readouterr()
    assert said.out == "" and said.err.splitlines() == ["  1 s: at 1.2", "  2 s: at 2.3"]
