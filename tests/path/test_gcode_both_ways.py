"""The reader of many lines at once against the exact reader of one line: the same rows, notes and refusals."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from slake.path.gcode_bytes import read_lines
from slake.path.gcode_lines import read_line, rows_of
from slake.path.gcode_words import NOTHING, LineProblem, Notes, Rows
from tests.path import gcode_lines_made as made

SEEDS = range(40)
Dress = Callable[[int, str], str]


def one_by_one(lines: list[str], first: int, notes: Notes) -> Rows:
    found = []
    for place, text in enumerate(lines):
        found += [(first + place, code, words) for code, words in read_line(text.encode(), first + place, notes)]
    return rows_of(found)


def plainly(rows: Rows) -> list[tuple[object, ...]]:
    """Rows as (line, code, words said), those that ask nothing left out."""
    keep = []
    for place in np.flatnonzero(rows.code != NOTHING).tolist():
        words = {k: float(v[place]) for k, v in sorted(rows.words.items()) if not np.isnan(v[place])}
        keep.append((int(rows.line[place]), int(rows.code[place]), words))
    return keep


def readable(rng: np.random.Generator, odd: float, count: int) -> list[str]:
    lines = []
    while len(lines) < count:
        text = made.line(rng, odd)
        try:
            read_line(text.encode(), 1, Notes())
        except LineProblem:
            continue
        lines.append(text)
    return lines


@pytest.mark.parametrize("seed", SEEDS)
def test_both_read_the_same(seed: int):
    rng = np.random.default_rng([seed])
    lines = readable(rng, float(rng.choice([0.05, 0.3, 0.7])), 120)
    slow, fast = Notes(), Notes()
    wanted = plainly(one_by_one(lines, 7, slow))
    got = plainly(read_lines(("\n".join(lines) + "\n").encode(), 7, fast))
    assert got == wanted
    assert fast.all() == slow.all()
    assert len(wanted) > 20


@pytest.mark.parametrize("seed", SEEDS)
def test_both_refuse_the_same_line(seed: int):
    rng = np.random.default_rng([1000 + seed])
    for _ in range(40):
        text = made.line(rng, 0.8)
        try:
            read_line(text.encode(), 1, Notes())
        except LineProblem as fault:
            lines = [*readable(rng, 0.2, 3), text, *readable(rng, 0.2, 2)]
            with pytest.raises(LineProblem) as said:
                read_lines(("\n".join(lines) + "\n").encode(), 1, Notes())
            assert said.value.line == 4
            assert str(said.value).split(": ", 1)[1] == str(fault).split(": ", 1)[1]


def test_numbers_are_read_as_exactly_as_python_reads_them():
    rng = np.random.default_rng([3])
    texts = [
        f"{value:.{places}f}" for value, places in zip(rng.normal(0, 300, 4000), rng.integers(0, 14, 4000), strict=True)
    ]
    rows = read_lines(("\n".join(f"G1 X{text}" for text in texts) + "\n").encode(), 1, Notes())
    assert rows.words["X"].tolist() == [float(text) for text in texts]


def check_of(text: str) -> str:
    got = 0
    for byte in text.encode():
        got ^= byte
    return f"{text}*{got}"


DRESSED = {
    "numbered and checked": lambda n, text: check_of(f"N{n} {text}"),
    "checked over a comment": lambda n, text: check_of(f"{text} (a) "),
    "brackets": lambda n, text: f"(a) {text} (b)(c)",
    "remarks with brackets": lambda n, text: f"{text} ; a ) b (",
}


@pytest.mark.parametrize("dress", DRESSED.values(), ids=DRESSED.keys())
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_dressed_lines_are_read_alike_and_not_one_by_one(dress: Dress, end: str, monkeypatch: pytest.MonkeyPatch):
    rng = np.random.default_rng([11])
    lines = [dress(n, text) for n, text in enumerate(readable(rng, 0.0, 200))]
    wanted = plainly(one_by_one(lines, 1, Notes()))
    monkeypatch.setattr("slake.path.gcode_bytes.read_line", never)
    assert plainly(read_lines((end.join(lines) + end).encode(), 1, Notes())) == wanted
    assert len(wanted) > 150


def never(*args: object) -> None:
    raise AssertionError("the exact reader was asked")


def test_the_common_line_never_takes_the_slow_way(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("slake.path.gcode_bytes.read_line", never)
    text = "G1 X1.5 Y-2 Z.3 E0.4 F600\nG0 X1.Y2.\n; remark (here)\n\n  G1 X3 ; more\nM83\nG92 E0\nG4 P5\n"
    assert len(read_lines((text + "G2 X5 I1 E1\nx4\r\n").encode(), 1, Notes()).line) == 8
