"""What a recipe must carry for another bench to repeat it. The fields are data: passport.toml; none is forced."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files

from slake.ground.numbers import Limits, read_number
from slake.ground.problems import Problem
from slake.ground.units import to_si


@dataclass(frozen=True, kw_only=True)
class Field:
    """One field. `held`: the record itself carries it, so no detail is asked for."""

    subject: str
    name: str
    words: str
    kind: str
    unit: str = ""
    low: float = float("-inf")
    high: float = float("inf")
    held: bool = False

    def value_si(self, typed: str) -> float | None:
        """SI value of a number; None for words. Raises Problem where it cannot be read."""
        return READERS[self.kind](self, typed)


def _number(field: Field, typed: str) -> float | None:
    value = read_number(typed, field.words, Limits(low=field.low, high=field.high, unit=field.unit))
    return to_si(value, field.unit)


def _date(field: Field, typed: str) -> float | None:
    try:
        date.fromisoformat(typed.strip())
    except ValueError:
        raise Problem(f"{field.words} is “{typed[:30]}”: give a date as 2026-11-25") from None
    return None


def _text(field: Field, typed: str) -> float | None:
    return None


READERS: Mapping[str, Callable[[Field, str], float | None]] = {"number": _number, "date": _date, "text": _text}


@cache
def passport() -> Mapping[tuple[str, str], Field]:
    """Every declared field by (subject, name)."""
    text = files("slake.campaign").joinpath("passport.toml").read_text(encoding="utf-8")
    return {
        (subject, name): Field(subject=subject, name=name, **row)
        for subject, fields in tomllib.loads(text).items()
        for name, row in fields.items()
    }


def missing(subject: str, filled: set[str]) -> list[Field]:
    """Fields of a subject that are neither held by its record nor filled in."""
    return [f for (s, name), f in passport().items() if s == subject and not f.held and name not in filled]
