"""`slake piece` and `slake vessel`: files that can be read back, in the machine's own unit, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from pytest import approx

from slake.path.gcode import read_gcode
from slake.path.layers import layers_of
from slake.path.mesh import volume_m3
from slake.path.mesh_checks import check_closed
from slake.path.mesh_in import read_mesh
from slake.path.pieces_all import EVERY_PIECE
from slake.path.pushing import ram_mm
from slake.path.replay import replay
from tests.cli.in_process import here
from tests.cli.test_commands import WITHOUT_DJANGO, refused, slake

MACHINE = ["--nozzle-mm", "2", "--barrel-mm", "60", "--e-counts", "ram", "--bed", "220:220:250"]
SERIES = "day;rain\n1;0,2\n2;3,5\n3;1,1\n4;0,4\n5;2,2\n"


def both(folder: Path, *words: str) -> tuple[str, float, float]:
    """What was said, and the volumes of toolpath and mesh."""
    path, mesh = folder / "made.gcode", folder / "made.3mf"
    made = here(*words, *MACHINE, "--out", str(path), "--out", str(mesh))
    assert made.returncode == 0, made.stderr
    laid = replay(read_gcode(path, ram_mm(0.06)))
    body = check_closed(read_mesh(mesh.read_bytes(), mesh.name))
    assert body.closed
    return made.stdout, float(laid.volume_m3.sum()), volume_m3(body.mesh)


@pytest.mark.parametrize(
    ("kind", "reading"),
    [("shrinkage-bar", "shrinkage_bar"), ("failing_tube", "layers_stood"), ("Bend bars", "three_point_bend")],
)
def test_a_piece_is_path_and_mesh_of_one_volume_and_says_its_reading(tmp_path: Path, kind: str, reading: str):
    said, laid, held = both(tmp_path, "piece", kind, "--batch", "B7")
    assert laid == approx(held, rel=0.02)
    assert f"it will be read as {reading}" in said
    assert " 1, B7" in said and "label:" in said


def test_a_series_becomes_a_vessel_without_a_travel(tmp_path: Path):
    (tmp_path / "rain.csv").write_text(SERIES)
    words = ["vessel", str(tmp_path / "rain.csv"), "--height-mm", "40", "--swing-mm", "5"]
    said, laid, held = both(tmp_path, *words)
    assert laid == approx(held, rel=0.02)
    assert "5 numbers over" in said and "the wall leans at most" in said
    path = replay(read_gcode(tmp_path / "made.gcode", ram_mm(0.06)))
    assert layers_of(path).spiral and set(path.travels.after.tolist()) <= {-1, len(path.line) - 1}


def test_a_shrinkage_makes_the_vessel_larger_by_it(tmp_path: Path):
    sizes = []
    for number, more in enumerate(([], ["--shrink", "10:10:20"])):
        out = tmp_path / f"{number}.stl"
        said = here("vessel", "--swing-mm", "0", "--height-mm", "60", *more, *MACHINE, "--out", str(out))
        assert said.returncode == 0, said.stderr
        sizes.append(read_mesh(out.read_bytes(), out.name).size_m)
    assert sizes[1][2] / sizes[0][2] == approx(1 / 0.8, rel=0.02)
    assert (sizes[1][0] - 0.0024) / (sizes[0][0] - 0.0024) == approx(1 / 0.9, rel=0.005)


@pytest.mark.parametrize(
    "bad",
    [
        ["piece", "teapot"],
        ["piece", "failing_wall", "--nozzle-mm", "wide"],
        ["piece", "failing_tube", "--bed", "40:40:40"],
        ["piece", "shrinkage_bar", "--out", "bar.doc"],
        ["piece", "shrinkage_bar", "--layer-mm", "9"],
        ["piece", "shrinkage_bar", "--out", "bar.stl", "--out", "./bar.stl"],
        ["vessel", "none.csv"],
        ["vessel", "."],
        ["vessel", "--height-mm", "inf"],
        ["vessel", "--swing-mm", "36"],
        ["vessel", "--radius-mm", "900"],
        ["vessel", "--column", "7"],
        ["vessel", "--lean-deg", "0"],
        ["vessel", "--out", "here/is/no/folder.stl"],
    ],
)
def test_what_cannot_be_is_one_sentence_and_writes_nothing(tmp_path: Path, bad: list[str]):
    refused(here(*bad))
    assert not list(tmp_path.glob("*.stl"))


@pytest.mark.parametrize("series", ["1\n2\n", "a\nb\nc\nd\n", "1\n2\nnan\n4\n", "\0\1\2"])
def test_a_table_that_holds_no_series_is_one_sentence(tmp_path: Path, series: str):
    (tmp_path / "bad.csv").write_text(series)
    refused(here("vessel", str(tmp_path / "bad.csv")))


def test_neither_starts_django(tmp_path: Path):
    made = slake("piece", "purge_line", home=tmp_path, program=WITHOUT_DJANGO)
    lines = made.stdout.splitlines()
    assert made.returncode == 0 and lines[0].startswith("nothing was written") and lines[-1] == "False"


@pytest.mark.parametrize("kind", EVERY_PIECE)
def test_every_piece_can_be_checked_before_it_is_printed(tmp_path: Path, kind: str):
    path = str(tmp_path / "piece.gcode")
    assert here("piece", kind, *MACHINE, "--out", path).returncode == 0
    said = here("check", path, *MACHINE[:6], "--yield-pa", "40000..50000", "--force-n", "20000")
    assert said.returncode == 0, said.stderr
    assert "E is taken as mm of ram." in said.stdout and "is not known" not in said.stdout.splitlines()[0]
