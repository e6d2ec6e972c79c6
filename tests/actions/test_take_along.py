"""Everything of a bench packed, moved into an empty one and packed again: equal records. Bad boxes leave nothing."""

from __future__ import annotations

import hashlib
import json
import tracemalloc
import zipfile
from datetime import UTC, datetime

import pytest
from django.db import IntegrityError, connections

from slake.actions import move_in as move_in_module
from slake.actions.move_in import move_in
from slake.actions.take_along import cell, pack, tables
from slake.demo import telling
from slake.ground.problems import DoesNotFit, Problem
from slake.records.models import Batch, Instrument, Reading, Recipe, Sheet
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
    assert counts["reading"] > 20 and counts["batch"] == 14
    assert rows(tmp_path / "again.zip") == rows(box)


def test_every_table_is_in_it_as_text_for_people_too(box):
    with zipfile.ZipFile(box) as opened:
        names = set(opened.namelist())
        first = opened.read("tables/lot.csv").decode().splitlines()
    assert {f"rows/{name}.jsonl" for name in tables()} | {f"tables/{name}.csv" for name in tables()} <= names
    assert first[0].startswith("id,name,ingredient") and "shell A" in first[1]


@pytest.fixture
def real_file(box, tmp_path):
    """The same bench in a file of its own, outside the transaction a test is wrapped in, as a served bench is."""
    file, real = tmp_path / "real.sqlite3", connections[SAMPLE].copy("real")
    file.write_bytes(connections[SAMPLE].connection.serialize())
    real.settings_dict["NAME"] = str(file)
    connections["real"] = real
    with using("real"):
        yield file
    real.close()
    del connections["real"]


def test_what_is_written_while_it_is_packed_stays_out_and_the_rest_is_whole(box, real_file, tmp_path):
    """A batch and its recipe written after the recipes were packed: neither half of it is in the box."""
    written = []

    def meanwhile(done, total):
        if not written:
            recipe = Recipe.objects.create(name="late", since=NOW, parts={"shell A": 1.0}, water_per_dry=0.5)
            written.append(Batch.objects.create(number=99, recipe=recipe, since=NOW, water_g=1.0))

    pack(tmp_path / "late.zip", NOW, meanwhile)
    assert Batch.objects.filter(number=99).exists()
    assert rows(tmp_path / "late.zip") == rows(box)
    with using(OWN):
        assert move_in(tmp_path / "late.zip")["batch"] == 14


def test_a_row_that_is_changed_while_it_is_packed_names_nothing_that_stayed_out(box, real_file, tmp_path):
    """The bowl of a batch is set, to one that is new, after the instruments were counted."""
    changed = []

    def meanwhile(done, total):
        if not changed:
            bowl = Instrument.objects.create(name="new bowl", kind="bowl", since=NOW)
            changed.append(Batch.objects.filter(number=1).update(bowl=bowl))

    pack(tmp_path / "late.zip", NOW, meanwhile)
    assert Batch.objects.get(number=1).bowl.name == "new bowl"
    assert rows(tmp_path / "late.zip") == rows(box)
    with using(OWN):
        move_in(tmp_path / "late.zip")
        connections[OWN].check_constraints()


def test_packing_leaves_no_copy_and_no_connection_behind(real_file, tmp_path):
    before = set(tmp_path.iterdir())
    pack(tmp_path / "again.zip", NOW)
    assert {file.name for file in set(tmp_path.iterdir()) - before} <= {
        "again.zip",
        "real.sqlite3-wal",
        "real.sqlite3-shm",
    }
    open_now = vars(connections._connections._storage)
    assert "real" in open_now and not [name for name in open_now if name.startswith("as-it-was")]


def test_a_bench_that_fills_while_the_file_is_opened_takes_nothing_over(box, monkeypatch):
    opened = move_in_module._manifest

    def meanwhile(zipped):
        Recipe.objects.create(name="late", since=NOW, parts={"shell A": 1.0}, water_per_dry=0.5)
        return opened(zipped)

    monkeypatch.setattr(move_in_module, "_manifest", meanwhile)
    with using(OWN):
        with pytest.raises(DoesNotFit, match="not empty"):
            move_in(box)
        assert (Recipe.objects.count(), held(OWN)) == (1, 1)


def test_a_list_of_tables_larger_than_any_bench_has_is_not_read(box, tmp_path):
    blown = rewritten(box, tmp_path, lambda name, data: data + b" " * 50_000_000 if name == "bench.json" else data)
    tracemalloc.start()
    with using(OWN), pytest.raises(Problem, match="larger than 1 MB"):
        move_in(blown)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 20_000_000 and held(OWN) == 0


@pytest.mark.parametrize(
    ("table", "change"),
    [
        ("lot", {"name": "x" * 5000}),
        ("lot", {"name": ""}),
        ("lot", {"sieve_um": "wide"}),
        ("lot", {"since": "soon"}),
        ("lot", {"sieve_um": -3}),
        ("person", {"name": None}),
        ("reading", {"batch_id": 999999}),
    ],
)
def test_a_row_no_page_would_keep_is_refused_though_its_checksum_fits(box, tmp_path, table, change):
    """Checksums are no secret: a file may be put together by anybody."""
    with zipfile.ZipFile(box) as opened:
        lines = opened.read(f"rows/{table}.jsonl").splitlines(keepends=True)
        said = json.loads(opened.read("bench.json"))
    first = json.loads(lines[0]) if lines else {"id": 1, "name": "Ada", "since": NOW.isoformat()}
    data = json.dumps({**first, **change}).encode() + b"\n" + b"".join(lines[1:])
    said["tables"][table] = {"rows": max(len(lines), 1), "sha256": hashlib.sha256(data).hexdigest()}
    new = {"bench.json": json.dumps(said).encode(), f"rows/{table}.jsonl": data}
    with using(OWN), pytest.raises((Problem, IntegrityError)):
        move_in(rewritten(box, tmp_path, lambda name, old: new.get(name, old)))
        connections[OWN].check_constraints()
    if table != "reading":
        assert held(OWN) == 0


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
