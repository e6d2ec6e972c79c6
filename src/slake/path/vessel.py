"""Form from numbers: a series becomes a vessel, softened to what the paste bears, as a mesh and as one spiral path."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from slake.ground.problems import DoesNotFit, OutsideRange, require_positive
from slake.ground.units import from_si, to_si

from .beads import Printer, Run, pushed_m3
from .mesh import FloatArray, Mesh
from .scaling import print_factor
from .series import Series
from .shrinking import Foreseen
from .slopes import leans_deg
from .softening import Bears, Softened, soften
from .spiral import Laying, Radius, joined, spiral_floor, spiral_wall, turns_of_wall
from .vessel_mesh import vessel_mesh

ANGLES = 360
MOST_LAYERS = 2000
NARROWEST_BEADS = 3.0
"""The middle of the wall keeps this many beads from the axis. Practice."""
MESH_STEP_M = to_si(1.5, "mm")
MOST_FLOOR = 20


@dataclass(frozen=True, kw_only=True)
class Wished:
    """The vessel as wished: height of its wall, mean radius of the middle of the wall, how far the numbers move it
    either way, and layers of floor (0: a tube).
    """

    height_m: float
    radius_m: float
    swing_m: float
    floor_layers: int = 2

    def __post_init__(self) -> None:
        require_positive(height_m=self.height_m, radius_m=self.radius_m)
        if not 0 <= self.swing_m < self.radius_m:
            raise OutsideRange(
                "how far the numbers move the wall (mm)", got=from_si(self.swing_m, "mm"), low=0,
                high=from_si(self.radius_m, "mm"), do="less than the radius",
            )  # fmt: skip
        if not 0 <= self.floor_layers <= MOST_FLOOR:
            raise OutsideRange("layers of floor", got=self.floor_layers, low=0, high=MOST_FLOOR, do="2 is usual")


def wet_of(wished: Wished, plan: Foreseen, upright: Foreseen) -> Wished:
    """The vessel as it must be printed to dry to the wished size, by the middle of what shrinkage is foreseen."""
    across, up = print_factor(plan.shrinkage.mid), print_factor(upright.shrinkage.mid)
    return replace(
        wished, height_m=wished.height_m * up, radius_m=wished.radius_m * across, swing_m=wished.swing_m * across
    )


Follow = Callable[[FloatArray, FloatArray], FloatArray]
"""(numbers from -1 to 1, heights from 0 to 1) -> (heights, angles), again from -1 to 1."""


@dataclass(frozen=True, kw_only=True)
class Vessel:
    """mesh: closed, as printed wet. run: one bead from beginning to end, without a travel. lean_deg: the most the
    middle of its wall leans out or in.
    """

    softened: Softened
    mesh: Mesh
    run: Run
    turns: int
    lean_deg: float
    says: tuple[str, ...]

    @property
    def paste_m3(self) -> float:
        return pushed_m3([self.run])


def radius_by_height(numbers: FloatArray, heights: FloatArray) -> FloatArray:
    """The radius follows the series from foot to rim, the same all round."""
    at = np.linspace(0, 1, len(numbers))
    if len(numbers) <= len(heights):
        return np.interp(heights, at, numbers)[:, None]
    places = np.minimum((at * len(heights)).astype(np.int64), len(heights) - 1)
    count = np.bincount(places, minlength=len(heights))
    return np.asarray(np.bincount(places, numbers, len(heights)) / count)[:, None]


def surface_by_turns(turns: int) -> Follow:
    """The series is wound round the vessel like a thread, in so many turns; between two turns it runs over evenly."""
    if not 1 <= turns <= MOST_LAYERS:
        raise OutsideRange("turns of the series", got=turns, low=1, high=MOST_LAYERS, do="one for each day, say")

    def follow(numbers: FloatArray, heights: FloatArray) -> FloatArray:
        part = np.linspace(0, 1, ANGLES, endpoint=False)[None, :]
        thread = heights[:, None] * turns - part
        turn = np.floor(thread)
        over = thread - turn
        ends = np.linspace(0, turns, len(numbers))
        low, high = (np.interp(turn + part + more, ends, numbers) for more in (0.0, 1.0))
        return np.asarray((1 - over) * low + over * high)

    return follow


def vessel_from_numbers(
    series: Series, wished: Wished, printer: Printer, bears: Bears | None = None, follow: Follow = radius_by_height
) -> Vessel:
    """A vessel that follows the series as far as the paste bears it. Raises Problem where none such fits the bed."""
    bears = bears or Bears()
    laying = Laying(bead_m=printer.bead_m, layer_height_m=printer.layer_height_m)
    turns = turns_of_wall(wished.height_m, laying)
    _require_fits(wished, printer, turns)
    height_m = turns * laying.layer_height_m
    heights = np.linspace(0, height_m, turns + 1)
    wave = follow(_from_minus_one_to_one(series.numbers), heights / height_m)
    slope = bears.slope(printer.bead_m, printer.layer_height_m)
    limits = (NARROWEST_BEADS * printer.bead_m, wished.radius_m + wished.swing_m)
    softened = soften(wished.radius_m + wished.swing_m * wave, heights, slope, limits)
    radius = interpolated(softened.made_m, heights)
    floor_m = wished.floor_layers * laying.layer_height_m
    runs = [*spiral_floor(radius, wished.floor_layers, laying), spiral_wall(radius, height_m, laying, floor_m)]
    lean = math.degrees(math.atan(_steepest(softened.made_m, heights)))
    return Vessel(
        softened=softened,
        mesh=vessel_mesh(radius, height_m, printer.bead_m, floor_m, MESH_STEP_M),
        run=joined(runs),
        turns=turns,
        lean_deg=lean,
        says=(*_says(softened, series, lean), *_gentler(softened, heights, wished, slope)),
    )


def _from_minus_one_to_one(numbers: FloatArray) -> FloatArray:
    low, high = float(numbers.min()), float(numbers.max())
    return np.zeros(len(numbers)) if high == low else (numbers - low) / (high - low) * 2 - 1


def _require_fits(wished: Wished, printer: Printer, turns: int) -> None:
    bed = printer.bed
    across, room = (
        2 * (wished.radius_m + wished.swing_m) + printer.bead_m,
        bed.x_m if bed.round else min(bed.x_m, bed.y_m),
    )
    high = (turns + wished.floor_layers) * printer.layer_height_m
    if across > room or high > bed.z_m or turns > MOST_LAYERS:
        raise DoesNotFit(
            f"the vessel may become {from_si(across, 'mm'):.4g} mm wide and {from_si(high, 'mm'):.4g} mm high in "
            f"{turns} turns, but there is room for {from_si(room, 'mm'):.4g} and {from_si(bed.z_m, 'mm'):.4g} mm and "
            f"at most {MOST_LAYERS} turns: make it smaller"
        )
    if wished.radius_m - wished.swing_m < NARROWEST_BEADS * printer.bead_m:
        least = from_si(NARROWEST_BEADS * printer.bead_m + wished.swing_m, "mm")
        raise OutsideRange(
            "radius (mm)", got=from_si(wished.radius_m, "mm"), low=least, high=from_si(room / 2, "mm"),
            do="make it wider, or let the numbers move it less",
        )  # fmt: skip


def interpolated(made_m: FloatArray, heights_m: FloatArray) -> Radius:
    """The surface between its places: evenly in height and round; it keeps the slopes of its places."""
    top, count = float(heights_m[-1]), made_m.shape[1]

    def radius(turn: FloatArray, height: FloatArray) -> FloatArray:
        row = np.clip(height / top, 0.0, 1.0) * (len(heights_m) - 1)
        low = np.minimum(row.astype(np.int64), len(heights_m) - 2)
        over = row - low
        place = turn / (2 * math.pi) * count
        left = np.floor(place).astype(np.int64)
        part = place - left
        left, right = left % count, (left + 1) % count
        below = made_m[low, left] * (1 - part) + made_m[low, right] * part
        above = made_m[low + 1, left] * (1 - part) + made_m[low + 1, right] * part
        return np.asarray(below * (1 - over) + above * over)

    return radius


def _steepest(made_m: FloatArray, heights_m: FloatArray) -> float:
    return float(np.abs(np.diff(made_m, axis=0) / np.diff(heights_m)[:, None]).max())


def _says(softened: Softened, series: Series, lean_deg: float) -> tuple[str, ...]:
    """What was made of the numbers, in words."""
    count, rows = len(series.numbers), len(softened.made_m)
    lines = [f"{count} numbers over {rows - 1} turns; the wall leans at most {lean_deg:.0f} degrees"]
    if not softened.places:
        return (*lines, "nothing had to be softened")
    lines.append(
        f"{100 * softened.share:.0f} % of the surface was softened, by up to {from_si(softened.most_m, 'mm'):.2g} mm, "
        "so that the paste bears its slopes"
    )
    return (*lines, *(place.in_words for place in softened.places[:3]))


def _gentler(softened: Softened, heights_m: FloatArray, wished: Wished, slope: float) -> tuple[str, ...]:
    """How much less the numbers may move the wall, or how much higher it must be, for nothing to be softened."""
    steepest = _steepest(softened.wished_m, heights_m)
    if steepest <= slope or not softened.places:
        return ()
    swing, high = wished.swing_m * slope / steepest, float(heights_m[-1]) * steepest / slope
    return (
        f"moved by {from_si(swing, 'mm'):.2g} mm in place of {from_si(wished.swing_m, 'mm'):.3g} mm, or "
        f"{from_si(high, 'mm'):.4g} mm high, it would hardly need softening",
    )


def mesh_lean_deg(vessel: Vessel) -> float:
    """The most any underside of the mesh leans out, as a check from outside of the path."""
    return float(leans_deg(vessel.mesh).max())
