"""Stiffness over water and gum as a drawing: lines of one stiffness, hatched where little is known; batches too."""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from slake.actions.stiffness_map import StiffnessMap

from ..next.chart import INK, Shape, drawing_alone
from ..next.marks import mark_of

LEVELS = (100, 200, 350, 500, 700, 1000, 1400, 2000, 3000, 4500, 7000, 10000)
LABEL_EM = 1.6
LITTLE_KNOWN = 4.0
"""Hatched where the upper end of the range is more than this many times the lower one."""


@dataclass(frozen=True, kw_only=True)
class Grid:
    """The grid as plain numbers, so that one drawing is made once."""

    waters: tuple[float, ...]
    gums: tuple[float, ...]
    pascals: tuple[tuple[float, ...], ...]
    spread: tuple[tuple[float, ...], ...]
    dots: tuple[tuple[str, float, float, str], ...]


def grid_of(found: StiffnessMap) -> Grid:
    nothing = float("nan")
    shown = [
        [one if near else None for one, near in zip(line, places, strict=True)]
        for line, places in zip(found.around, found.tried, strict=True)
    ]
    return Grid(
        waters=found.waters,
        gums=found.gums,
        pascals=tuple(tuple(one.mid if one else nothing for one in line) for line in shown),
        spread=tuple(tuple(one.high / one.low if one else nothing for one in line) for line in shown),
        dots=tuple(
            (str(one.batch.number), one.water_per_dry, one.thickener_per_100_water, one.outcome)
            for one in found.batches
        ),
    )


@lru_cache(maxsize=8)
def draw_map(grid: Grid, shape: Shape) -> bytes:
    """SVG; the same grid gives the same bytes."""
    with drawing_alone():
        figure = Figure(figsize=(shape.width_in, shape.height_in), layout="constrained", facecolor="white")
        axes = figure.add_subplot()
        _fields(axes, grid, shape)
        _dots(axes, grid, shape)
        axes.set_xlabel("water, g per g dry solids", fontsize=shape.letters_pt, color=INK)
        axes.set_ylabel("gum, g per 100 g water", fontsize=shape.letters_pt, color=INK)
        axes.tick_params(labelsize=shape.letters_pt - 1, colors=INK)
        found = io.BytesIO()
        FigureCanvasSVG(figure).print_svg(found, metadata={"Date": None, "Creator": "slake"})
    return found.getvalue()


def _dots(axes: Axes, grid: Grid, shape: Shape) -> None:
    """Every batch has its mark; a number that would lie on another one is left to the table of batches."""
    axes.set_xlim(grid.waters[0], grid.waters[-1])
    axes.set_ylim(grid.gums[0], grid.gums[-1])
    axes.figure.draw_without_rendering()
    taken: list[tuple[float, float]] = []
    for label, water, gum, words in grid.dots:
        mark = mark_of(words)
        axes.scatter([water], [gum], marker=mark.shape, c=mark.colour, s=90, edgecolors="white", zorder=3)
        x, y = axes.transData.transform((water, gum))
        wide, tall = LABEL_EM * shape.letters_pt * axes.figure.dpi / 72, shape.letters_pt * axes.figure.dpi / 72
        if all(abs(x - other) > wide or abs(y - up) > tall for other, up in taken):
            taken.append((x, y))
            size = shape.letters_pt - 1
            axes.annotate(label, (water, gum), xytext=(7, 4), textcoords="offset points", fontsize=size, color=INK)


def _fields(axes: Axes, grid: Grid, shape: Shape) -> None:
    pascals, spread = np.array(grid.pascals), np.array(grid.spread)
    if not np.isfinite(pascals).any():
        return
    inside = [level for level in LEVELS if np.nanmin(pascals) < level < np.nanmax(pascals)]
    axes.pcolormesh(grid.waters, grid.gums, np.log(pascals), cmap="Blues", alpha=0.55, shading="nearest")
    if inside:
        lines = axes.contour(grid.waters, grid.gums, pascals, levels=inside, colors=INK, linewidths=1.1)
        axes.clabel(lines, fmt=lambda value: f"{value:.0f} Pa", fontsize=shape.letters_pt - 2)
    if np.nanmax(spread) > LITTLE_KNOWN:
        ends = [LITTLE_KNOWN, float(np.nanmax(spread)) + 1]
        axes.contourf(grid.waters, grid.gums, spread, levels=ends, colors="none", hatches=["//"])
