"""A sheet kept byte for byte, looked at, and taken in once, all of it or nothing, also where it is killed."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import textwrap
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from slake.actions.entry import Entry
from slake.actions.lots import take_lots
from slake.actions.past import Asked, NotAllGood, keep_sheet, look_at_sheet, table_of, take_in_sheet
from slake.campaign.past.guessing import guess_settled
from slake.ground.evidence import Kind
from slake.ground.problems import Problem
from slake.records.models import Action, Amount, Batch, Lot, Outcome, Reading, Recipe, Sheet
from slake.records.values import evidence_of

TABLE = (
    b"batch;date;shell (g);guar (g);water (g);slump (cm);minutes;ended\n"
    b"A1;05.03.2024;300;2,5;140;23;60;good\n"
    b"A2;06.03.2024;300;2,5;140;0;;good but cracked\n"
    b"A3;07.03.2024;310;3;150;12;45;\n"
)
BAD = TABLE + b"A4;08.03.2024;much;3;150;12;45;\nA5;31.12.2999;310;3;150;12;45;\n"


@pytest.fixture
def lots(databases, entry) -> list[Lot]:
    return take_lots(entry(), [{"ingredient": "mussel shell", "name": "shell"}, {"ingredient": "guar", "name": "guar"}])


@pytest.fixture
def asked(lots, entry) -> Callable[..., tuple[int, Asked]]:
    def settle(content: bytes, **more: object) -> tuple[int, Asked]:
        sheet = keep_sheet(entry(), "past.csv", content)
        settled = guess_settled(table_of(sheet.pk), lot_words=frozenset({"shell", "guar"}))
        by_word = {lot.name.casefold(): str(lot.pk) for lot in Lot.objects.all()}
        picks = {
            str(c.at): {"pick": by_word[c.heading.split(" (")[0]], "moisture": ""}
            for c in settled.columns
            if c.means.value == "amount"
        }
        return sheet.pk, Asked(settled=settled, picks=picks, **more)

    return settle


def test_a_file_is_kept_as_it_came_and_once(databases, entry):
    one, two = keep_sheet(entry(), "a.csv", TABLE), keep_sheet(entry(), "b.csv", TABLE)
    assert one.pk == two.pk and bytes(Sheet.objects.get().content) == TABLE
    with pytest.raises(Problem, match="0 bytes"):
        keep_sheet(entry(), "c.csv", b"")
    assert Sheet.objects.count() == 1


def test_every_cell_arrives_where_the_person_said(asked, entry):
    answer = take_in_sheet(entry(), *asked(TABLE))
    assert answer["batches"] == [1, 3] and answer["taken"] == 3 and answer["left_out"] == []
    first, second, third = Batch.objects.all()
    assert (first.called, first.from_notebook, first.water_g) == ("A1", True, 140)
    assert first.since.astimezone(UTC).date().isoformat() == "2024-03-05"
    assert [(a.lot.name if a.lot else "water", a.target_g) for a in first.amounts.all()] == [
        ("shell", 300), ("guar", 2.5), ("water", 140),
    ]  # fmt: skip
    reading = first.readings.get()
    assert (reading.headline_value, reading.age_s, reading.test) == (230, 3600, "slump")
    assert reading.typed["fields"]["mould"] == "concrete_cone"
    assert reading.typed["from_cell"] == {"heading": "slump (cm)", "unit": "cm", "text": "23", "row": 2}
    assert evidence_of(second.readings.get()).kind is Kind.ABOVE
    assert [o.words for o in Outcome.objects.all()] == ["good", "good but cracked"]
    assert Recipe.objects.count() == 2 and first.recipe_id == second.recipe_id != third.recipe_id
    assert sum(first.recipe.parts.values()) == pytest.approx(1)
    line = Action.objects.get(name="take in sheet")
    assert len(line.checksum) == 64 and line.answer == answer


def test_the_same_file_read_the_same_way_does_not_double(asked, entry):
    sheet, how = asked(TABLE)
    same = entry()
    assert take_in_sheet(same, sheet, how) == take_in_sheet(same, sheet, how)
    again = take_in_sheet(entry(), sheet, how)
    assert (again["taken"], again["already"], Batch.objects.count()) == (0, 3, 3)


def test_a_mended_file_only_adds_what_was_left_out(asked, entry):
    answer = take_in_sheet(entry(), *asked(BAD, only_good=True))
    assert [number for number, _ in answer["left_out"]] == [5, 6] and answer["taken"] == 3
    mended = take_in_sheet(entry(), *asked(BAD.replace(b"much", b"320").replace(b"2999", b"2023")))
    assert (mended["taken"], mended["already"], Batch.objects.count()) == (2, 3, 5)


def test_one_bad_row_keeps_all_out_unless_given_up(asked, entry):
    sheet, how = asked(BAD)
    with pytest.raises(NotAllGood, match="2 of 5 rows cannot be read") as refused:
        take_in_sheet(entry(), sheet, how)
    reasons = {trouble.number: trouble.why for trouble in refused.value.troubles}
    assert "“much”" in reasons[5] and "lies ahead" in reasons[6]
    assert not Batch.objects.exists() and not Action.objects.filter(name="take in sheet").exists()


def test_new_lots_and_labels_become_lots(databases, entry):
    text = b"kelp meal (g);kelp meal lot;sludge (g);water (g)\n100;autumn;5;80\n100;spring;5;90\n"
    sheet = keep_sheet(entry(), "lots.csv", text)
    settled = guess_settled(table_of(sheet.pk))
    picks = {"0": {"pick": "new:filler", "moisture": "8"}, "2": {"pick": "new:additive", "moisture": ""}}
    take_in_sheet(entry(), sheet.pk, Asked(settled=settled, picks=picks))
    assert sorted(Lot.objects.values_list("name", flat=True)) == ["kelp meal autumn", "kelp meal spring", "sludge"]
    assert Lot.objects.get(name="kelp meal spring").moisture_percent == 8
    with pytest.raises(Problem, match="say which lot “sludge"):
        look_at_sheet(sheet.pk, Asked(settled=settled, picks={"0": picks["0"]}), datetime.now(UTC))


def test_progress_is_told_and_may_stop_it(asked, entry):
    body = b"".join(b"B%d;05.03.2024;300;2,5;%d;23;60;good\n" % (n, 120 + n % 50) for n in range(450))
    sheet, how = asked(TABLE.splitlines(keepends=True)[0] + body)
    told: list[tuple[int, int, str]] = []

    class Stop(Exception):
        pass

    def stop(done: int, total: int, words: str) -> None:
        told.append((done, total, words))
        if done == 400:
            raise Stop

    with pytest.raises(Stop):
        take_in_sheet(entry(), sheet, how, stop)
    assert told == [(200, 451, "reading the rows"), (400, 451, "reading the rows")]
    assert not Batch.objects.exists()


def test_a_doubled_row_within_one_file_is_two_batches(asked, entry):
    head, first, *_ = TABLE.splitlines(keepends=True)
    sheet, how = asked(head + first + first)
    assert take_in_sheet(entry(), sheet, how)["taken"] == 2
    assert take_in_sheet(entry(), sheet, replace(how, only_good=True))["taken"] == 0
    assert Batch.objects.count() == 2


KILLED = """
    import django, os, sys, time
    os.environ["DJANGO_SETTINGS_MODULE"] = "slake.server.settings"
    django.setup()
    from datetime import UTC, datetime
    from django.core.management import call_command
    from slake.actions.entry import Entry
    from slake.actions.past import Asked, keep_sheet, table_of, take_in_sheet
    from slake.campaign.past.guessing import guess_settled
    from slake.records.models import Outcome
    call_command("migrate", database="default", interactive=False, verbosity=0)
    now = datetime.now(UTC)
    rows = "".join(f"{n};{300 + n};140;{n % 20};good\\n" for n in range(400))
    text = "batch;shell (g);water (g);slump (cm);ended\\n" + rows
    sheet = keep_sheet(Entry(id="keep", at=now), "x.csv", text.encode())
    def dwell(rows):
        print("half written", flush=True)
        time.sleep(60)
    Outcome.objects.bulk_create = dwell
    asked = Asked(settled=guess_settled(table_of(sheet.pk)), picks={"1": {"pick": "new:filler", "moisture": ""}})
    take_in_sheet(Entry(id="in", at=now), sheet.pk, asked)
"""


@pytest.mark.skipif(os.name != "posix", reason="ends a process the hard way")
def test_a_process_killed_half_way_leaves_nothing(tmp_path: Path):
    """Lots, recipes, batches, amounts and readings are written; then the process is killed for good."""
    env = {**os.environ, "SLAKE_HOME": str(tmp_path / "home")}
    env.pop("DJANGO_SETTINGS_MODULE", None)
    command = [sys.executable, "-c", textwrap.dedent(KILLED)]
    with subprocess.Popen(command, env=env, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None and process.stdout.readline() == "half written\n"
        os.kill(process.pid, signal.SIGKILL)
    with closing(sqlite3.connect(tmp_path / "home" / "bench.sqlite3")) as connection:

        def count(table: str) -> int:
            return connection.execute(f"SELECT count(*) FROM records_{table}").fetchone()[0]

        assert {t: count(t) for t in ("batch", "recipe", "amount", "reading", "lot", "outcome")} == dict.fromkeys(
            ("batch", "recipe", "amount", "reading", "lot", "outcome"), 0
        )
        assert count("sheet") == 1 and count("action") == 1
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_rows_of_many_batches_are_all_there(asked, entry):
    """400 rows: four amounts and readings each, by number and by sum."""
    body = b"".join(b"B%d;05.03.2024;%d;2,5;140;%d;60;good\n" % (n, 300 + n, n % 25) for n in range(400))
    take_in_sheet(entry(), *asked(TABLE.splitlines(keepends=True)[0] + body))
    assert (Batch.objects.count(), Amount.objects.count(), Reading.objects.count()) == (400, 1200, 400)
    assert sum(Amount.objects.filter(lot__name="shell").values_list("target_g", flat=True)) == 300 * 400 + 399 * 200
    assert list(Batch.objects.values_list("number", flat=True)) == list(range(1, 401))


def test_an_entry_of_another_action_is_refused(asked, entry):
    sheet, how = asked(TABLE)
    taken = Entry(id=Action.objects.first().entry, at=entry().at)
    with pytest.raises(Problem, match="already used"):
        take_in_sheet(taken, sheet, how)
    assert not Batch.objects.exists()
