"""Everything of a bench packed, moved into an empty one and packed again: equal records. Bad boxes leave nothing."""

from __future__ import annotations

import json
import zipfile
from datetime import UTC, datetime

import pytest

from slake.actions.move_in import move_in
from slake.actions.take_along import cell, pack, tables
from slake.demo import telling
from slake.ground.problems import DoesNotFit, Problem
from slake.records.models import Batch, Reading, Recipe, Sheet
from slake.records.which import OWN, SAMPLE, using

NOW = datetime(2026, 11, 2, 17, 0, tzinfo=UTC)


@pytest.fixture
def box(databases, tmp_path):
    with using(SAMPLE):
        telling.load(NOW)
        Sheet.objects.create(name="old.csv", sha256="0" * 64, content=b"\x00\xff;1", at=NOW)
        pack(tmp_path / "bench.zip", NOW)
    return tmp_path / "bench.zip"


def rows(file):
    with zipfile.ZipFile(file) as opened:
        return {name: opened.read(name) for name in opened.namelist() if name.startswith("rows/")}


def held(alias):
    with using(alias):
        return sum(model.objects.count() for model in tables().values())


def test_out_and_in_and_out_again_are_equal(box, tmp_path):
    with using(OWN):
        counts = move_in(box)
        pack(tmp_path / "again.zip", NOW)
        assert bytes(Sheet.objects.get(name="old.csv").content) == b"\x00\xff;1"
    assert counts["reading"] > 20 and counts["batch"] == 12
    assert rows(tmp_path / "again.zip") == rows(box)


def test_every_table_is_in_it_as_text_for_people_too(box):
    with zipfile.ZipFile(box) as opened:
        names = set(opened.namelist())
        first = opened.read("tables/lot.csv").decode().splitlines()
    assert {f"rows/{name}.jsonl" for name in tables()} | {f"tables/{name}.csv" for name in tables()} <= names
    assert first[0].startswith("id,name,ingredient") and "shell A" in first[1]


def test_what_is_written_while_it_is_packed_stays_out_and_the_rest_is_whole(box, tmp_path):
    """A batch and its recipe written after the recipes were packed: neither half of it is in the box."""
    written = []

    def meanwhile(done, total):
        if not written:
            recipe = Recipe.objects.create(name="late", since=NOW, parts={"shell A": 1.0}, water_per_dry=0.5)
            written.append(Batch.objects.create(number=99, recipe=recipe, since=NOW, water_g=1.0))

    with using(SAMPLE):
        pack(tmp_path / "late.zip", NOW, meanwhile)
        assert Batch.objects.filter(number=99).exists()
    assert rows(tmp_path / "late.zip") == rows(box)
    with using(OWN):
        assert move_in(tmp_path / "late.zip")["batch"] == 12


def test_it_moves_into_an_empty_bench_only(box):
    with using(OWN):
        move_in(box)
        before = Reading.objects.count()
        with pytest.raises(DoesNotFit, match="not empty"):
            move_in(box)
        assert Reading.objects.count() == before


def rewritten(box, tmp_path, change):
    other = tmp_path / "other.zip"
    with zipfile.ZipFile(box) as opened, zipfile.ZipFile(other, "w") as made:
        for name in opened.namelist():
            data = change(name, opened.read(name))
            if data is not None:
                made.writestr(name, data)
    return other


def _manifest(**more):
    return lambda name, data: json.dumps({**json.loads(data), **more}).encode() if name == "bench.json" else data


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda name, data: None if name == "bench.json" else data, "no bench.json"),
        (lambda name, data: None if name == "rows/reading.jsonl" else data, "lacks the rows"),
        (lambda name, data: data[:-200] if name == "rows/outcome.jsonl" else data, "."),
        (
            lambda name, data: data.replace(b"shell A", b"shell Z") if name == "rows/lot.jsonl" else data,
            "changed since",
        ),
        (_manifest(format=99), "newer slake"),
        (_manifest(migration="9999_later"), "newer slake"),
        (_manifest(tables={"spell": {"rows": 0, "sha256": ""}}), "no bench has"),
    ],
)
def test_a_box_that_is_not_whole_leaves_nothing(box, tmp_path, change, says):
    with using(OWN), pytest.raises(Problem, match=says):
        move_in(rewritten(box, tmp_path, change))
    assert held(OWN) == 0


@pytest.mark.parametrize("content", [b"", b"PK", b"no zip at all" * 100])
def test_another_file_is_refused(databases, tmp_path, content):
    (tmp_path / "x.zip").write_bytes(content)
    with using(OWN), pytest.raises(Problem, match="no packed bench"):
        move_in(tmp_path / "x.zip")


@pytest.mark.parametrize("text", ["=1+1", "+1", "-2", "@x", "\t=1"])
def test_text_like_a_formula_is_made_harmless_on_the_way_out(text):
    assert cell(text) == f"'{text}"
    assert cell(-2.5) == -2.5
