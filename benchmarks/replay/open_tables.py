"""The open tables as shares and readings. Imports nothing of slake."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
FOLDER = Path(__file__).parents[1] / "open_tables"


@dataclass(frozen=True, kw_only=True)
class OpenTable:
    """shares (n, q), each row summing to one; readings: name -> (n,); water: which part is water, -1 where none is."""

    name: str
    what: str
    parts: tuple[str, ...]
    water: int
    shares: Array
    readings: Mapping[str, Array]

    def only(self, rows: NDArray[np.intp]) -> OpenTable:
        read = {name: values[rows] for name, values in self.readings.items()}
        return OpenTable(
            name=self.name, what=self.what, parts=self.parts, water=self.water, shares=self.shares[rows], readings=read
        )

    def __len__(self) -> int:
        return len(self.shares)


def described() -> dict[str, dict[str, Any]]:
    return tomllib.loads((FOLDER / "tables.toml").read_text(encoding="utf-8"))


def opened(name: str) -> OpenTable:
    said = described()[name]
    with (FOLDER / said["file"]).open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    amounts = np.array([[float(row[part]) for part in said["parts"]] for row in rows])
    water = said["parts"].index(said["water"]) if "water" in said else -1
    return OpenTable(
        name=name,
        what=said["what"],
        parts=tuple("water" if i == water else part.split(" (")[0] for i, part in enumerate(said["parts"])),
        water=water,
        shares=amounts / amounts.sum(axis=1, keepdims=True),
        readings={one: np.array([float(row[one]) for row in rows]) for one in said["readings"]},
    )
