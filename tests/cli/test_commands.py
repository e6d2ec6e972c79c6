"""The command as a person types it: in a process of its own, judged by what it prints and its code."""

from __future__ import annotations

import os
import socket
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from slake.bench.shelf import all_tests

RUN = "from slake.cli import main; main()"
WITHOUT_DJANGO = "import sys, atexit; atexit.register(lambda: print('django' in sys.modules)); " + RUN


def slake(*words: str, home: Path, program: str = RUN, **more_env: str) -> subprocess.CompletedProcess[str]:
    env = {**os.environ, "SLAKE_HOME": str(home), **more_env}
    env.pop("DJANGO_SETTINGS_MODULE", None)
    command = [sys.executable, "-c", program, *words]
    return subprocess.run(command, env=env, capture_output=True, text=True, timeout=120, check=False)


def refused(said: subprocess.CompletedProcess[str]) -> str:
    """The one sentence of a refusal: on stderr, code 2, no trace."""
    assert said.returncode == 2 and said.stdout == ""
    assert "Traceback" not in said.stderr and said.stderr.count("\n") == 1 and said.stderr.startswith("slake: ")
    return said.stderr


@pytest.mark.parametrize("words", [["--version"], ["tests"], ["where"], ["--help"]])
def test_commands_without_records_never_start_django(tmp_path: Path, words: list[str]):
    said = slake(*words, home=tmp_path, program=WITHOUT_DJANGO)
    assert said.returncode == 0 and said.stdout.splitlines()[-1] == "False"


def test_looking_makes_nothing(tmp_path: Path):
    slake("where", home=tmp_path / "none")
    slake("tests", home=tmp_path / "none")
    assert not (tmp_path / "none").exists()


def test_tests_lists_every_declared_test(tmp_path: Path):
    lines = slake("tests", home=tmp_path).stdout.splitlines()
    assert [line.split()[0] for line in lines] == list(all_tests())
    assert len(lines) >= 5


@pytest.mark.parametrize("name", ["not_a_test", "x" * 400, "конус"])
def test_an_unknown_test_is_one_sentence(tmp_path: Path, name: str):
    assert "there is no bench test called" in refused(slake("read", name, home=tmp_path))


def test_where_names_the_folder_and_both_files(tmp_path: Path):
    lines = slake("where", home=tmp_path).stdout.splitlines()
    assert lines[0] == str(tmp_path)
    assert "bench.sqlite3" in lines[1] and "not made yet" in lines[1] and "sample.sqlite3" in lines[2]


def test_backup_without_a_bench_is_one_sentence(tmp_path: Path):
    assert "slake start makes one" in refused(slake("backup", home=tmp_path))


def test_restore_refuses_in_one_sentence(tmp_path: Path):
    (tmp_path / "letter.txt").write_text("dear bench" * 100)
    assert "no slake bench" in refused(slake("restore", str(tmp_path / "letter.txt"), home=tmp_path / "home"))


def test_a_busy_port_is_one_sentence_and_nothing_is_made(tmp_path: Path):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        assert "is busy" in refused(slake("serve", "--port", port, home=tmp_path / "home"))
    assert not (tmp_path / "home").exists()


@pytest.mark.parametrize("address", ["0.0.0.0", "192.0.2.1", "my-laptop"])
def test_a_wrong_lan_address_is_one_sentence(tmp_path: Path, address: str):
    assert refused(slake("serve", "--lan", address, home=tmp_path / "home"))


def test_our_own_fault_gives_an_id_and_the_log_not_a_trace(tmp_path: Path):
    program = f"import slake.server.home as h; h.Home.database = lambda *_: 1 / 0; {RUN}"
    said = slake("where", home=tmp_path, program=program)
    assert (
        said.returncode == 1
        and "Traceback" not in said.stderr
        and said.stderr.startswith("slake: something went wrong")
    )
    assert "ZeroDivisionError" in (tmp_path / "slake.log").read_text(encoding="utf-8")


def test_a_newer_bench_is_refused_at_start(tmp_path: Path):
    home = tmp_path / "home"
    home.mkdir()
    with closing(sqlite3.connect(home / "bench.sqlite3")) as connection:
        connection.execute("CREATE TABLE django_migrations (app TEXT, name TEXT)")
        connection.execute("INSERT INTO django_migrations VALUES ('records', '9999_from_the_future')")
        connection.commit()
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = str(probe.getsockname()[1])
    assert "was written by a newer slake" in refused(slake("serve", "--port", port, home=home))
