"""What a check says: a headline, lines with values, sentences by heading, the table under the drawing; plain data."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from slake.ground.evidence import Range
from slake.ground.problems import plain
from slake.ground.units import from_si

MOST_SENTENCES = 30


@dataclass(frozen=True, kw_only=True)
class Line:
    """One thing said with its value: what, how much, and where it comes from or what to do."""

    words: str
    value: str
    more: str = ""


@dataclass(frozen=True, kw_only=True)
class Part:
    """Sentences, and lines, under one heading. heads: of the three columns of the lines."""

    heading: str
    sentences: tuple[str, ...] = ()
    lines: tuple[Line, ...] = ()
    heads: tuple[str, str, str] = ("what", "how much", "more")


@dataclass(frozen=True, kw_only=True)
class Margin:
    """How many times its load the wall bears when it is so high; earliest and latest end, and the 80 % band."""

    height_m: float
    time_s: float
    earliest: float
    latest: float
    low: float
    high: float


@dataclass(frozen=True, kw_only=True)
class Told:
    """All that a check says. stops: what must be put right first."""

    headline: str
    stops: tuple[str, ...] = ()
    parts: tuple[Part, ...] = ()
    margins: tuple[Margin, ...] = ()
    cautions: tuple[str, ...] = ()
    basis: dict[str, str] = field(default_factory=dict)

    def plain(self) -> dict[str, Any]:
        """As text and numbers that can be kept."""
        return {
            "headline": self.headline,
            "stops": list(self.stops),
            "parts": [
                {
                    "heading": part.heading,
                    "sentences": list(part.sentences),
                    "heads": list(part.heads),
                    "lines": [[line.words, line.value, line.more] for line in part.lines],
                }
                for part in self.parts
            ],
            "margins": [vars(row) for row in self.margins],
            "cautions": list(self.cautions),
            "basis": [list(pair) for pair in self.basis.items()],
        }


def short(mid: float, unit: str, figures: int = 3) -> str:
    """A number in its unit, so many figures."""
    return plain(float(f"{from_si(mid, unit):.{figures}g}"))


def spanned(around: Range, unit: str) -> str:
    """A range in words: the middle, and between which ends 8 times in 10."""
    low, high = short(around.low, unit), short(around.high, unit)
    return f"{short(around.mid, unit)} {unit} ({low} to {high})"


def duration(duration_s: float) -> str:
    minutes = from_si(duration_s, "min")
    return f"{minutes:.3g} min" if minutes < 100 else f"{from_si(duration_s, 'h'):.3g} h"


def capital(text: str) -> str:
    """A sentence: with a capital in front and a stop behind."""
    text = text.strip()
    whole = text[:1].upper() + text[1:]
    return whole if whole.endswith((".", "?", "!")) else f"{whole}."


def margins_told(height_m: Sequence[float], columns: np.ndarray) -> tuple[Margin, ...]:
    """Rows of the drawing and its table. columns: (5, S): seconds, earliest, latest, low, high."""
    rows = []
    for height, (time_s, *four) in zip(height_m, columns.T.tolist(), strict=True):
        earliest, latest, low, high = (_kept(value) for value in four)
        rows.append(
            Margin(
                height_m=float(height),
                time_s=time_s,
                earliest=earliest,
                latest=latest,
                low=low,
                high=high,
            )
        )
    return tuple(rows)


def _kept(value: float) -> float:
    """Three figures; far beyond need is far beyond need."""
    return float(f"{min(value, 1e4):.3g}") if math.isfinite(value) else 1e4
