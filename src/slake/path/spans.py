"""Free spans: how far paste must reach through the air with nothing below, layer by layer."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from slake.ground.evidence import Range
from slake.ground.problems import require_positive
from slake.ground.units import from_si, to_si

from .mesh import FloatArray
from .sections import Cut, parts

USUAL_SPAN_M = Range(low=to_si(5, "mm"), mid=to_si(10, "mm"), high=to_si(15, "mm"))
"""A 2 mm bead of 1 kPa bridges about 10 mm (the ideal plastic limit is 20): worked out; range common practice."""
MOST_SHOWN = 12
MOST_MEASURED = 200
"""Only so many of the largest free places are measured. Practice."""
LEAST_AREA_MM2 = 0.01
POINTS_ACROSS = 20
OPPOSITE = 3.0
"""The other support is looked for this many reaches further on."""


@dataclass(frozen=True, kw_only=True)
class Span:
    """A place that starts in the air. span_m: between both supports where it is held on two sides, else the length
    that sticks out. floats: nothing at all holds it in its layer. middle_m: (2,) in plan.
    """

    height_m: float
    span_m: float
    held_both_sides: bool
    floats: bool
    area_m2: float
    middle_m: FloatArray

    @property
    def in_words(self) -> str:
        at = f"{from_si(self.height_m, 'mm'):.3g} mm up"
        if self.floats:
            return f"{at} a piece begins in mid-air"
        how = "bridges" if self.held_both_sides else "sticks out"
        return f"{at} it {how} {from_si(self.span_m, 'mm'):.3g} mm with nothing below"


@dataclass(frozen=True, kw_only=True)
class Spans:
    """beyond: over the middle of the limit, the widest first; widest_m of all that were found."""

    limit_m: Range
    widest_m: float
    beyond: tuple[Span, ...]


def spans_beyond(cuts: list[Cut], step_m: float, lean_deg: float, limit_m: Range = USUAL_SPAN_M) -> Spans:
    """Spans between level cuts that stand `step_m` apart, rising from the bed.

    What a layer reaches out over the one below by no more than the slope the paste bears is slope, not span. Source:
    geometry; the limit is common practice.
    """
    require_positive(step_m=step_m, lean_deg=lean_deg, span_m=limit_m.low)
    borne_mm = from_si(step_m * math.tan(math.radians(lean_deg)), "mm")
    free = [
        (piece, below.shape, above) for below, above in pairwise(cuts) for piece in _free(below.shape, above, borne_mm)
    ]
    free.sort(key=lambda place: -place[0].area)
    found = [_span(*place) for place in free[:MOST_MEASURED]]
    found.sort(key=lambda span: (not span.floats, -span.span_m))
    widest = max((span.span_m for span in found if not span.floats), default=0.0)
    beyond = [span for span in found if span.floats or span.span_m > limit_m.mid]
    return Spans(limit_m=limit_m, widest_m=widest, beyond=tuple(beyond[:MOST_SHOWN]))


def _free(below: MultiPolygon, above: Cut, borne_mm: float) -> list[Polygon]:
    """What of a layer has nothing below it and is no slope the paste bears."""
    free = above.shape if below.is_empty else above.shape.difference(below.buffer(borne_mm))
    return [piece for piece in parts(free).geoms if piece.area > max(borne_mm**2, LEAST_AREA_MM2)]


def _span(piece: Polygon, below: MultiPolygon, above: Cut) -> Span:
    middle = np.array(piece.representative_point().coords[0])
    floats = below.is_empty or not _held(piece, below, above)
    reach_mm, both = (0.0, False) if floats else _reach(piece, below)
    return Span(
        height_m=above.height_m,
        span_m=to_si(reach_mm, "mm"),
        held_both_sides=both,
        floats=floats,
        area_m2=float(piece.area) * to_si(1, "mm") ** 2,
        middle_m=middle * to_si(1, "mm"),
    )


def _held(piece: Polygon, below: MultiPolygon, above: Cut) -> bool:
    """Whether the part of the layer this piece belongs to stands on anything below."""
    own = [whole for whole in above.shape.geoms if whole.intersects(piece)]
    return any(whole.intersects(below) for whole in own)


def _reach(piece: Polygon, below: MultiPolygon) -> tuple[float, bool]:
    """(span, held on both sides) of a free piece, in mm.

    The point furthest from what is below; where support stands on the far side of it too, the span is both ways.
    """
    points = _points_in(piece)
    shapely.prepare(below)
    away = shapely.distance(below, points)
    far = points[int(np.argmax(away))]
    reach = float(away.max())
    near = np.array(shapely.shortest_line(far, below).coords)
    onward = near[0] - near[1]
    length = float(np.hypot(*onward))
    if length <= 0:
        return reach, False
    beam = shapely.LineString([near[0], near[0] + onward / length * OPPOSITE * reach])
    met = beam.intersection(below)
    if met.is_empty:
        return reach, False
    return reach + float(shapely.distance(far, met)), True


def _points_in(piece: Polygon) -> np.ndarray[tuple[int], np.dtype[np.object_]]:
    """A grid over the piece and its outline, so that the furthest point is missed by at most half a grid step."""
    low_x, low_y, high_x, high_y = piece.bounds
    x, y = np.meshgrid(np.linspace(low_x, high_x, POINTS_ACROSS + 1), np.linspace(low_y, high_y, POINTS_ACROSS + 1))
    grid = shapely.points(x.ravel(), y.ravel())
    shapely.prepare(piece)
    inside = grid[shapely.contains(piece, grid)]
    edge = shapely.points(np.asarray(shapely.get_coordinates(piece.exterior)))
    return np.concatenate([inside, edge])
