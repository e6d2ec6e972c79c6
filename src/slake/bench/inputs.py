"""What a bench test asks for: a number, a word out of a few, or the rows of a series. Knows no page and no command."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slake.ground.numbers import Limits, is_open, read_number, read_optional
from slake.ground.problems import DoesNotFit, NotANumber, Problem, as_typed, plain
from slake.ground.units import to_si


@dataclass(frozen=True, kw_only=True)
class Scalar:
    """One number to type, in the unit of the bench. `typical` stands in when it may be left open.

    open_means: what an empty answer means, where the typical value does not say it ("not read").
    further: asked under “more”, off the first sight.
    later: may be typed days later; a reading without it is begun, kept as it is and continued when that is known.
    """

    name: str
    label: str
    unit: str
    low: float
    high: float
    typical: float | None = None
    whole: bool = False
    help: str = ""
    mend: str = "read it again, or choose the test that fits"
    open_means: str = ""
    further: bool = False
    later: bool = False

    def limits(self) -> Limits:
        return Limits(low=self.low, high=self.high, unit=self.unit, do=self.mend)

    def read(self, typed: str) -> float:
        """SI value of what was typed; an empty answer takes the typical value where there is one."""
        if self.typical is not None:
            value = read_optional(typed, self.label, self.limits())
            return self.take(self.typical if value is None else value)
        return self.take(read_number(typed, self.label, self.limits()))

    def take(self, value: float) -> float:
        """SI value of a number that is one already, within the same limits."""
        value = read_number(value, self.label, self.limits())
        if self.whole and value != int(value):
            raise NotANumber(self.label, typed=plain(value), do="type a whole number")
        return to_si(value, self.unit)

    def waits(self, typed: str) -> bool:
        """Whether it is left open because it is not known yet."""
        return self.later and is_open(typed)

    def typical_si(self) -> float:
        """The typical value in SI. Raises Problem where the test has none."""
        if self.typical is None:
            raise NotANumber(self.label, typed="", do="type a number: this one has no typical value")
        return to_si(self.typical, self.unit)


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One of a few words. `typical`, one of the keys, stands in when it may be left open."""

    name: str
    label: str
    words: Mapping[str, str]
    typical: str | None = None
    help: str = ""
    further: bool = False

    def read(self, typed: str) -> str:
        if self.typical is not None and is_open(typed):
            return self.typical
        wanted = typed.strip().casefold()
        for key, word in self.words.items():
            if wanted in {key.casefold(), word.casefold()}:
                return key
        raise Problem(f"{self.label} is “{as_typed(typed)}”: choose one of {', '.join(self.words.values())}")


Input = Scalar | Choice


@dataclass(frozen=True, kw_only=True)
class Rows:
    """The one repeated row of a test: a series in time, or specimens."""

    name: str
    label: str
    columns: tuple[Scalar, ...]
    at_least: int
    at_most: int

    def read(self, rows: Sequence[Mapping[str, str]]) -> tuple[Mapping[str, float], ...]:
        """SI values by column; a column that may come later is missing where it is open."""
        if not self.at_least <= len(rows) <= self.at_most:
            raise DoesNotFit(
                f"{self.label}: {len(rows)} filled in, but this test takes from {self.at_least} "
                f"to {self.at_most}: fill in the missing ones, or keep the rest for a second reading"
            )
        return tuple(self._read_row(row) for row in rows)

    def _read_row(self, row: Mapping[str, str]) -> Mapping[str, float]:
        texts = {column: str(row.get(column.name, "")) for column in self.columns}
        return {column.name: column.read(text) for column, text in texts.items() if not column.waits(text)}
