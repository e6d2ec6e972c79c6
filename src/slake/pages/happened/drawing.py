"""A trend as a drawing: one mark a batch with its range, and a line where something changed."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, LogLocator, NullLocator

from ..next.chart import GRID, INK, Shape, drawing_alone

SEA, SAND = "#0b5f73", "#8a5a00"
LONGEST_LABEL = 22


@dataclass(frozen=True, kw_only=True)
class Mark:
    """One batch: value with its 80 % range, or one end with the way it is open (+1 above, -1 below)."""

    label: str
    low: float
    mid: float
    high: float
    open_side: int = 0
    changed: str = ""


@dataclass(frozen=True, kw_only=True)
class Picture:
    """Everything a drawing of a trend shows."""

    marks: tuple[Mark, ...]
    words: str
    unit: str
    on_log: bool


@lru_cache(maxsize=16)
def draw_trend(picture: Picture, shape: Shape) -> bytes:
    """SVG; the same picture gives the same bytes."""
    with drawing_alone():
        figure = Figure(figsize=(shape.width_in, shape.height_in * 0.8), layout="constrained", facecolor="white")
        axes = figure.add_subplot()
        _changes(axes, picture.marks, shape)
        _marks(axes, picture.marks)
        _dress(axes, picture, shape)
        found = io.BytesIO()
        FigureCanvasSVG(figure).print_svg(found, metadata={"Date": None, "Creator": "slake"})
    return found.getvalue()


def _marks(axes: Axes, marks: Sequence[Mark]) -> None:
    exact = [(n, mark) for n, mark in enumerate(marks) if mark.open_side == 0]
    axes.errorbar(
        [n for n, _ in exact],
        [mark.mid for _, mark in exact],
        yerr=[[mark.mid - mark.low for _, mark in exact], [mark.high - mark.mid for _, mark in exact]],
        fmt="o",
        color=SEA,
        ecolor=SEA,
        elinewidth=1.6,
        capsize=3,
        markersize=7,
        zorder=3,
    )
    for side, shape in ((1, "^"), (-1, "v")):
        found = [(n, mark.mid) for n, mark in enumerate(marks) if mark.open_side == side]
        axes.scatter([n for n, _ in found], [y for _, y in found], marker=shape, s=80, color=SAND, zorder=3)


def _changes(axes: Axes, marks: Sequence[Mark], shape: Shape) -> None:
    for n, mark in enumerate(marks):
        if mark.changed:
            axes.axvline(n - 0.5, color=SAND, linewidth=1.2, linestyle=(0, (4, 3)), zorder=1)
            axes.annotate(
                mark.changed[:LONGEST_LABEL],
                (n - 0.5, 0.98),
                xycoords=("data", "axes fraction"),
                xytext=(3, 0),
                textcoords="offset points",
                rotation=90,
                ha="left",
                va="top",
                fontsize=shape.letters_pt - 2,
                color=SAND,
            )


def _dress(axes: Axes, picture: Picture, shape: Shape) -> None:
    if picture.on_log and all(mark.low > 0 for mark in picture.marks):
        axes.set_yscale("log")
        axes.yaxis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0)))
        axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
        axes.yaxis.set_minor_locator(NullLocator())
    axes.set_ylabel(f"{picture.words}, {picture.unit}", fontsize=shape.letters_pt, color=INK)
    axes.set_xlabel("batch, in the order mixed", fontsize=shape.letters_pt, color=INK)
    every = max(1, len(picture.marks) // (12 if shape.words_beside else 6))
    shown = range(0, len(picture.marks), every)
    axes.set_xticks(list(shown), [picture.marks[n].label for n in shown])
    axes.tick_params(labelsize=shape.letters_pt - 1, colors=INK)
    axes.grid(color=GRID, linewidth=0.7, axis="y")
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
