"""The map as a drawing: batches over water and gum. The same points give the same bytes."""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import lru_cache
from threading import Lock

import matplotlib
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from .marks import GOOD, NEXT, Mark

matplotlib.rcParams.update({"svg.fonttype": "none", "svg.hashsalt": "slake", "font.family": "sans-serif"})
_drawing = Lock()


def drawing_alone() -> Lock:
    """Only one drawing at a time: the library that draws is not made for several."""
    return _drawing


INK, GRID = "#1a1a1a", "#d5d5d5"
MARK_PT = 13.0


@dataclass(frozen=True, kw_only=True)
class Shape:
    """One outer form of the drawing, in inches; `words_beside` writes each ending next to its mark."""

    name: str
    width_in: float
    height_in: float
    letters_pt: float
    words_beside: bool


WIDE = Shape(name="wide", width_in=8.6, height_in=5.6, letters_pt=12, words_beside=True)
PHONE = Shape(name="phone", width_in=4.4, height_in=5.4, letters_pt=12.5, words_beside=False)
SHAPES = {shape.name: shape for shape in (WIDE, PHONE)}


@dataclass(frozen=True, kw_only=True)
class Dot:
    """One batch on the map: water in g per g dry solids, thickener in g per 100 g water."""

    label: str
    water_per_dry: float
    thickener_per_100_water: float
    mark: Mark
    words: str = ""


@lru_cache(maxsize=16)
def draw(dots: tuple[Dot, ...], shape: Shape) -> bytes:
    """SVG of the map; text stays text."""
    with drawing_alone():
        figure = Figure(figsize=(shape.width_in, shape.height_in), layout="constrained", facecolor="white")
        axes = figure.add_subplot()
        for mark in dict.fromkeys(dot.mark for dot in dots):
            _scatter(axes, [dot for dot in dots if dot.mark is mark], mark)
        _dress(axes, shape)
        _limits(axes, dots)
        _legend(figure, axes, shape)
        _labels(axes, dots, shape)
        found = io.BytesIO()
        FigureCanvasSVG(figure).print_svg(found, metadata={"Date": None, "Creator": "slake"})
    return found.getvalue()


def _scatter(axes: Axes, dots: list[Dot], mark: Mark) -> None:
    """Good ones lie under the others and a little larger, so that a batch at the same place is still seen."""
    size = (MARK_PT * {NEXT: 1.5, GOOD: 1.2}.get(mark, 1.0)) ** 2
    axes.scatter(
        [dot.water_per_dry for dot in dots],
        [dot.thickener_per_100_water for dot in dots],
        s=size,
        marker=mark.shape,
        c=mark.colour,
        edgecolors="white",
        linewidths=0.8,
        label=mark.words,
        zorder={NEXT: 4, GOOD: 2.5}.get(mark, 3),
    )


def _dress(axes: Axes, shape: Shape) -> None:
    axes.set_xlabel("water, g per g dry solids", fontsize=shape.letters_pt, color=INK)
    axes.set_ylabel("gum, g per 100 g water", fontsize=shape.letters_pt, color=INK)
    axes.tick_params(labelsize=shape.letters_pt - 1, colors=INK)
    axes.grid(color=GRID, linewidth=0.7)
    axes.set_axisbelow(True)
    axes.locator_params(axis="x", nbins=7 if shape.words_beside else 5)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _limits(axes: Axes, dots: tuple[Dot, ...]) -> None:
    for values, least, put in (
        ([d.water_per_dry for d in dots], 0.1, axes.set_xlim),
        ([d.thickener_per_100_water for d in dots], 0.5, axes.set_ylim),
    ):
        low, high = (min(values), max(values)) if values else (0.0, 1.0)
        room = max(high - low, least) * 0.14
        put(max(low - room, -room / 2 if low <= 0 else 0.0), high + room)


def _labels(axes: Axes, dots: tuple[Dot, ...], shape: Shape) -> None:
    """Number (and words, where there is room) beside each mark, on the first side where it covers nothing."""
    axes.figure.draw_without_rendering()
    taken = [_box(axes, dot, (0, 0), (MARK_PT, MARK_PT), "center") for dot in dots]
    for dot in sorted(dots, key=lambda d: (d.mark is not NEXT, d.water_per_dry)):
        full = f"{dot.label}  {dot.words}" if shape.words_beside and dot.words else dot.label
        for text in dict.fromkeys((full, dot.label)):
            place = _free_place(axes, dot, text, shape, taken)
            if place is not None:
                break
        dx, dy, side, box = place or _places(axes, dot, dot.label, shape)[0]
        taken.append(box)
        axes.annotate(
            text,
            (dot.water_per_dry, dot.thickener_per_100_water),
            xytext=(dx, dy),
            textcoords="offset points",
            ha=side,
            va="center",
            fontsize=shape.letters_pt - 0.5,
            fontweight="bold" if dot.mark is NEXT else "normal",
            color=INK,
            zorder=5,
        )


Box = tuple[float, float, float, float]
Place = tuple[float, float, str, Box]


def _free_place(axes: Axes, dot: Dot, text: str, shape: Shape, taken: list[Box]) -> Place | None:
    frame = axes.get_window_extent()
    for place in _places(axes, dot, text, shape):
        left, low, right, high = place[3]
        inside = frame.x0 <= left and right <= frame.x1 + 4 and frame.y0 <= low and high <= frame.y1
        if inside and not any(left < r and right > x and low < h and high > y for x, y, r, h in taken):
            return place
    return None


def _places(axes: Axes, dot: Dot, text: str, shape: Shape) -> list[Place]:
    wide, tall = 0.56 * shape.letters_pt * len(text), 1.1 * shape.letters_pt
    offsets = [(10, 0, "left"), (-10, 0, "right"), (0, 15, "center"), (0, -15, "center")]
    offsets += [(9, 12, "left"), (9, -12, "left"), (-9, 12, "right"), (-9, -12, "right")]
    return [(dx, dy, side, _box(axes, dot, (dx, dy), (wide, tall), side)) for dx, dy, side in offsets]


def _box(axes: Axes, dot: Dot, offset_pt: tuple[float, float], size_pt: tuple[float, float], side: str) -> Box:
    """Pixels covered by something of that size, set off from the dot."""
    scale = axes.figure.dpi / 72
    x, y = axes.transData.transform((dot.water_per_dry, dot.thickener_per_100_water))
    x, y = x + offset_pt[0] * scale, y + offset_pt[1] * scale
    wide, tall = size_pt[0] * scale, size_pt[1] * scale
    left = x - {"left": 0.0, "center": wide / 2, "right": wide}[side]
    return left, y - tall / 2, left + wide, y + tall / 2


def _legend(figure: Figure, axes: Axes, shape: Shape) -> None:
    if not axes.collections:
        return
    figure.legend(
        loc="outside lower center",
        ncols=2 if shape.words_beside else 1,
        fontsize=shape.letters_pt - 1,
        frameon=False,
        markerscale=0.75,
        labelcolor=INK,
        handletextpad=0.4,
    )
