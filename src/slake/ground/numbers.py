"""The one reader of typed numbers, for page, command, importer and notebook: "1,5" is 1.5, nan is refused."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from numbers import Real

from .problems import NotANumber, OutsideRange, as_typed
from .units import UNITS, from_si, to_si

LONGEST_NUMBER = 24
_PLAIN = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d{1,3})?")
_SIGNS = str.maketrans({"−": "-", "–": "-", "\N{NO-BREAK SPACE}": " ", "\N{NARROW NO-BREAK SPACE}": " "})
_GROUPED = re.compile(r"[+-]?\d{1,3}( \d{3})+([.,]\d*)?")
_ALSO_SPELT = {
    "ml": "mL",
    "l": "L",
    "µm": "um",
    "μm": "um",
    "sec": "s",
    "hours": "h",
    "hour": "h",
    "days": "day",
    "minutes": "min",
    "°C": "C",
}


@dataclass(frozen=True, kw_only=True)
class Limits:
    """Closed limits of one typed number, in the unit it is typed in; `unit` is only for the sentence."""

    low: float = -math.inf
    high: float = math.inf
    unit: str = ""
    do: str = "check the number and its unit"


def read_number(typed: str | float | int, what: str, limits: Limits | None = None) -> float:
    """Read one number as typed at the bench.

    A decimal comma and a decimal point mean the same; a thousands separator is refused because it cannot be
    told from a decimal one, but spaces between groups of three are taken ("1 200"). A trailing unit is accepted
    when it is the expected one ("19 mm" where mm is asked), converted when it is another of the same quantity
    ("2,4 kg" is 2400 where g are asked) and refused otherwise.

    Raises NotANumber, or OutsideRange when `limits` are given and not kept.
    """
    limits = limits or Limits()
    value = _from_text(typed, what, limits.unit) if isinstance(typed, str) else _from_number(typed, what)
    if not math.isfinite(value):
        raise NotANumber(what, typed=str(typed), do="type a finite number such as 12.5")
    if not limits.low <= value <= limits.high:
        name = f"{what} ({limits.unit})" if limits.unit else what
        if isinstance(typed, str) and other_unit(typed, limits.unit):
            name += f", as read from “{as_typed(typed)}”,"
        raise OutsideRange(name, got=value, low=limits.low, high=limits.high, do=limits.do)
    return value


def _from_number(typed: float | int, what: str) -> float:
    """A number from JSON or a notebook: true and false are none, and a whole number can be too long for a float."""
    if isinstance(typed, bool) or not isinstance(typed, Real):
        raise NotANumber(what, typed=str(typed)[:LONGEST_NUMBER], do="give one plain number")
    try:
        return float(typed)
    except OverflowError:
        raise NotANumber(what, typed="a number of very many digits", do="give a finite number such as 12.5") from None


def _from_text(typed: str, what: str, unit: str) -> float:
    text = typed.strip()
    other, spelt = _typed_in(text, unit)
    if other:
        there = _from_text(text[: -len(spelt)], what, "")
        return float(f"{from_si(to_si(there, other), unit):.12g}")
    if unit and text.endswith(unit):
        text = text[: -len(unit)]
    text = text.translate(_SIGNS).strip()
    if not text:
        raise NotANumber(what, typed=typed, do="type a number, or leave it as “don't know” where that is offered")
    if _GROUPED.fullmatch(text):
        text = text.replace(" ", "")
    if len(text) > LONGEST_NUMBER:
        raise NotANumber(what, typed=typed, do=f"type one number of at most {LONGEST_NUMBER} characters")
    if not text.isascii() or not _PLAIN.fullmatch(text):
        wanted = f" in {unit}" if unit else ""
        raise NotANumber(what, typed=typed, do=f"type one plain number{wanted}, such as 12.5 or 12,5")
    return float(text.replace(",", "."))


def _spellings(name: str) -> list[str]:
    return sorted([name, *(also for also, meant in _ALSO_SPELT.items() if meant == name)], key=len, reverse=True)


def other_unit(typed: str, unit: str) -> str:
    """The unit a number was typed with where it is another one of the same quantity as `unit`; else ""."""
    return _typed_in(typed.strip(), unit)[0]


def _typed_in(text: str, unit: str) -> tuple[str, str]:
    """That unit and how it was spelt."""
    asked = UNITS.get(unit)
    if asked is None or not asked.base or (text.endswith(unit) and _is_number(text[: -len(unit)])):
        return "", ""
    of_it = [u.name for u in UNITS.values() if u.base == asked.base and u.name != unit]
    tails = ((name, spelt) for name in of_it for spelt in _spellings(name) if text.endswith(spelt))
    return next(((name, spelt) for name, spelt in tails if _is_number(text[: -len(spelt)])), ("", ""))


def _is_number(text: str) -> bool:
    plain_text = text.translate(_SIGNS).strip()
    return bool(_PLAIN.fullmatch(plain_text) or _GROUPED.fullmatch(plain_text)) and plain_text.isascii()


def read_optional(typed: str | None, what: str, limits: Limits | None = None) -> float | None:
    """As `read_number`, but empty and “don't know” give None: nothing is demanded that a first day cannot have."""
    if typed is None or is_open(typed):
        return None
    return read_number(typed, what, limits)


def read_in_units(typed: str | None, what: str, limits: Limits, also: Sequence[str]) -> float | None:
    """As `read_optional`, in `limits.unit`; a text that ends in one of the units `also` is read in that and converted:
    "0,5 mm" is 500 where um is asked. Limits and sentence are then said in the unit that was typed.
    """
    text = (typed or "").strip().replace("µ", "u").replace("μ", "u")
    other = next((name for name in also if text.endswith(name) and not text.endswith(limits.unit)), None)
    if other is None:
        return read_optional(text, what, limits)

    def there(value: float) -> float:
        return from_si(to_si(value, limits.unit), other)

    found = read_number(text, what, Limits(low=there(limits.low), high=there(limits.high), unit=other, do=limits.do))
    return float(f"{from_si(to_si(found, other), limits.unit):.12g}")


def is_open(typed: str) -> bool:
    """Whether the answer was left open."""
    return typed.strip().lower().replace("’", "'") in {"", "?", "-", "don't know", "dont know", "unknown"}
