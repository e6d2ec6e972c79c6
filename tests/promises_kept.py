"""Holds tests/promises.toml against a whole run: every test it names must exist, have run and have passed.

Loaded by tests/everything.sh with -p; a run of single tests does not ask.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

PROMISES = Path(__file__).with_name("promises.toml")
passed: set[str] = set()
wrong: set[str] = set()


def named_tests() -> dict[str, list[str]]:
    """Test id -> the sentences it is to show."""
    found: dict[str, list[str]] = {}
    for promise in tomllib.loads(PROMISES.read_text(encoding="utf-8"))["promise"]:
        for test in promise.get("shown_by", []):
            found.setdefault(test, []).append(promise["sentence"])
    return found


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    name = report.nodeid.split("[")[0]
    if report.when == "call" and report.passed:
        passed.add(name)
    elif report.failed:
        wrong.add(name)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    if hasattr(session.config, "workerinput"):
        return
    session.slake_broken = [  # type: ignore[attr-defined]
        f"{test}: {sentence}"
        for test, sentences in named_tests().items()
        for sentence in sentences
        if test not in passed or test in wrong
    ]
    if session.slake_broken and exitstatus == 0:  # type: ignore[attr-defined]
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    broken = getattr(terminalreporter._session, "slake_broken", [])
    for line in broken:
        terminalreporter.write_line(f"promise without a passing test: {line}", red=True)
    if not broken:
        terminalreporter.write_line(f"all {len(named_tests())} tests that promises.toml names ran and passed")
