"""What `pip install .` brings along: code alone would not serve a page."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from zipfile import ZipFile

import pytest

ROOT = Path(__file__).resolve().parents[2]
SHIPPED = {".py", ".toml", ".html", ".css", ".js", ".svg", ".txt", ".csv"}


@pytest.fixture(scope="module")
def shipped(tmp_path_factory: pytest.TempPathFactory) -> set[str]:
    out = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(out)]
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    return set(ZipFile(next(out.glob("slake-*.whl"))).namelist())


def test_every_file_of_every_room_is_shipped(shipped: set[str]):
    source = ROOT / "src"
    wanted = {p.relative_to(source).as_posix() for p in (source / "slake").rglob("*") if p.suffix in SHIPPED}
    assert wanted - shipped == set()


@pytest.mark.parametrize(
    "part", ["/migrations/0", "/templates/", "/static/", "ground/names.toml", "server/settings.py"]
)
def test_each_kind_is_there(shipped: set[str], part: str):
    assert any(part in name for name in shipped)


def test_nothing_else_is_shipped(shipped: set[str]):
    assert {name.split("/")[0].split("-")[0] for name in shipped} == {"slake"}
    assert not [name for name in shipped if "tests" in name.split("/")[:2] or name.endswith((".pyc", ".sqlite3"))]


def test_the_command_is_declared(tmp_path: Path):
    said = subprocess.run(
        [Path(sys.executable).with_name("slake"), "--version"], capture_output=True, text=True, check=True
    )
    assert said.stdout.startswith("slake ")
