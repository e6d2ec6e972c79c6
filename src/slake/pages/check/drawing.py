"""How many times its load the wall bears, by height: both ends, and the band of 8 in 10."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter

from slake.ground.problems import plain
from slake.ground.units import from_si

from ..next.chart import GRID, INK, Shape, as_svg, blank, drawing_alone, dress

BAND, EARLY, LATE, FALLS = "#cfe0ea", "#8a3b12", "#1c5a7a", "#1a1a1a"
LEAST, MOST = 0.05, 100.0


def draw_margin(rows: Sequence[Mapping[str, float]], shape: Shape) -> bytes:
    """Height up, margin across on a scale of times; left of 1 it falls."""
    with drawing_alone():
        figure, axes = blank(shape)
        heights = [from_si(row["height_m"], "mm") for row in rows]
        told = {name: [_shown(row[name]) for row in rows] for name in ("low", "high", "earliest", "latest")}
        axes.fill_betweenx(heights, told["low"], told["high"], color=BAND, label="8 times in 10")
        axes.plot(told["earliest"], heights, "o-", color=EARLY, linewidth=2, markersize=3.5, label="earliest")
        axes.plot(told["latest"], heights, "s--", color=LATE, linewidth=2, markersize=3.5, label="latest")
        axes.axvline(1, color=FALLS, linewidth=1.6)
        _scale(axes, shape, max(heights, default=1.0))
        axes.legend(loc="upper right", fontsize=shape.letters_pt - 2, frameon=True, edgecolor="none")
        return as_svg(figure)


def _shown(times: float) -> float:
    return min(max(times, LEAST), MOST)


def _scale(axes: Axes, shape: Shape, top: float) -> None:
    dress(axes, shape, "how many times its load it bears", "height, mm")
    axes.set_xscale("log")
    axes.set_xlim(LEAST, MOST)
    axes.set_xticks([0.1, 0.3, 1, 3, 10, 30, 100])
    axes.xaxis.set_major_formatter(FuncFormatter(lambda at, _: plain(at)))
    axes.minorticks_off()
    axes.set_ylim(0, top * 1.03)
    axes.grid(color=GRID, linewidth=0.8)
    axes.set_axisbelow(True)
    where = {"xytext": (-5, 6), "textcoords": "offset points", "ha": "right", "color": INK}
    axes.annotate("falls", (1, 0), fontsize=shape.letters_pt - 1, **where)
