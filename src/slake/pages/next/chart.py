"""What every drawing of the bench has in common: its outer forms, its ink, and how it becomes a picture."""

from __future__ import annotations

import io
from dataclasses import dataclass
from threading import Lock

import matplotlib
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

matplotlib.rcParams.update({"svg.fonttype": "none", "svg.hashsalt": "slake", "font.family": "sans-serif"})
_drawing = Lock()


def drawing_alone() -> Lock:
    """Only one drawing at a time: the library that draws is not made for several."""
    return _drawing


INK, GRID = "#1a1a1a", "#d5d5d5"


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


def blank(shape: Shape) -> tuple[Figure, Axes]:
    """An empty drawing of this form."""
    figure = Figure(figsize=(shape.width_in, shape.height_in), layout="constrained", facecolor="white")
    return figure, figure.add_subplot()


def as_svg(figure: Figure) -> bytes:
    """Text stays text; the same drawing gives the same bytes."""
    found = io.BytesIO()
    FigureCanvasSVG(figure).print_svg(found, metadata={"Date": None, "Creator": "slake"})
    return found.getvalue()


def dress(axes: Axes, shape: Shape, across: str, up: str) -> None:
    """Names of both axes, quiet lines, no frame above and to the right."""
    axes.set_xlabel(across, fontsize=shape.letters_pt, color=INK)
    axes.set_ylabel(up, fontsize=shape.letters_pt, color=INK)
    axes.tick_params(labelsize=shape.letters_pt - 1, colors=INK)
    axes.locator_params(axis="x", nbins=7 if shape.words_beside else 5)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
