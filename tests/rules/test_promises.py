"""The keeper of promises must itself be seen to fail."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]
PROMISES = tomllib.loads((TESTS / "promises.toml").read_text(encoding="utf-8"))["promise"]


def test_every_sentence_is_shown_by_a_test_or_was_seen():
    assert all(promise["sentence"] and (promise.get("shown_by") or promise.get("seen_by_eye")) for promise in PROMISES)


def test_every_named_test_is_written():
    for name in {test for promise in PROMISES for test in promise.get("shown_by", [])}:
        file, function = name.split("::")[0], name.split("::")[-1]
        assert f"def {function}(" in (TESTS.parent / file).read_text(encoding="utf-8"), name


@pytest.mark.parametrize(
    ("body", "code"), [("assert True", 0), ("assert False", 1), ("import pytest; pytest.skip()", 1)]
)
def test_a_promise_is_kept_only_by_a_test_that_passed(tmp_path, body, code):
    (tmp_path / "test_it.py").write_text(f"def test_it():\n    {body}\n", encoding="utf-8")
    promise = '[[promise]]\nsentence = "it holds"\nshown_by = ["test_it.py::test_it"]\n'
    (tmp_path / "promises.toml").write_text(promise, encoding="utf-8")
    (tmp_path / "promises_kept.py").write_text(
        (TESTS / "promises_kept.py").read_text(encoding="utf-8"), encoding="utf-8"
    )
    run = [
        sys.executable,
        "-m",
        "pytest",
        "-q",
        "-p",
        "promises_kept",
        "-p",
        "no:cacheprovider",
        "-c",
        os.devnull,
        "--rootdir",
        ".",
    ]
    env = {key: value for key, value in os.environ.items() if not key.startswith(("PYTEST", "DJANGO"))}
    said = subprocess.run(
        run, cwd=tmp_path, env={**env, "PYTHONPATH": "."}, capture_output=True, text=True, check=False
    )
    assert said.returncode == code, said.stdout + said.stderr
    assert ("promise without a passing test: test_it.py::test_it: it holds" in said.stdout) == (code != 0)
