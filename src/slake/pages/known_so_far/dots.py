"""Batches on a drawing: a mark each, and its number on the first side where it covers nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..next.chart import INK, Shape
from ..next.marks import GOOD, NEXT, Mark

MARK_PT = 13.0
CROWD, IN_A_CROWD = 40, 0.6
"""From so many batches on marks are smaller, and only numbers with room beside their mark are written."""
HELD = Mark(words="this line held", shape="o", glyph="●", colour="#1d6b3a")
BROKE = Mark(words="this line broke", shape="X", glyph="✖", colour="#8a3b12")
UNREAD = Mark(words="this line was not read", shape="s", glyph="▪", colour="#444444")
OF_LINE = {True: HELD, False: BROKE, None: UNREAD}


@dataclass(frozen=True, kw_only=True)
class Dot:
    """One batch where it lies. `hollow`: something else than the two axes differs much from what is held here."""

    label: str
    x: float
    y: float
    mark: Mark
    words: str = ""
    hollow: bool = False


def put_dots(axes: Axes, dots: Sequence[Dot], shape: Shape) -> None:
    """All marks, good ones under the others and a little larger, then their numbers."""
    size = (MARK_PT if shape.words_beside else MARK_PT - 2) * (IN_A_CROWD if len(dots) > CROWD else 1)
    for dot in dots:
        axes.scatter(
            [dot.x],
            [dot.y],
            s=(size * {NEXT: 1.5, GOOD: 1.2}.get(dot.mark, 1.0)) ** 2,
            marker=dot.mark.shape,
            facecolors="white" if dot.hollow else dot.mark.colour,
            edgecolors=dot.mark.colour if dot.hollow else "white",
            linewidths=2.0 if dot.hollow else 0.9,
            zorder={NEXT: 4, GOOD: 2.5}.get(dot.mark, 3),
        )
    _labels(axes, dots, shape)


def put_legend(figure: Figure, axes: Axes, dots: Sequence[Dot], shape: Shape) -> None:
    """Which mark says what, of those that are there."""
    marks = list(dict.fromkeys(dot.mark for dot in dots))
    if not marks:
        return
    shown = [axes.scatter([], [], s=90, marker=m.shape, c=m.colour, edgecolors="white", label=m.words) for m in marks]
    figure.legend(
        handles=shown,
        loc="outside lower center",
        ncols=2 if shape.words_beside else 1,
        fontsize=shape.letters_pt - 1,
        frameon=False,
        labelcolor=INK,
        handletextpad=0.4,
    )


Box = tuple[float, float, float, float]
Place = tuple[float, float, str, Box]


def _labels(axes: Axes, dots: Sequence[Dot], shape: Shape) -> None:
    axes.figure.draw_without_rendering()
    taken = [_box(axes, dot, (0, 0), (MARK_PT, MARK_PT), "center") for dot in dots]
    for dot in sorted(dots, key=lambda d: (d.mark is not NEXT, d.x)):
        full = f"{dot.label}  {dot.words}" if shape.words_beside and dot.words and len(dots) <= CROWD else dot.label
        for text in dict.fromkeys((full, dot.label)):
            place = _free_place(axes, dot, text, shape, taken)
            if place is not None:
                break
        if place is None and len(dots) > CROWD and dot.mark is not NEXT:
            continue
        dx, dy, side, box = place or _places(axes, dot, dot.label, shape)[0]
        taken.append(box)
        axes.annotate(
            text,
            (dot.x, dot.y),
            xytext=(dx, dy),
            textcoords="offset points",
            ha=side,
            va="center",
            fontsize=shape.letters_pt - 0.5,
            fontweight="bold" if dot.mark is NEXT else "normal",
            color=INK,
            zorder=5,
        )


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
    x, y = axes.transData.transform((dot.x, dot.y))
    x, y = x + offset_pt[0] * scale, y + offset_pt[1] * scale
    wide, tall = size_pt[0] * scale, size_pt[1] * scale
    left = x - {"left": 0.0, "center": wide / 2, "right": wide}[side]
    return left, y - tall / 2, left + wide, y + tall / 2
