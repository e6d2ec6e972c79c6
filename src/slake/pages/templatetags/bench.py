"""Filters that say numbers, ranges, how a number is known, and times. They only word things; nothing is worked out."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from datetime import datetime

from django import template

from slake.ground.evidence import Evidence, Kind, Range
from slake.ground.units import from_si
from slake.paste.ingredients import HowKnown, Known

register = template.Library()

HOW_WORDS = {
    HowKnown.READ: "read in a source",
    HowKnown.SECONDARY: "read in a text that reports its source",
    HowKnown.MEMORY: "from memory, unverified",
    HowKnown.PRACTICE: "common practice, no source",
    HowKnown.MEASURED: "measured or stated here",
    HowKnown.TYPICAL: "typical of its role, no source",
    HowKnown.PARENTS: "from its parents",
}
KIND_WORDS = {
    Kind.EXACT: "about",
    Kind.ABOVE: "above",
    Kind.BELOW: "below",
    Kind.BETWEEN: "between",
}


@register.filter
def plain(number: float | None) -> str:
    """Three figures, no exponent for everyday sizes; nothing for what is not known."""
    if number is None:
        return "not known"
    if number == 0:
        return "0"
    if abs(number) >= 1000:
        return f"{number:.0f}" if abs(number) < 1e7 else f"{number:.3g}"
    return f"{number:.3g}" if abs(number) >= 1e-3 else f"{number:.1g}"


@register.filter
def three(number: float) -> str:
    """Three figures, the rest rounded away: what a range can bear."""
    return plain(float(f"{number:.3g}"))


@register.filter
def grams(number: float | None) -> str:
    """Grams to a tenth, as kitchen scales show them."""
    return "not counted" if number is None else f"{number:.1f} g"


@register.filter
def per_100(part: float) -> str:
    """A part of the dry mass as grams in 100 g of it."""
    return plain(from_si(part, "%"))


@register.filter
def share(fraction: float) -> str:
    return f"{plain(from_si(fraction, '%'))} %"


@register.filter
def range_in(value: Range | None, unit: str = "") -> str:
    """An SI range in a bench unit: middle unit (low to high), with no more digits than the range bears."""
    if value is None:
        return "no range"
    return range_plain([from_si(part, unit) for part in (value.low, value.mid, value.high)], unit)


@register.filter
def range_plain(value: Range | Sequence[float] | None, unit: str = "") -> str:
    """A range (or low, mid, high) already in its bench unit."""
    if value is None:
        return "no range"
    low, mid, high = (value.low, value.mid, value.high) if isinstance(value, Range) else value
    tail = f" {unit}" if unit else ""
    if low == high:
        return f"{plain(mid)}{tail}"
    digits = decimals_for(high - low)
    return f"{mid:.{digits}f}{tail} ({low:.{digits}f} to {high:.{digits}f})"


def decimals_for(width: float) -> int:
    """Decimals such that the width of a range shows one or two figures."""
    power = math.floor(math.log10(width))
    return min(max(1 - power if width / 10**power < 6 else -power, 0), 6)


@register.filter
def how(known: Known | HowKnown) -> str:
    return HOW_WORDS[known.how if isinstance(known, Known) else known]


@register.filter
def kind_word(evidence: Evidence) -> str:
    return KIND_WORDS[evidence.kind]


@register.filter
def unit_word(unit: str) -> str:
    """The unit where it says more than the name of the reading does: a grade is one already."""
    return "" if unit == "grade" else unit


@register.filter
def window_words(window: object, unit: str = "") -> str:
    """A window of the brief, as a pair or a row: both sides, or the one it has."""
    low, high = (window.low, window.high) if hasattr(window, "low") else window or (None, None)
    tail = f" {unit}" if unit_word(unit) else ""
    if low is not None and high is not None:
        return f"{plain(low)} to {plain(high)}{tail}"
    if low is not None:
        return f"{plain(low)}{tail} or more"
    return f"at most {plain(high)}{tail}" if high is not None else "open"


@register.filter
def when(moment: datetime | None) -> str:
    """Day and time by the clock of the machine that serves."""
    return moment.astimezone().strftime("%-d %b %Y, %H:%M") if moment else "not yet"


@register.filter
def day(moment: datetime | None) -> str:
    return moment.astimezone().strftime("%-d %b %Y") if moment else "not yet"


@register.filter
def age(seconds: float | None) -> str:
    """A paste age in words a clock would use."""
    if seconds is None:
        return "age not known"
    minutes = round(from_si(seconds, "min"))
    return f"{minutes} min" if minutes < 180 else f"{from_si(seconds, 'h'):.1f} h"


@register.filter
def spaced(key: str) -> str:
    """A key of the catalogue as a person reads it."""
    return str(key).replace("_", " ")


@register.filter
def as_json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, indent=1, default=str)


@register.filter
def item(mapping: dict[str, object], key: str) -> object:
    return mapping.get(key, "") if mapping else ""
