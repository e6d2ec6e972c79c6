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
    return Grid(
        waters=found.waters,
        gums=found.gums,
        pascals=tuple(tuple(one.mid if one else nothing for one in line) for line in found.around),
        spread=tuple(tuple(one.high / one.low if one else nothing for one in line) for line in found.around),
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
        for label, water, gum, words in grid.dots:
            mark = mark_of(words)
            axes.scatter([water], [gum], marker=mark.shape, c=mark.colour, s=90, edgecolors="white", zorder=3)
            axes.annotate(label, (water, gum), xytext=(7, 4), textcoords="offset points", fontsize=10, color=INK)
        axes.set_xlabel("water, g per g dry solids", fontsize=shape.letters_pt, color=INK)
        axes.set_ylabel("gum, g per 100 g water", fontsize=shape.letters_pt, color=INK)
        axes.tick_params(labelsize=shape.letters_pt - 1, colors=INK)
        found = io.BytesIO()
        FigureCanvasSVG(figure).print_svg(found, metadata={"Date": None, "Creator": "slake"})
    return found.getvalue()


def _fields(axes: Axes, grid: Grid, shape: Shape) -> None:
    pascals, spread = np.array(grid.pascals), np.array(grid.spread)
    inside = [level for level in LEVELS if np.nanmin(pascals) < level < np.nanmax(pascals)]
    axes.pcolormesh(grid.waters, grid.gums, np.log(pascals), cmap="Blues", alpha=0.55, shading="nearest")
    if inside:
        lines = axes.contour(grid.waters, grid.gums, pascals, levels=inside, colors=INK, linewidths=1.1)
        axes.clabel(lines, fmt=lambda value: f"{value:.0f} Pa", fontsize=shape.letters_pt - 2)
    if np.nanmax(spread) > LITTLE_KNOWN:
        ends = [LITTLE_KNOWN, float(np.nanmax(spread)) + 1]
        axes.contourf(grid.waters, grid.gums, spread, levels=ends, colors="none", hatches=["//"])
