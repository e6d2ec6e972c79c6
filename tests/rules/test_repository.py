"""What no file of the repository may say, what the lock holds, and what a bare import loads."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
# Written in two halves, so that this file does not say what it forbids.
PLACES = [r"(?<![\w.])/" + part for part in ("work/", "root/", r"home/\w", "Users/", "usr/bin/c" + "hrom", "tmp/")]
INDEXES = [
    "py" + "pi",
    "pythonhosted",
    "files.python",
    "deb.debian",
    "registry." + "npm",
    "--index" + "-url",
    "--find" + "-links",
    "extra-" + "index",
]
LINE_THAT_SWITCHES_THEM_OFF = {"requirements/lock.sh"}


def tracked() -> list[Path]:
    """Files of the repository that hold text; without git, of the folders that are shipped."""
    try:
        listed = subprocess.run(
            ["git", "ls-files", "-co", "--exclude-standard"], cwd=ROOT, capture_output=True, text=True, check=True
        )
        paths = [ROOT / line for line in listed.stdout.splitlines()]
    except (OSError, subprocess.CalledProcessError):
        paths = [
            p for folder in ("src", "tests", "requirements", "docs", "benchmarks") for p in (ROOT / folder).rglob("*")
        ]
    return [p for p in paths if p.is_file() and p.suffix not in {".png", ".ico", ".sqlite3", ".woff2", ".pyc", ".gz"}]


def saying(words: list[str]) -> list[str]:
    found = []
    for path in tracked():
        name = str(path.relative_to(ROOT))
        if name in LINE_THAT_SWITCHES_THEM_OFF or path == Path(__file__):
            continue
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            if any(re.search(word, line) for word in words):
                found.append(f"{name}:{number}")
    return found


def test_no_line_names_a_package_index():
    assert saying(INDEXES) == []


def test_no_line_names_a_place_on_somebodys_machine():
    assert saying(PLACES) == []


def test_the_rule_sees_such_places():
    bad = ["cd /" + "work/main", "'/" + "root/x'", "path=/" + "home/ann/slake", "/" + "tmp/a"]
    assert all(any(re.search(place, line) for place in PLACES) for line in bad)
    assert not any(re.search(place, "next/work/ views/home/x") for place in PLACES)


def test_the_locking_script_only_switches_addresses_off():
    """It is left out above because it must name the two options that keep addresses out of the lock."""
    text = (ROOT / "requirements" / "lock.sh").read_text(encoding="utf-8")
    assert "--no-emit-" + "index-url" in text and "--no-emit-" + "find-links" in text
    assert "://" not in text


@pytest.mark.parametrize("name", ["run.txt", "dev.txt"])
def test_the_lock_pins_by_hash_and_holds_no_address(name: str):
    lines = (ROOT / "requirements" / name).read_text(encoding="utf-8").splitlines()
    assert not [line for line in lines if "://" in line or line.startswith("-")]
    pins = [line for line in lines if line and not line.startswith(" ")]
    assert pins and all(re.match(r"[a-z0-9._-]+==\S+", pin) for pin in pins)
    assert all(lines[i + 1].lstrip().startswith("--hash=sha256:") for i, line in enumerate(lines) if line in pins)


def test_the_run_lock_is_part_of_the_developers_lock():
    def pins(name: str) -> set[str]:
        text = (ROOT / "requirements" / name).read_text(encoding="utf-8")
        return {line.split(" ")[0] for line in text.splitlines() if "==" in line and not line.startswith(" ")}

    assert pins("run.txt") < pins("dev.txt")


def test_every_package_we_ask_for_is_imported():
    """A package enters with its first import."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    source = "\n".join(p.read_text(encoding="utf-8") for p in (ROOT / "src").rglob("*.py"))
    wanted = [re.split(r"[<>=\[]", item)[0] for item in project["dependencies"]]
    named = {"whitenoise": r"whitenoise\.middleware"}
    unused = [name for name in wanted if not re.search(named.get(name, rf"^\s*(import|from) {name}\b"), source, re.M)]
    assert unused == []


@pytest.mark.parametrize("module", ["slake", "slake.ground.numbers", "slake.bench.declaration", "slake.cli"])
def test_a_bare_import_loads_neither_django_nor_scipy(module: str):
    program = f"import {module}, sys; print([m for m in ('django', 'scipy', 'matplotlib') if m in sys.modules])"
    said = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == "[]"
