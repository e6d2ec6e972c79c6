"""Bringing a folder up: once, whole, with a copy before an update, and never over a running slake."""

from __future__ import annotations

import os
import re
import sqlite3
import stat
import subprocess
import sys
from contextlib import closing
from http.client import HTTPConnection
from pathlib import Path
from urllib.request import urlopen

import pytest

from slake.server.files import MARKS, known_migrations, mark_of
from slake.server.home import OWN, SAMPLE, Home
from tests.conftest import Served, serving

PREPARE = """
import os, django
os.environ["DJANGO_SETTINGS_MODULE"] = "slake.server.settings"
django.setup()
from datetime import UTC, datetime
from django.conf import settings
from slake.server import start
"""


def prepared(home: Path, *lines: str) -> subprocess.CompletedProcess[str]:
    """Run lines of Python on a data folder in a process of their own."""
    env = {**os.environ, "SLAKE_HOME": str(home)}
    program = "\n".join((PREPARE, *lines))
    return subprocess.run(
        [sys.executable, "-c", program], env=env, capture_output=True, text=True, check=False, timeout=300
    )


BRING_UP = "start.bring_up(settings.HOME, datetime(2026, 3, 1, 12, tzinfo=UTC), print)"


@pytest.fixture(scope="module")
def brought_up(tmp_path_factory: pytest.TempPathFactory) -> tuple[Home, str]:
    home = Home(folder=tmp_path_factory.mktemp("up") / "home")
    said = prepared(home.folder, BRING_UP)
    assert said.returncode == 0, said.stderr
    return home, said.stdout


def rows(file: Path, table: str) -> int:
    with closing(sqlite3.connect(file)) as connection:
        return connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0]


def test_both_files_are_marked_and_the_sample_alone_is_told(brought_up: tuple[Home, str]):
    home, said = brought_up
    assert mark_of(home.database(OWN)) == MARKS[OWN] and mark_of(home.database(SAMPLE)) == MARKS[SAMPLE]
    assert "sample workshop" in said
    assert rows(home.database(SAMPLE), "records_batch") == 14
    assert rows(home.database(OWN), "records_batch") == 0 and rows(home.database(OWN), "records_action") == 0


def test_every_file_is_closed_to_others(brought_up: tuple[Home, str]):
    home, _ = brought_up
    for path in (home.folder, *home.folder.rglob("*")):
        assert stat.S_IMODE(path.stat().st_mode) & 0o077 == 0, path


def test_a_second_start_changes_nothing_and_says_nothing(brought_up: tuple[Home, str]):
    home, _ = brought_up
    before = [
        (p.name, p.stat().st_mtime_ns) for p in sorted(home.folder.rglob("*")) if p.suffix in {".css", ".sqlite3"}
    ]
    said = prepared(home.folder, BRING_UP)
    assert said.returncode == 0 and said.stdout == ""
    after = [(p.name, p.stat().st_mtime_ns) for p in sorted(home.folder.rglob("*")) if p.suffix in {".css", ".sqlite3"}]
    assert before == after


def test_an_interrupted_telling_is_told_anew(tmp_path: Path):
    stop = "start.telling.load = lambda now: (_ for _ in ()).throw(KeyboardInterrupt)"
    assert prepared(tmp_path, stop, BRING_UP).returncode != 0
    home = Home(folder=tmp_path)
    assert mark_of(home.database(SAMPLE)) == 0
    assert prepared(tmp_path, BRING_UP).returncode == 0
    assert mark_of(home.database(SAMPLE)) == MARKS[SAMPLE] and rows(home.database(SAMPLE), "records_batch") == 14


def test_an_older_bench_is_copied_and_then_brought_up_to_date(tmp_path: Path):
    first = min(known_migrations())
    old = f"start.call_command('migrate', 'records', '{first}', database='default', verbosity=0)"
    assert prepared(tmp_path, old, "start.set_mark(settings.HOME.database('default'), 'default')").returncode == 0
    home = Home(folder=tmp_path)
    said = prepared(tmp_path, BRING_UP)
    assert said.returncode == 0, said.stderr
    assert "a copy is kept" in said.stdout
    kept = min(home.backups.glob("bench-*"))
    with closing(sqlite3.connect(kept)) as connection:
        applied = {n for (n,) in connection.execute("SELECT name FROM django_migrations WHERE app = 'records'")}
    assert applied == {first}


def test_no_update_happens_under_a_running_slake(tmp_path: Path):
    first = min(known_migrations())
    old = f"start.call_command('migrate', 'records', '{first}', database='default', verbosity=0)"
    assert prepared(tmp_path, old).returncode == 0
    hold = "from slake.server.files import in_use\nwith in_use(settings.HOME): " + BRING_UP
    said = prepared(tmp_path, hold)
    assert said.returncode != 0 and "slake is running" in said.stderr


def test_the_next_batch_of_the_sample_is_said_in_grams_with_chance_and_reason(brought_up: tuple[Home, str]):
    home, _ = brought_up
    ask = "print('\\n'.join(next_of_sample(datetime(2026, 3, 1, 13, tzinfo=UTC))))"
    said = prepared(home.folder, "from slake.server.greeting import next_of_sample", ask)
    assert said.returncode == 0, said.stderr
    assert "as batch 15, for 1000 g of paste" in said.stdout.splitlines()[0]
    grams = [float(g) for g in re.findall(r"^ +([\d.]+) g  \S", said.stdout, re.M)]
    assert len(grams) >= 4 and sum(grams) == pytest.approx(1000, abs=0.5)  # each printed to 0.1 g
    chance = re.search(r"hold: (\d+) % \(80 % range (\d+) to (\d+) %\)\n +\S", said.stdout)
    assert chance and int(chance[2]) <= int(chance[1]) <= int(chance[3]) <= 100
    assert prepared(home.folder, "from slake.server.greeting import next_of_sample", ask).stdout == said.stdout


def test_pragmas_of_a_served_connection(brought_up: tuple[Home, str]):
    """1 = on, 2 = FULL (the numbers of SQLite's manual)."""
    home, _ = brought_up
    ask = (
        "from django.db import connections\n"
        "for alias in ('default', 'sample'):\n"
        "    with connections[alias].cursor() as c:\n"
        "        print([c.execute(f'PRAGMA {p}').fetchone()[0]\n"
        "               for p in ('journal_mode', 'synchronous', 'foreign_keys')])"
    )
    assert prepared(home.folder, ask).stdout.splitlines() == ["['wal', 2, 1]"] * 2


def test_a_served_page_answers_under_the_made_up_name_too(served: Served):
    """The name is not in any name service here; the request goes to loopback and carries it as its host."""
    link = HTTPConnection("127.0.0.1", served.port, timeout=30)
    for name, status in (("bench.slake.test", 200), ("localhost", 200), ("other.slake.test", 400)):
        link.request("GET", "/", headers={"Host": f"{name}:{served.port}"})
        answer = link.getresponse()
        answer.read()
        assert answer.status == status, name
    link.close()


def test_a_lan_start_prints_address_picture_and_code_and_asks_for_it(tmp_path: Path):
    """Loopback stands in for the address of the network: the one address every machine has."""
    with serving(tmp_path / "home", "--lan", "127.0.0.1") as bench:
        said = bench.said()
        assert f"http://127.0.0.1:{bench.port}/" in said and "pairing code: " in said
        assert said.count("█") + said.count("▀") + said.count("▄") > 100, "no QR code was drawn"
        with urlopen(bench.url + "/sample/") as answer:
            assert answer.url.endswith("/pair/")
