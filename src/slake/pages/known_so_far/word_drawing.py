"""Foretold against read as a drawing: one lying bar a reading, its mark filled where the range held it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from matplotlib.axes import Axes

from ..next.chart import GRID, INK, Shape, as_svg, blank, drawing_alone, dress

SEA, SAND = "#0b5f73", "#8a3b12"
CROWD, IN_A_CROWD = 30, 0.6
"""From so many readings on bars are smaller, and only those outside their range carry a number."""


@dataclass(frozen=True, kw_only=True)
class Bar:
    """One reading: the range foretold for it and what was read.

    `open_side`: +1 for "or more", -1 for "or less". `given`: as its proposal foretold it before it was mixed.
    """

    label: str
    low: float
    mid: float
    high: float
    read: float
    inside: bool
    open_side: int = 0
    given: bool = False


@dataclass(frozen=True, kw_only=True)
class Bars:
    """All of one line of the brief, in its unit."""

    bars: tuple[Bar, ...]
    words: str


@lru_cache(maxsize=64)
def draw_bars(of: Bars, shape: Shape) -> bytes:
    """SVG; the same bars give the same bytes."""
    with drawing_alone():
        figure, axes = blank(shape)
        dress(axes, shape, f"foretold: {of.words}", f"read: {of.words}")
        _same(axes, of)
        crowded = len(of.bars) > CROWD
        for bar in of.bars:
            _bar(axes, bar, IN_A_CROWD if crowded else 1.0)
            if not crowded or not bar.inside:
                _label(axes, bar, shape)
        axes.grid(color=GRID, linewidth=0.7)
        axes.set_axisbelow(True)
        return as_svg(figure)


def _same(axes: Axes, of: Bars) -> None:
    """The line on which a reading is just what was foretold."""
    seen = [x for bar in of.bars for x in (bar.low, bar.high, bar.read)] or [0.0, 1.0]
    room = 0.06 * max(max(seen) - min(seen), 1e-6)
    low, high = min(seen) - room, max(seen) + room
    low = 0.0 if min(seen) >= 0 > low else low
    axes.plot([low, high], [low, high], color=INK, linewidth=0.9, linestyle=(0, (1, 3)), zorder=1)
    axes.set_xlim(low, high)
    axes.set_ylim(low, high)


def _bar(axes: Axes, bar: Bar, times: float) -> None:
    """The range lies along the foretold axis, at the height that was read; `times` smaller in a crowd."""
    colour = SEA if bar.inside else SAND
    axes.plot([bar.low, bar.high], [bar.read, bar.read], color=colour, linewidth=2.2 * times, alpha=0.75, zorder=2)
    for end in (bar.low, bar.high):
        axes.plot(
            [end], [bar.read], marker="|", color=colour, markersize=9 * times, markeredgewidth=2 * times, zorder=2
        )
    mark = "D" if bar.given else {1: "^", -1: "v", 0: "o"}[bar.open_side]
    face = colour if bar.inside else "white"
    size = 70 * times**2
    axes.scatter([bar.mid], [bar.read], s=size, marker=mark, c=face, edgecolors=colour, linewidths=2 * times, zorder=3)


def _label(axes: Axes, bar: Bar, shape: Shape) -> None:
    axes.annotate(
        bar.label,
        (bar.high, bar.read),
        xytext=(4, 0),
        textcoords="offset points",
        va="center",
        fontsize=shape.letters_pt - 2,
        color=INK,
        zorder=4,
    )
