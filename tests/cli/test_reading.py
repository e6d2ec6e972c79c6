"""`slake read`: what one reading means, from the declaration alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.test_commands import WITHOUT_DJANGO, refused, slake

OWN_TEST = """
from slake.bench.declaration import About, BenchTest, Headline, Raw, Scalar
from slake.ground.evidence import exact

TEST = BenchTest(
    id="smell", version=1, title="Smell", about=About.BATCH, procedure=("Smell it.",),
    inputs=(Scalar(name="smell", label="smell", unit="grade", low=0, high=5),),
    informs="smell", notebook_name="smell", notebook_unit="grade", brief_words="smell",
    headline=lambda raw: Headline(name="smell", value=raw.numbers["smell"], unit="grade"),
    inverse=lambda raw, context: exact("smell", raw.numbers["smell"], 0.5, on_log=False),
    forward=lambda value, context: value, quick=lambda value: Raw(numbers={"smell": value}),
    scatter_absolute=0.5, scatter_share=0.0, validity="noses", sources=("practice",),
)
"""


def test_a_cone_reading_gives_pascals_with_a_range(tmp_path: Path):
    """The figure itself is checked in tests/bench; here that range, unit and limits are shown."""
    said = slake("read", "fall_cone", "cone_depth_mm=19", home=tmp_path, program=WITHOUT_DJANGO)
    assert said.returncode == 0, said.stderr
    lines = said.stdout.splitlines()
    assert lines[0] == "Fall cone: 19 mm" and lines[-1] == "False"
    assert lines[1].startswith("yield_stress_pa: ") and " Pa (80 % range " in lines[1]
    assert any(line.startswith("holds: ") for line in lines) and any(line.startswith("from: ") for line in lines)


def test_a_decimal_comma_is_a_point(tmp_path: Path):
    comma = slake("read", "fall_cone", "cone_depth_mm=17,5", home=tmp_path).stdout
    assert comma and comma == slake("read", "fall_cone", "cone_depth_mm=17.5", home=tmp_path).stdout


def test_a_blind_slump_says_above(tmp_path: Path):
    said = slake("read", "slump", "slump_mm=0", "mould=cylinder", home=tmp_path).stdout
    assert ": above " in said and "80 % range" not in said


def test_rows_make_a_series(tmp_path: Path):
    """10.0 g in, 8.2 g dry: 1.8 / 10.0 = 18 % of the wet mass."""
    rows = ["--row", "hours=4 mass_g=18,2", "--row", "hours=4.5 mass_g=18.2"]
    said = slake("read", "oven_moisture", "tare_g=10", "wet_mass_g=20", *rows, home=tmp_path)
    assert said.returncode == 0, said.stderr
    assert "moisture_wet_basis: 0.18 " in said.stdout


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["cone_depth_mm=nan"], "cone_depth_mm=nan"),
        (["cone_depth_mm=-3"], "must be from"),
        (["cone_depth_mm=1e9"], "must be from"),
        (["cone_depth_mm=12 g"], "plain number in mm"),
        (["cone_depth_mm"], "is no name=value"),
        (["depth=3"], "does not ask “depth”"),
        (["cone_depth_mm=3", "cone_depth_mm=4"], "given twice"),
        (["cone_depth_mm=" + "9" * 300], "at most 24 characters"),
        (["cone_depth_mm=19", "--density", "40"], "density (g/mL) is 40"),
        (["cone_depth_mm=19", "--row", "hours=3"], "hours"),
        ([], "is “”"),
    ],
)
def test_bad_input_is_one_sentence(tmp_path: Path, words: list[str], told: str):
    said = refused(slake("read", "fall_cone", *words, home=tmp_path))
    assert told in said or "“nan”" in said


def test_a_test_of_the_lab_needs_one_file_and_no_other_edit(tmp_path: Path):
    (tmp_path / "smell.py").write_text(OWN_TEST, encoding="utf-8")
    listed = slake("tests", home=tmp_path, SLAKE_BENCH_TESTS=str(tmp_path)).stdout
    assert "smell" in [line.split()[0] for line in listed.splitlines()]
    said = slake("read", "smell", "smell=3", home=tmp_path, SLAKE_BENCH_TESTS=str(tmp_path))
    assert said.returncode == 0, said.stderr
    assert said.stdout.startswith("Smell: 3 grade")


def test_what_one_number_cannot_hold_is_said_too(tmp_path: Path):
    """20 g on sieves: the sizes and the nozzle, as the page says them."""
    rows = ["--row", "opening_um=125 kept_g=8", "--row", "opening_um=500 kept_g=4"]
    said = slake("read", "sieve_split", "put_in_g=20", "pan_g=8", *rows, home=tmp_path)
    assert said.returncode == 0, said.stderr
    assert "d50" in said.stdout and "want a nozzle of" in said.stdout


def test_a_begun_reading_says_what_is_still_to_do(tmp_path: Path):
    said = slake("read", "shrinkage_bar", "--row", "wet_mm=100", home=tmp_path)
    assert said.returncode == 0, said.stderr
    assert "still to do: measure the dry length when dry (1 bar still wet)" in said.stdout
