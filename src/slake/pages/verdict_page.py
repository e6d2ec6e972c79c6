"""A verdict as a page says it: the strip, each line in bench units, and what would mend it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slake.actions.verdict import Answer
from slake.campaign.verdict import Line
from slake.campaign.verdict.judging import DOUBTFUL, GO, NO
from slake.campaign.verdict.smallest import Suggestion
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
    """One way to mend it: what to do, what it mends, what it costs, the chance of all lines afterwards in %."""

    steps: tuple[str, ...]
    fixes: str
    price: str
    chance: int
    whole: bool


@dataclass(frozen=True, kw_only=True)
class Told:
    word: str
    css: str
    sentence: str
    chance: int
    rows: tuple[Row, ...]
    mends: tuple[Mend, ...]
    further: tuple[Mend, ...]


def told(answer: Answer) -> Told:
    found = answer.verdict
    rows = tuple(_row(line, found.target) for line in found.lines)
    first, further = _sorted(answer.changes)
    return Told(
        word=STRIP[found.word],
        css=CSS[found.word],
        sentence=_sentence(rows[0]),
        chance=_percent(found.chance),
        rows=rows,
        mends=tuple(_mend(one, answer) for one in first),
        further=tuple(_mend(one, answer) for one in further),
    )


def _sorted(changes: Sequence[Suggestion]) -> tuple[list[Suggestion], list[Suggestion]]:
    """What mends everything, and for each line the one change that leaves most chance; then the rest."""
    whole = [one for one in changes if one.whole]
    parts = sorted((one for one in changes if not one.whole), key=lambda one: -one.chance)
    best = list({one.fixes: one for one in reversed(parts)}.values())
    first = whole + sorted(best, key=lambda one: -one.chance)
    return first, [one for one in parts if one not in best]


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


def _mend(one: Suggestion, answer: Answer) -> Mend:
    broken = [f"then {MENDS[name]} would not hold" for name in one.breaks]
    kept = [MENDS[name] for name in one.still]
    still = [f"not mended by it: {', '.join(kept)}"] if kept else []
    return Mend(
        steps=tuple(step.words(answer.question) for step in one.steps),
        fixes=" and ".join(MENDS[name] for name in one.fixes),
        price="; ".join(broken + still),
        chance=_percent(one.chance),
        whole=one.whole,
    )
