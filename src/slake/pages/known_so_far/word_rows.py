"""How well the ranges kept their word, in sentences, rows and bars. Counted elsewhere; here it is only worded."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from urllib.parse import urlencode

from slake.actions.campaign import Campaign
from slake.actions.kept_word import AsGiven
from slake.campaign.brief import Line
from slake.campaign.seen_word import Foretold, Kept, Word, kept_word

from ..next.words import figures
from .word_drawing import Bar, Bars

CSS = {Word.KEPT: "in", Word.NARROW: "out", Word.WIDE: "unsure", Word.FEW: "known"}
BARE = ("", "grade", "layers")
GRADE = "grade"


@dataclass(frozen=True, kw_only=True)
class OfLine:
    """One line of the brief: how its ranges did, and its drawing."""

    words: str
    kept: Kept
    css: str
    share: str
    score: str
    without: str
    query: str
    alt: str


@dataclass(frozen=True, kw_only=True)
class Compared:
    """One reading beside what was foretold for it, in words."""

    number: int
    line: str
    foretold: str
    read: str
    inside: str
    css: str
    as_proposed: bool = True


def of_line(told: Campaign, line: Line, found: Sequence[Foretold], given: Sequence[AsGiven]) -> OfLine:
    kept, bars = kept_word(found), bars_of(told, line, found, given)
    inside = sum(bar.inside for bar in bars.bars)
    words = line.gauge.words.capitalize()
    return OfLine(
        words=line.words,
        kept=kept,
        css=CSS[kept.word],
        share=_share(kept),
        score=_score(kept.score, line.gauge.unit),
        without=_score(kept.score_without, line.gauge.unit),
        query=urlencode({"line": line.name, "of": hashlib.sha256(repr(bars).encode()).hexdigest()[:12]}),
        alt=f"{words}, foretold against read: {inside} of {len(bars.bars)} readings in their range. "
        "The table below holds the same.",
    )


def _share(kept: Kept) -> str:
    return f"{_percent(kept.share)} ({_percent(kept.share_low)} to {_percent(kept.share_high)})" if kept.count else ""


def _score(score: float, unit: str) -> str:
    return "" if math.isnan(score) else f"{figures(score, GRADE)} {'' if unit == GRADE else unit}".strip()


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def sentence(kept: Kept) -> str:
    """In one plain sentence."""
    if not kept.count:
        return "No reading of a line of the brief to compare yet."
    word = kept.word.value.capitalize()
    inside = f"{_percent(kept.share)} of {kept.count} readings lay where eight in ten should"
    return f"{word}: {inside} (90 % interval of that share: {_percent(kept.share_low)} to {_percent(kept.share_high)})."


def compared(told: Campaign, one: Foretold) -> Compared:
    line = told.book.brief.line(one.name)
    unit = line.gauge.unit if line else ""
    low, mid, high = (figures(x, unit) for x in (one.around.low, one.around.mid, one.around.high))
    tail = "" if unit in BARE else f" {unit}"
    inside, css = _inside(one)
    return Compared(
        number=told.batches[one.batch].number,
        line=line.gauge.words if line else one.name,
        foretold=f"{mid}{tail} ({low} to {high})",
        read=f"{_read(one, unit)}{tail}",
        inside=inside,
        css=css,
    )


def given_before(told: Campaign, one: AsGiven) -> Compared:
    found = compared(told, one.one)
    return Compared(**{**vars(found), "as_proposed": one.as_proposed})


def _inside(one: Foretold) -> tuple[str, str]:
    if one.is_number:
        return ("inside", "in") if one.inside else ("outside", "out")
    if one.inside < 0.005:
        return "outside", "out"
    return f"{_percent(one.inside)} of what it leaves open", "known"


def _read(one: Foretold, unit: str) -> str:
    if one.is_number:
        return figures(one.low, unit)
    if unit == GRADE:
        return figures(_graded(one), unit)
    if math.isinf(one.high):
        return f"{figures(one.low, unit)} or more"
    if math.isinf(one.low):
        return f"{figures(one.high, unit)} or less"
    return f"{figures(one.low, unit)} to {figures(one.high, unit)}"


def _graded(one: Foretold) -> float:
    """The grade that lies in the middle of its step."""
    if math.isinf(one.low):
        return max(one.high - 0.5, 0.0)
    return one.low + 0.5 if math.isinf(one.high) else (one.low + one.high) / 2


def bars_of(told: Campaign, line: Line, found: Sequence[Foretold], given: Sequence[AsGiven] = ()) -> Bars:
    """Readings foretold without their batch, and those foretold by a proposal that was mixed as it said."""
    tail = "" if line.gauge.unit in BARE else f", {line.gauge.unit}"
    bars = [_bar(told, one, line.gauge.unit) for one in found]
    before = [one.one for one in given if one.one.name == line.name and one.as_proposed]
    bars += [replace(_bar(told, one, line.gauge.unit), given=True) for one in before]
    return Bars(bars=tuple(bars), words=f"{line.gauge.words}{tail}")


def _bar(told: Campaign, one: Foretold, unit: str) -> Bar:
    return Bar(
        label=str(told.batches[one.batch].number),
        low=one.around.low,
        mid=one.around.mid,
        high=one.around.high,
        read=_graded(one) if unit == GRADE else one.low if math.isfinite(one.low) else one.high,
        inside=one.inside >= 0.5,
        open_side=0 if unit == GRADE else int(math.isinf(one.high)) - int(math.isinf(one.low)),
    )
