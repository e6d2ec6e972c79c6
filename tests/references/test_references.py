"""Every number from outside the code, against the code. Ids carry what they check: physics, or coding only."""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from slake.ground import problems
from slake.ground.units import from_si
from tests.references.rows import SOURCES, BadRow, Reference, half_last_digit, references

ROWS = references()


def call(row: Reference) -> Any:
    module, name = row.function.split(":")
    got = getattr(import_module(module), name)(**row.inputs)
    return reduce(getattr, row.pick.split("."), got) if row.pick else got


def flat(got: Any) -> Iterable[float]:
    return np.atleast_1d(np.asarray(got, dtype=float)).ravel()


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.checks}-{row.how}-{row.id}")
def test_reference(row: Reference) -> None:
    if row.raises:
        with pytest.raises(getattr(problems, row.raises)):
            call(row)
        return
    got = [from_si(float(value), row.unit) for value in flat(call(row))]
    assert row.expected is not None and len(got) == len(row.expected)
    for value, wanted, tolerance in zip(got, row.expected, row.tolerances, strict=True):
        assert abs(value - wanted) <= tolerance * (1 + 1e-9) + 1e-12, f"{row.source}: {value} for {wanted}"


def test_every_topic_is_there() -> None:
    topics = {row.id.split("-")[0] for row in ROWS}
    assert {"1", "2", "5", "6", "7", "9", "own"} <= topics


def test_some_rows_are_read_and_none_from_memory_claims_more() -> None:
    assert any(row.checks == "physics" for row in ROWS)
    assert all(row.checks == "coding" for row in ROWS if row.how in {"M", "D", "C"} or row.source == "own_arithmetic")


GOOD = """
source = "hansbo1957"
[[row]]
id = "x"
function = "a:b"
inputs = { mass_kg = "80 g" }
expected = "1.50"
how = "D"
checks = "coding"
"""


def load(text: str, folder: Path) -> list[Reference]:
    (folder / "one.toml").write_text(text, encoding="utf-8")
    return references(folder, SOURCES)


def test_a_good_row_loads_with_half_its_last_digit(tmp_path: Path) -> None:
    (row,) = load(GOOD, tmp_path)
    assert row.tolerances == (0.005,) and row.inputs == {"mass_kg": pytest.approx(0.08)}


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('source = "hansbo1957"', ""),
        ('source = "hansbo1957"', 'source = "nobody1900"'),
        ('how = "D"', ""),
        ('how = "D"', 'how = "sure"'),
        ('expected = "1.50"', "expected = 1.50"),
        ('expected = "1.50"', 'expected = "about 1.5"'),
        ('expected = "1.50"', 'expected = "inf"'),
        ('expected = "1.50"', ""),
        ('checks = "coding"', 'checks = "physics"'),
        ('checks = "coding"', ""),
        ('id = "x"', ""),
    ],
)
def test_a_row_without_source_digits_or_tag_fails_to_load(tmp_path: Path, old: str, new: str) -> None:
    assert old in GOOD
    with pytest.raises(BadRow):
        load(GOOD.replace(old, new), tmp_path)


def test_the_same_id_twice_fails_to_load(tmp_path: Path) -> None:
    with pytest.raises(BadRow):
        load(GOOD + GOOD[GOOD.index("[[row]]") :], tmp_path)


def test_half_of_the_last_digit() -> None:
    assert half_last_digit("118") == 0.5
    assert half_last_digit("0.66974") == pytest.approx(5e-6)
