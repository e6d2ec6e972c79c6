"""Which of a test's choices a bare number can have been read with: a slump of 180 mm was no 50 mm cylinder."""

from __future__ import annotations

from collections.abc import Sequence

from slake.ground.problems import Problem

from .declaration import BenchTest, Choice


def typed_alone(test: BenchTest, value: float, choice: dict[str, str]) -> dict[str, object]:
    """A bare headline number as a reading's typed form: as its own input where the test has one, else alone."""
    if any(item.name == test.notebook_name for item in test.inputs):
        return {"fields": {test.notebook_name: f"{value:.6g}", **choice}, "rows": []}
    return {"alone": f"{value:.6g}"}


def choice_for(test: BenchTest, values: Sequence[float]) -> dict[str, str]:
    """The first choice all the values can be read with, the typical one first.

    Raises the Problem of the typical one where none fits.
    """
    tries: list[dict[str, str]] = [{}]
    tries += [{item.name: word} for item in test.inputs if isinstance(item, Choice) for word in item.words]
    first: Problem | None = None
    for choice in tries:
        try:
            for value in values:
                _read(test, typed_alone(test, value, choice), value)
        except Problem as problem:
            first = first or problem
        else:
            return choice
    raise first or Problem(f"{test.title} cannot be read from a number alone: read it at the bench")


def _read(test: BenchTest, typed: dict[str, object], value: float) -> None:
    fields = typed.get("fields")
    if isinstance(fields, dict):
        test.read(fields)
    else:
        test.headline(test.quick(value))
