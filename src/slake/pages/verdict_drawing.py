"""A verdict as a drawing: for each line how much of its limit is used, with its range; beyond 1 it does not hold."""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import lru_cache

from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, LogLocator, NullLocator

from slake.campaign.verdict import Line, Verdict

from .next.chart import GRID, INK, Shape, drawing_alone

HOLDS, FAILS, OPEN = "#1d6b3a", "#8a3b12", "#8a6d00"
LEAST, MOST = 0.02, 30.0
WIDE = Shape(name="wide", width_in=8.6, height_in=0.42, letters_pt=12, words_beside=True)
PHONE = Shape(name="phone", width_in=3.6, height_in=0.42, letters_pt=11.5, words_beside=False)
SHAPES = {shape.name: shape for shape in (WIDE, PHONE)}
"""Height of one bar; on a phone drawn as wide as its screen is, so that letters keep their size."""
FOOT_IN = 1.05
SHORT = {
    "force": "force",
    "time": "time",
    "foot": "foot yields",
    "fold": "wall folds",
    "grains": "grains",
    "fibres": "fibres",
    "bleed": "bleed",
    "air": "air",
}


@dataclass(frozen=True, kw_only=True)
class Bar:
    """Share of the limit that is used: 80 % range; below 1 it holds."""

    name: str
    low: float
    mid: float
    high: float
    colour: str
    mark: str


def bars_of(found: Verdict) -> tuple[Bar, ...]:
    return tuple(_bar(line, found.target) for line in found.lines if line.chance is not None)


def _bar(line: Line, target: float) -> Bar:
    limit = max(line.limit.mid, 1e-12)
    sides = [max(side, 1e-12) / limit for side in (line.value.low, line.value.mid, line.value.high)]
    low, mid, high = sides if line.at_most else [1 / side for side in reversed(sides)]
    holds = (line.chance or 0.0) >= target
    colour = HOLDS if holds else (OPEN if line.guessed else FAILS)
    low, mid, high = (min(max(side, LEAST), MOST) for side in (low, mid, high))
    return Bar(name=SHORT[line.name], low=low, mid=mid, high=high, colour=colour, mark="o" if holds else "X")


def high_in(bars: tuple[Bar, ...], shape: Shape) -> float:
    return FOOT_IN + shape.height_in * len(bars)


@lru_cache(maxsize=16)
def draw_bars(bars: tuple[Bar, ...], shape: Shape) -> bytes:
    """SVG; the same bars give the same bytes."""
    with drawing_alone():
        figure = Figure(figsize=(shape.width_in, high_in(bars, shape)), layout="constrained", facecolor="white")
        axes = figure.add_subplot()
        for place, bar in enumerate(reversed(bars)):
            axes.plot(
                [bar.low, bar.high], [place, place], color=bar.colour, linewidth=6, alpha=0.45, solid_capstyle="butt"
            )
            axes.plot([bar.mid], [place], marker=bar.mark, color=bar.colour, markersize=10, zorder=3)
        _dress(axes, bars, shape)
        found = io.BytesIO()
        FigureCanvasSVG(figure).print_svg(found, metadata={"Date": None, "Creator": "slake"})
    return found.getvalue()


def _dress(axes: Axes, bars: tuple[Bar, ...], shape: Shape) -> None:
    axes.axvline(1.0, color=INK, linewidth=1.6)
    axes.set_xscale("log")
    axes.xaxis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0) if shape.words_beside else (1.0, 3.0)))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.set_yticks(range(len(bars)), [bar.name for bar in reversed(bars)])
    said = "share of the limit used:{}left of 1 it holds".format(" " if shape.words_beside else "\n")
    axes.set_xlabel(said, fontsize=shape.letters_pt, color=INK)
    axes.tick_params(labelsize=shape.letters_pt - 1, colors=INK)
    axes.grid(color=GRID, linewidth=0.7, axis="x")
    axes.set_axisbelow(True)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
