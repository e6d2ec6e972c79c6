"""A reading a lab declares itself, as data: a name, a unit, where its scale ends, and what it tells of, if known.

Such a reading is taken as it is: it says the property it informs in that property's own unit, or a plain number. A
value at the end of its scale only says “at most” or “at least” that.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Any

from slake.ground.evidence import Evidence, above, below, exact
from slake.ground.problems import DoesNotFit, OutsideRange, Problem
from slake.ground.units import UNITS, from_si, to_si

from .declaration import About, BenchTest, Headline, Raw, Scalar

USUAL_SCATTER_SHARE = 0.05
"""Of the value, where the lab gave no scatter: practice, no source."""
WIDEST = 1e9
KEY = re.compile(r"[a-z][a-z0-9_]{1,60}")


@dataclass(frozen=True, kw_only=True)
class OwnReading:
    """What a lab says of a reading of its own, in its bench unit. `informs`: key of names.toml, "" a plain number."""

    key: str
    title: str
    unit: str
    about: About = About.BATCH
    floor: float | None = None
    ceiling: float | None = None
    informs: str = ""
    scatter: float | None = None
    note: str = ""

    @property
    def known_unit(self) -> str:
        """The unit the doors to SI know, "" where the lab's unit is only a word."""
        return self.unit if self.unit in UNITS else ""

    @property
    def positive(self) -> bool:
        """Whether its logarithm can be taken: a scale that starts at zero or above."""
        return self.floor is not None and self.floor >= 0


@cache
def properties() -> Mapping[str, Mapping[str, Any]]:
    """Every property a reading may inform (names.toml): key -> meaning, unit."""
    return tomllib.loads(files("slake.ground").joinpath("names.toml").read_text(encoding="utf-8"))


def check(own: OwnReading) -> OwnReading:
    """The reading where it can be declared so. Raises Problem with what is to be changed."""
    if not KEY.fullmatch(own.key):
        raise Problem(
            f"the short name “{own.key[:40]}” must be 2 to 61 small letters, digits or _, starting with a letter: "
            "such as flow_cm"
        )
    low, high = _end(own.floor, -WIDEST), _end(own.ceiling, WIDEST)
    if not low < high:
        raise OutsideRange("the end of the scale", got=high, low=low, high=WIDEST, do="it must lie above its start")
    if own.scatter is not None and not own.scatter > 0:
        raise OutsideRange("the scatter", got=own.scatter, low=1e-9, high=WIDEST, do="or leave it open")
    if own.informs:
        _check_informs(own)
    return own


def _end(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value


def _check_informs(own: OwnReading) -> None:
    row = properties().get(own.informs)
    if row is None:
        raise Problem(f"slake knows no property “{own.informs[:40]}”: choose one of the list, or “a plain number”")
    wanted = row["unit"]
    if own.unit not in UNITS or UNITS[own.unit].base != wanted:
        fitting = ", ".join(name for name, unit in UNITS.items() if unit.base == wanted and name) or "a bare number"
        raise DoesNotFit(
            f"{own.title} is in “{own.unit}”, but {row['meaning']} is read in {fitting}: change the unit, or call it a "
            "plain number"
        )


def declared(own: OwnReading) -> BenchTest:
    """The bench test this reading is. Raises Problem as `check` does."""
    value = _value(check(own))
    return BenchTest(
        id=own.key,
        version=1,
        title=own.title,
        about=own.about,
        procedure=(own.note or "As this bench does it.",),
        inputs=(value,),
        informs=own.informs or own.key,
        notebook_name=own.key,
        notebook_unit=value.unit,
        brief_words=value.label,
        floor=value.low,
        ceiling=value.high,
        headline=lambda raw: _headline(own, raw),
        inverse=lambda raw, context: _evidence(own, raw.numbers[own.key]),
        forward=lambda si, context: min(max(from_si(si, value.unit), value.low), value.high),
        quick=lambda bench: Raw(numbers={own.key: value.take(bench)}, typed={own.key: f"{bench:.10g}"}),
        scatter_absolute=own.scatter or 0.0,
        scatter_share=0.0 if own.scatter else USUAL_SCATTER_SHARE,
        validity="Declared by this bench, taken as it is: nothing about it is known to slake.",
        sources=("declared_here",),
    )


def _value(own: OwnReading) -> Scalar:
    """The one number to type."""
    unit = own.known_unit
    word = f" ({own.unit})" if own.unit and not unit else ""
    low, high = _end(own.floor, -WIDEST), _end(own.ceiling, WIDEST)
    return Scalar(name=own.key, label=f"{own.title}{word}", unit=unit, low=low, high=high, mend="read it again")


def _headline(own: OwnReading, raw: Raw) -> Headline:
    shown = from_si(raw.numbers[own.key], own.known_unit)
    return Headline(name=own.key, value=shown, unit=own.unit, words=_end_words(own, shown))


def _end_words(own: OwnReading, shown: float) -> str:
    if own.floor is not None and shown <= own.floor:
        return f"at the end of the scale: {own.floor:g} {own.unit} or less".strip()
    if own.ceiling is not None and shown >= own.ceiling:
        return f"at the end of the scale: {own.ceiling:g} {own.unit} or more".strip()
    return ""


def _evidence(own: OwnReading, si: float) -> Evidence:
    unit = own.known_unit
    informs, on_log = own.informs or own.key, own.positive and si > 0
    scatter_si = to_si(own.scatter, unit) - to_si(0.0, unit) if own.scatter else USUAL_SCATTER_SHARE * abs(si)
    scatter = scatter_si / si if on_log else max(scatter_si, 1e-12)
    floor_si, ceiling_si = (None if end is None else to_si(end, unit) for end in (own.floor, own.ceiling))
    if floor_si is not None and (si <= floor_si or math.isclose(si, floor_si)):
        found = below(informs, si, scatter, on_log=on_log)
        return replace(found, note="at the lower end of its scale: it only says “at most”")
    if ceiling_si is not None and (si >= ceiling_si or math.isclose(si, ceiling_si)):
        found = above(informs, si, scatter, on_log=on_log)
        return replace(found, note="at the upper end of its scale: it only says “at least”")
    return exact(informs, si, scatter, on_log=on_log)
