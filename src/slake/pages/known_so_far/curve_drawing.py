"""A line of the brief over one dose as a drawing: middle, 80 % band, the window, and what was read."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter, LogLocator, NullLocator

from ..next.chart import GRID, INK, Shape, as_svg, blank, drawing_alone, dress
from .dots import Dot, put_dots

SEA, SAND = "#0b5f73", "#8a5a00"
STEEP = 12.0
"""A band whose ends lie further apart than this many times is drawn over a scale of factors."""


@dataclass(frozen=True, kw_only=True)
class Band:
    """Low, middle and high at each dose (nan where nothing can be mixed), the window, where was tried, and batches.

    `window`: (low, high), nan for an open side. `ends`: of the upright axis, where they are known beforehand.
    """

    doses: tuple[float, ...]
    low: tuple[float, ...]
    mid: tuple[float, ...]
    high: tuple[float, ...]
    tried: tuple[bool, ...]
    window: tuple[float, float]
    held: float
    across: str
    up: str
    dots: tuple[Dot, ...]
    ends: tuple[float, float] | None = None


@lru_cache(maxsize=64)
def draw_band(band: Band, shape: Shape) -> bytes:
    """SVG; the same band gives the same bytes."""
    with drawing_alone():
        figure, axes = blank(shape)
        dress(axes, shape, band.across, band.up)
        axes.set_xlim(band.doses[0], band.doses[-1])
        axes.set_ylim(*_ends(band))
        _scaled(axes, band)
        _window(axes, band)
        _curve(axes, band)
        axes.axvline(band.held, color=INK, linewidth=0.9, linestyle=(0, (1, 3)), zorder=1.8)
        put_dots(axes, band.dots, shape)
        return as_svg(figure)


def _ends(band: Band) -> tuple[float, float]:
    """From the least to the most that is to be seen: the band where something was tried, the readings, the window."""
    if band.ends is not None:
        return band.ends
    tried = np.array(band.tried)
    wide = [*np.array(band.low)[tried], *np.array(band.high)[tried]] or [*band.low, *band.high]
    seen = [v for v in (*wide, *band.window, *(dot.y for dot in band.dots)) if np.isfinite(v)]
    low, high = (min(seen), max(seen)) if seen else (0.0, 1.0)
    if _is_steep(band):
        return low / 1.3, high * 1.3
    room = 0.08 * max(high - low, 1e-9)
    return (0.0 if low >= 0 and low - room < 0 else low - room), high + room


def _is_steep(band: Band) -> bool:
    if band.ends is not None:
        return False
    low, high = np.array(band.low), np.array(band.high)
    lows = [*low[np.isfinite(low)], *(dot.y for dot in band.dots)]
    return bool(lows) and min(lows) > 0 and float(np.nanmax(high)) > STEEP * float(min(lows))


def _scaled(axes: Axes, band: Band) -> None:
    if _is_steep(band):
        axes.set_yscale("log")
        axes.yaxis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0)))
        axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
        axes.yaxis.set_minor_locator(NullLocator())
    axes.grid(color=GRID, linewidth=0.7, axis="y")
    axes.set_axisbelow(True)


def _window(axes: Axes, band: Band) -> None:
    """The window lightly filled, its ends as broken lines."""
    if not np.isfinite(band.window).any():
        return
    bottom, top = axes.get_ylim()
    low, high = (end if np.isfinite(end) else edge for end, edge in zip(band.window, (bottom, top), strict=True))
    axes.axhspan(low, high, color="#e9dec6", alpha=0.6, zorder=0.5)
    for end in band.window:
        if np.isfinite(end):
            axes.axhline(end, color=SAND, linewidth=1.4, linestyle=(0, (5, 3)), zorder=1)


def _curve(axes: Axes, band: Band) -> None:
    """Where something was tried in full; outside of it pale, with a broken line."""
    doses, low, mid, high = (np.array(part) for part in (band.doses, band.low, band.mid, band.high))
    tried = np.array(band.tried)
    axes.fill_between(doses, low, high, color=SEA, alpha=0.10, linewidth=0, zorder=1.2)
    axes.fill_between(doses, low, high, where=tried, color=SEA, alpha=0.25, linewidth=0, zorder=1.3)
    axes.plot(doses, mid, color=SEA, linewidth=1.4, linestyle=(0, (2, 3)), zorder=1.6)
    axes.plot(doses, np.where(tried, mid, np.nan), color=SEA, linewidth=2.4, zorder=1.7)
