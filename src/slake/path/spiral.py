"""One continuous spiral: a floor from the middle outwards, then a wall, without a travel."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from slake.ground.problems import OutsideRange, require_positive
from slake.ground.units import to_si

from .beads import Run
from .mesh import FloatArray

Radius = Callable[[FloatArray, FloatArray], FloatArray]
"""Radius (m) of the middle of the wall at a turning angle (rad) and a height above its foot (m)."""
SPIRAL_STRETCH_M = to_si(1.2, "mm")
"""On a radius of 20 mm such a stretch is a hundredth of a millimetre off."""
LEAST_HEIGHT = 0.25
"""Of a layer: the nozzle never comes nearer to the bed or the floor. Practice."""
LEAST_THICK = 0.05
"""Of a layer: the rim runs out to this, so that paste never stops before the end. Practice."""
FIRST_TURN = 0.25
MOST_STRETCHES = 2_000_000
LARGEST_M = to_si(2000, "mm")


@dataclass(frozen=True, kw_only=True)
class Laying:
    """Bead and layer of a spiral, and how long its stretches are."""

    bead_m: float
    layer_height_m: float
    stretch_m: float = SPIRAL_STRETCH_M

    def __post_init__(self) -> None:
        require_positive(bead_m=self.bead_m, layer_height_m=self.layer_height_m, step_m=self.stretch_m)


def turns_of_wall(height_m: float, laying: Laying) -> int:
    """Whole turns of a wall about so high, at least one."""
    return max(round(height_m / laying.layer_height_m), 1)


def spiral_wall(radius: Radius, height_m: float, laying: Laying, foot_m: float = 0.0) -> Run:
    """A wall of whole turns. The first turn rises to a layer, the last levels the rim, so that foot and rim are flat
    and the beads together are the wall: each is as high as it stands over the turn below.
    """
    count = turns_of_wall(height_m, laying)
    layer = laying.layer_height_m
    turn = _turning(radius, count, laying)
    top = np.minimum(layer * turn / (2 * math.pi), layer * count)
    below = np.clip(layer * (turn / (2 * math.pi) - 1), 0.0, layer * count)
    around = radius(turn % (2 * math.pi), (top + below) / 2)
    _require_sizes(around)
    height = np.maximum(top, LEAST_HEIGHT * layer)
    points = np.stack([around * np.cos(turn), around * np.sin(turn), foot_m + height], axis=1)
    thick = np.maximum((height - below)[1:] / 2 + (height - below)[:-1] / 2, LEAST_THICK * layer)
    length = np.hypot(*np.diff(points[:, :2], axis=0).T)
    return Run(points_m=points, volume_m3=length * thick * laying.bead_m)


def _turning(radius: Radius, count: int, laying: Laying) -> FloatArray:
    """Angles of all points: the same in every turn, close enough for the widest one."""
    round_ = np.linspace(0, 2 * math.pi, 720, endpoint=False)
    heights = np.linspace(0, count * laying.layer_height_m, 40)
    around = np.stack([radius(round_, np.full(720, height)) for height in heights])
    _require_sizes(around)
    ways = np.hypot(np.diff(around, axis=1), around[:, 1:] * 2 * math.pi / 720).sum(axis=1)
    per_turn = max(math.ceil(float(ways.max()) / laying.stretch_m), 24)
    if per_turn * (count + 1) > MOST_STRETCHES:
        raise OutsideRange(
            "stretches of the path", got=per_turn * (count + 1), low=1, high=MOST_STRETCHES, do="make it smaller"
        )
    return np.linspace(0, 2 * math.pi * (count + 1), per_turn * (count + 1) + 1)


def _require_sizes(around: FloatArray) -> None:
    if not (np.isfinite(around).all() and around.min() > 0 and around.max() < LARGEST_M):
        raise OutsideRange(
            "radius (m)", got=float(around.min()), low=1e-3, high=LARGEST_M, do="make the numbers gentler"
        )


def spiral_floor(radius: Radius, layers: int, laying: Laying) -> list[Run]:
    """A floor of so many layers, the last from the middle outwards, ending where a wall begins.

    Each layer is a spiral and one closing ring; every stretch lays the area between its own middle lines, so that the
    floor is full up to half a bead outside the wall's middle.
    """
    runs = []
    for layer in range(layers):
        out = (layers - 1 - layer) % 2 == 0
        runs.append(_floor_layer(radius, (layer + 1) * laying.layer_height_m, laying, out))
    return runs


def _floor_layer(radius: Radius, top_m: float, laying: Laying, out: bool) -> Run:
    rim = radius(np.linspace(0, 2 * math.pi, 720), np.zeros(720))
    _require_sizes(rim)
    rings = max(math.ceil(float(rim.max()) / laying.bead_m), 2)
    per_turn = max(math.ceil(2 * math.pi * float(rim.max()) / laying.stretch_m), 24)
    turn = 2 * math.pi * _turns_of_floor(rings, per_turn)
    share = np.minimum(turn / (2 * math.pi * rings), 1.0)
    around = radius(turn % (2 * math.pi), np.zeros(len(turn)))
    inner = np.clip((turn / (2 * math.pi) - 0.5) / rings, 0.0, None)
    outer = np.minimum((turn / (2 * math.pi) + 0.5) / rings, 1 + laying.bead_m / 2 / around)
    area = around**2 / 2 * np.maximum(outer**2 - inner**2, 0.0)
    way = share * around
    points = np.stack([way * np.cos(turn), way * np.sin(turn), np.full(len(turn), top_m)], axis=1)
    volume = (area[1:] + area[:-1]) / 2 * np.diff(turn) * laying.layer_height_m
    if out:
        return Run(points_m=points, volume_m3=volume)
    return Run(points_m=points[::-1].copy(), volume_m3=volume[::-1].copy())


def _turns_of_floor(rings: int, per_turn: int) -> FloatArray:
    """Turns at all points, from a quarter turn off the middle: stretches alike in length, then one closing ring."""
    count = math.ceil(per_turn * rings / 2)
    grown = np.sqrt(np.linspace(FIRST_TURN**2, rings**2, count + 1))
    return np.concatenate([grown, rings + np.arange(1, per_turn + 1) / per_turn])


def joined(runs: list[Run]) -> Run:
    """Beads that end where the next begins, or one layer below it, as one without a stop.

    The little step between two is laid as bead too, with the paste of a stretch as long.
    """
    points, volumes = [runs[0].points_m], [runs[0].volume_m3]
    for before, run in pairwise(runs):
        step = float(np.linalg.norm(run.points_m[0] - before.points_m[-1]))
        per_m = float(run.volume_m3.sum()) / max(float(run.length_m.sum()), 1e-12)
        volumes += [np.array([step * per_m])] if step > 0 else []
        points.append(run.points_m if step > 0 else run.points_m[1:])
        volumes.append(run.volume_m3)
    return Run(points_m=np.concatenate(points), volume_m3=np.concatenate(volumes))
