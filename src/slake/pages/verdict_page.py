"""A verdict as a page says it: the strip, each line in bench units, and what would mend it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from slake.actions.verdict import Answer, typed_with
from slake.campaign.verdict import Line, Verdict
from slake.campaign.verdict.judging import DOUBTFUL, GO, NO
from slake.campaign.verdict.suggestion import Suggestion
from slake.ground.evidence import Range
from slake.ground.units import from_si

STRIP = {GO: "Go", DOUBTFUL: "Doubtful", NO: "No"}
CSS = {GO: "in", DOUBTFUL: "unsure", NO: "out"}
NEEDS: Mapping[str, tuple[str, str]] = {
    "force": ("it needs", "the ram has"),
    "time": ("it keeps", "the print lasts"),
    "foot": ("the foot bears", "asked"),
    "fold": ("the wall folds at", "asked"),
    "grains": ("the largest grain", "at most"),
    "fibres": ("the longest fibre", "at most"),
    "bleed": ("it weeps", "at most"),
    "air": ("it holds", "at most"),
}
MENDS: Mapping[str, str] = {
    "force": "the force",
    "time": "the time",
    "foot": "the foot",
    "fold": "the wall",
    "grains": "the grains",
    "fibres": "the fibres",
    "bleed": "bleeding",
    "air": "the air",
}
WOULD_TELL: Mapping[str, str] = {
    "force": "a cone reading of this paste, and one push with its force",
    "time": "an ageing series",
    "foot": "a cone reading of this paste",
    "fold": "a free wall of this paste printed until it folds",
    "grains": "a sieve split of its lots",
    "fibres": "a look at the longest fibre in each lot",
    "bleed": "a bleed press",
    "air": "a weighed density",
}


@dataclass(frozen=True, kw_only=True)
class Row:
    """One line. `state`: in, out or unsure; `chance` in %, None where not judged."""

    name: str
    words: str
    need: str
    have: str
    chance: int | None
    state: str
    note: str
    would_tell: str


@dataclass(frozen=True, kw_only=True)
class Mend:
    """One way to mend it: what to do together, what it mends and what it leaves or breaks, the chance that all lines
    hold at once afterwards in %, and the address part that asks for it.
    """

    steps: tuple[str, ...]
    fixes: str
    price: str
    chance: int
    query: str


@dataclass(frozen=True, kw_only=True)
class Told:
    """`whole`: after these it passes; `part`: where nothing makes it pass, what helps."""

    word: str
    css: str
    sentence: str
    meaning: str
    chance: int
    target: int
    rows: tuple[Row, ...]
    whole: tuple[Mend, ...]
    part: tuple[Mend, ...]


def told(answer: Answer, typed: Mapping[str, str]) -> Told:
    found = answer.verdict
    rows = tuple(_row(line, found.target) for line in found.lines)
    return Told(
        word=STRIP[found.word],
        css=CSS[found.word],
        sentence=_sentence(rows[0]),
        meaning=_meaning(found, _percent(found.target)),
        chance=_percent(found.chance),
        target=_percent(found.target),
        rows=rows,
        whole=tuple(_mend(one, answer, typed) for one in answer.mends.whole),
        part=tuple(_mend(one, answer, typed) for one in answer.mends.part),
    )


def _meaning(found: Verdict, target: int) -> str:
    """What stands behind the one word: lines are asked one by one."""
    under = len(found.failing)
    if not under:
        return f"Go: every line, asked by itself, holds {target} in 100 times or more"
    lines = "one line holds" if under == 1 else f"{under} lines hold"
    return f"{STRIP[found.word]}: {lines} less than {target} in 100 times"


def _sentence(row: Row) -> str:
    chance = "not judged" if row.chance is None else f"it holds {row.chance} in 100 times"
    return f"What limits it is the {row.words}: {row.need}, {row.have}; {chance}"


def _row(line: Line, target: float) -> Row:
    need, have = NEEDS[line.name]
    chance = None if line.chance is None else _percent(line.chance)
    holds = line.chance is not None and line.chance >= target
    return Row(
        name=line.name,
        words=line.words,
        need=f"{need} {_span(line.value, line.unit)}",
        have=f"{have} {_span(line.limit, line.unit)}",
        chance=chance,
        state="in" if holds else ("unsure" if line.guessed or line.chance is None else "out"),
        note=line.note,
        would_tell=WOULD_TELL[line.name] if line.guessed and not holds else "",
    )


def _percent(chance: float) -> int:
    """Whole percent, never sure of anything."""
    return min(max(round(100 * chance), 1), 99)


def _span(around: Range, unit: str) -> str:
    low, mid, high = (_three(from_si(side, unit)) for side in (around.low, around.mid, around.high))
    return f"{mid} {unit}" if low == high else f"{mid} {unit} ({low} to {high})"


def _three(value: float) -> str:
    rounded = float(f"{value:.3g}")
    return f"{rounded:.0f}" if abs(rounded) >= 100 else f"{rounded:.3g}"


def _mend(one: Suggestion, answer: Answer, typed: Mapping[str, str]) -> Mend:
    broken = [f"then {MENDS[name]} would not hold" for name in one.breaks]
    kept = [MENDS[name] for name in one.still]
    still = [f"not mended by it: {', '.join(kept)}"] if kept else []
    return Mend(
        steps=tuple(step.words(answer.question) for step in one.steps),
        fixes=" and ".join(MENDS[name] for name in one.fixes),
        price="; ".join(broken + still),
        chance=_percent(one.chance),
        query=urlencode(typed_with(one, typed)),
    )
