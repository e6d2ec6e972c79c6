"""A cut through the recipe space as a drawing: lines of equal chance, hatched where nothing was tried, and batches."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import matplotlib
import numpy as np
from matplotlib.axes import Axes

from ..next.chart import INK, Shape, as_svg, blank, drawing_alone, dress
from .dots import Dot, put_dots, put_legend

LEVELS, STYLES = (0.2, 0.5, 0.8), ("dotted", "dashed", "solid")
PANEL = Shape(name="panel", width_in=4.4, height_in=4.3, letters_pt=12.5, words_beside=False)
QUIET = {"hatch.color": "#7c878c", "hatch.linewidth": 0.7}
Rows = tuple[tuple[float, ...], ...]


@dataclass(frozen=True, kw_only=True)
class Field:
    """Chances over two axes as plain numbers, so that one drawing is made once."""

    xs: tuple[float, ...]
    ys: tuple[float, ...]
    chance: Rows
    tried: tuple[tuple[bool, ...], ...]
    held: tuple[float, float]
    across: str
    up: str
    dots: tuple[Dot, ...]


@lru_cache(maxsize=64)
def draw_field(field: Field, shape: Shape) -> bytes:
    """SVG; the same field gives the same bytes."""
    with drawing_alone(), matplotlib.rc_context(QUIET):
        figure, axes = blank(shape)
        dress(axes, shape, field.across, field.up)
        if field.xs:
            axes.set_xlim(field.xs[0], field.xs[-1])
            axes.set_ylim(field.ys[0], field.ys[-1])
            _chances(axes, field, shape)
            _held(axes, field)
        put_legend(figure, axes, field.dots, shape)
        put_dots(axes, field.dots, shape)
        return as_svg(figure)


def _chances(axes: Axes, field: Field, shape: Shape) -> None:
    chance = np.array(field.chance)
    if not np.isfinite(chance).any():
        return
    axes.pcolormesh(field.xs, field.ys, chance, cmap="Blues", vmin=0, vmax=1.3, shading="nearest", rasterized=False)
    untried = ~np.array(field.tried)
    if untried.any():
        axes.contourf(
            field.xs, field.ys, untried, levels=[0.5, 1.5], colors=["white"], alpha=0.55, hatches=["//"], zorder=1.5
        )
    inside = [(level, style) for level, style in zip(LEVELS, STYLES, strict=True) if _crosses(chance, level)]
    if inside:
        levels, styles = zip(*inside, strict=True)
        lines = axes.contour(
            field.xs, field.ys, chance, levels=levels, colors=INK, linewidths=1.5, linestyles=styles, zorder=2
        )
        axes.clabel(lines, fmt=lambda level: f"{100 * level:.0f} %", fontsize=shape.letters_pt - 1.5)


def _crosses(chance: np.ndarray, level: float) -> bool:
    return bool(np.nanmin(chance) < level < np.nanmax(chance))


def _held(axes: Axes, field: Field) -> None:
    """Where the recipe lies that everything else is held at: two thin lines that meet there."""
    for put, at in ((axes.axvline, field.held[0]), (axes.axhline, field.held[1])):
        put(at, color=INK, linewidth=0.9, linestyle=(0, (1, 3)), zorder=1.8)
