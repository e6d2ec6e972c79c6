"""The drying curve of a plan: its middle, its band, the weighings, and what happens when."""

from __future__ import annotations

import math

from matplotlib.axes import Axes

from slake.ground.units import from_si, to_si
from slake.paste.drying_schedule import Schedule
from slake.path.drying_answer import Answered
from slake.path.drying_words import weighed_shares

from ..next.chart import GRID, INK, Shape, as_svg, blank, drawing_alone, dress

LEAST_H = 1.0
BAND, LINE, WEIGHED, EVENT = "#cfe0ea", "#1c5a7a", "#8a3b12", "#5a5a5a"


def draw_curve(answered: Answered, shape: Shape) -> bytes:
    """Mass in % of the wet mass over hours, as SVG."""
    with drawing_alone():
        figure, axes = blank(shape)
        _band(axes, answered.schedule)
        _events(axes, answered.schedule, shape)
        _weighings(axes, answered)
        dress(axes, shape, "hours since it was laid", "mass, % of the wet mass")
        axes.grid(axis="y", color=GRID, linewidth=0.8)
        axes.set_axisbelow(True)
        axes.legend(loc="upper right", fontsize=shape.letters_pt - 2, frameon=True, edgecolor="none")
        return as_svg(figure)


def _until_h(found: Schedule) -> float:
    ends = [
        s for s in (found.dry_s.high * 1.1, found.dry_s.mid * 2, float(found.curve.times_s[-1])) if math.isfinite(s)
    ]
    return max(from_si(min(ends), "h"), LEAST_H)


def _band(axes: Axes, found: Schedule) -> None:
    hours = found.curve.times_s / to_si(1, "h")
    last = _until_h(found)
    kept = hours <= last * 1.02
    axes.fill_between(
        hours[kept], 100 * found.curve.low[kept], 100 * found.curve.high[kept], color=BAND, label="8 times in 10"
    )
    axes.plot(hours[kept], 100 * found.curve.mid[kept], color=LINE, linewidth=2.2, label="expected")
    axes.set_xlim(0, last)
    axes.set_ylim(100 * float(found.curve.low[kept].min()) - 1, 100.5)


def _events(axes: Axes, found: Schedule, shape: Shape) -> None:
    """Upright lines at the middle of each time, named along the line; two that fall together are named apart."""
    low, high = axes.get_ylim()
    turned = [("free it", found.freed_s.mid)] if found.warp is not None else []
    events = [("cover off", found.way.covered_s), *turned, ("shrunk", found.shrunk_s.mid), ("dry", found.dry_s.mid)]
    shown = sorted((from_si(at, "h"), name) for name, at in events if 0 < at < math.inf)
    for n, (at, name) in enumerate(shown):
        if at <= axes.get_xlim()[1]:
            axes.axvline(at, color=EVENT, linewidth=1, linestyle=(0, (4, 3)))
            up = low + (0.04 + 0.07 * (n % 4)) * (high - low)
            where = {"xytext": (4, 0), "textcoords": "offset points", "fontsize": shape.letters_pt - 2}
            axes.annotate(name, (at, up), bbox={"facecolor": "white", "edgecolor": "none", "pad": 1}, **where)


def _weighings(axes: Axes, answered: Answered) -> None:
    shares = weighed_shares(answered.schedule, answered.asked.weighed)
    if shares:
        axes.plot(
            list(shares), list(shares.values()), "o", color=WEIGHED, markeredgecolor=INK, markersize=8, label="weighed"
        )
        left, right = axes.get_xlim()
        axes.set_xlim(left, max(right, 1.05 * max(shares)))
