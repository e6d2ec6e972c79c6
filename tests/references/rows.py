"""Reads tests/references/*.toml: one file per source, one row per number from outside the code.

A row: id, function ("module:name"), inputs (numbers in SI, or "80 g" with a unit), and either `expected` (text, so that
its printed digits set the tolerance: half of the last one) with an optional `unit` and `pick`, or `raises`. `how` is
R read | R2 read in a secondary text | Mv memory, borne out by another calculation | M memory | D derived by hand |
C computed with a general library. `checks` is "physics" or "coding"; M, D and C check the coding only.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from slake.ground.units import to_si

HERE = Path(__file__).parent
SOURCES = HERE.parents[1] / "src" / "slake" / "ground" / "sources.toml"
HOW = {"R", "R2", "Mv", "M", "D", "C"}
CODING_ONLY = {"M", "D", "C"}
ROW_KEYS = {
    "id", "function", "inputs", "expected", "unit", "pick", "raises", "tolerance", "relative", "how", "checks", "note"
}  # fmt: skip


class BadRow(Exception):
    """A reference row that does not say enough to be a check."""


@dataclass(frozen=True, kw_only=True)
class Reference:
    id: str
    source: str
    function: str
    inputs: dict[str, Any]
    expected: tuple[float, ...] | None
    tolerances: tuple[float, ...]
    unit: str
    pick: str
    raises: str
    how: str
    checks: str
    note: str = field(default="")


def half_last_digit(printed: str) -> float:
    """Half of the last printed digit: "12.58" gives 0.005."""
    exponent = Decimal(printed).as_tuple().exponent
    if not isinstance(exponent, int):
        raise BadRow(f"{printed} has no digits")
    return 0.5 * 10.0**exponent


def references(folder: Path = HERE, sources: Path = SOURCES) -> list[Reference]:
    known = set(tomllib.loads(sources.read_text(encoding="utf-8")))
    found = [row for path in sorted(folder.glob("*.toml")) for row in _file(path, known)]
    ids = [row.id for row in found]
    twice = {i for i in ids if ids.count(i) > 1}
    if twice:
        raise BadRow(f"ids used twice: {sorted(twice)}")
    return found


def _file(path: Path, known: set[str]) -> Iterator[Reference]:
    document = tomllib.loads(path.read_text(encoding="utf-8"))
    source = document.get("source", "")
    if source not in known:
        raise BadRow(f"{path.name}: source {source!r} is not in sources.toml")
    for row in document["row"]:
        yield _row(row, source, f"{path.name} {row.get('id', '?')}")


def _row(row: dict[str, Any], source: str, where: str) -> Reference:
    if set(row) - ROW_KEYS:
        raise BadRow(f"{where}: unknown keys {set(row) - ROW_KEYS}")
    for key in ("id", "function", "inputs", "how", "checks"):
        if key not in row:
            raise BadRow(f"{where}: {key} is missing")
    if row["how"] not in HOW or row["checks"] not in {"physics", "coding"}:
        raise BadRow(f"{where}: how or checks is not one of the words")
    if row["how"] in CODING_ONLY and row["checks"] != "coding":
        raise BadRow(f"{where}: {row['how']} checks the coding only")
    if ("expected" in row) == ("raises" in row):
        raise BadRow(f"{where}: needs either expected or raises")
    expected, tolerances = _expected(row, where)
    return Reference(
        id=row["id"],
        source=source,
        function=row["function"],
        inputs={name: _input(value) for name, value in row["inputs"].items()},
        expected=expected,
        tolerances=tolerances,
        unit=row.get("unit", ""),
        pick=row.get("pick", ""),
        raises=row.get("raises", ""),
        how=row["how"],
        checks=row["checks"],
        note=row.get("note", ""),
    )


def _expected(row: dict[str, Any], where: str) -> tuple[tuple[float, ...] | None, tuple[float, ...]]:
    if "expected" not in row:
        return None, ()
    printed = row["expected"] if isinstance(row["expected"], list) else [row["expected"]]
    if not all(isinstance(text, str) for text in printed):
        raise BadRow(f"{where}: expected must be text as printed, so that its digits are known")
    try:
        digits = [half_last_digit(text) for text in printed]
    except (InvalidOperation, ValueError) as problem:
        raise BadRow(f"{where}: expected must be plain decimal numbers") from problem
    values = tuple(float(text) for text in printed)
    if "relative" in row:
        return values, tuple(abs(v) * row["relative"] for v in values)
    return values, tuple(row.get("tolerance", d) for d in digits)


def _input(value: Any) -> Any:
    """A number, a list, or text with a unit such as "80 g"."""
    if isinstance(value, list):
        return [_input(one) for one in value]
    if isinstance(value, str):
        number, _, unit = value.partition(" ")
        return to_si(float(number), unit)
    return value
