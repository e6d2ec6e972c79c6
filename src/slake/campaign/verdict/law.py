"""Force laws of a ram, per pascal of yield stress: Benbow-Bridgwater with a slipping wall, Herschel-Bulkley without.

Their weights are logarithms about usual values (practice). `weights` is (W, N): one column per draw.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.units import to_si
from slake.paste.pipe import apparent_shear_rate_per_s, plug_share
from slake.paste.ram import Barrel, entry_pressure_pa, land_pressure_pa, speed_stress_pa

from . import practice
from .spread import Spread

Array = NDArray[np.float64]
REFERENCE_SPEED_M_S = to_si(20, "mm")
REFERENCE_RATE_PER_S = 20.0
"""Mean speed over radius of 20 mm/s in a 2 mm bore."""
CONE, RING, OWN, ENTRY = 0, 1, 2, 3
WALL, SPEEDED, POWER = 4, 5, 6
FLOW, INDEX = 4, 5
MOST_WEIGHTS = 7
"""First in every law: the cone's calibration, the ring's friction, and what this one paste does by itself."""
ENTRY_PRIOR = (math.log(math.sqrt(3)), 0.25)
BENBOW_PRIOR = (ENTRY_PRIOR, (math.log(0.5), 0.4), (math.log(1.45), 0.35), (math.log(0.4), 0.3))
"""Wall stress half the yield stress; force 2 to 3 times the slow one at 20 mm/s, growing with speed to the 0.4."""
HERSCHEL_PRIOR = (ENTRY_PRIOR, (math.log(0.4), 0.6), (math.log(0.4), 0.3))
OTHER_PASTE_SD_LOG = 0.2
"""What one paste does by itself that the law's weights, learnt from others, do not know."""


@dataclass(frozen=True, kw_only=True)
class Runs:
    """Bores, and the lengths and speed of each draw."""

    barrel: Barrel
    land_m: Array
    fill_m: Array
    speed_m_s: Array


PerPascal = Callable[[Array, Runs], Array]


def benbow(weights: Array, runs: Runs) -> Array:
    """Pressure per pascal of yield stress: entry and walls, each (1 + c (V / 20 mm/s)^m) times its slow value.

    The barrel's wall is taken at the speed of the bead, as practice does; it slides far slower, so this is cautious.
    """
    entry, wall, added, power = np.exp(weights[[ENTRY, WALL, SPEEDED, POWER]])
    speed = speed_stress_pa(1.0, added, runs.speed_m_s / REFERENCE_SPEED_M_S, power)
    return (
        entry_pressure_pa(entry * speed, runs.barrel)
        + land_pressure_pa(wall * speed, runs.land_m, runs.barrel.nozzle_m)
        + land_pressure_pa(wall * speed, runs.fill_m, runs.barrel.barrel_m)
    )


def herschel(weights: Array, runs: Runs) -> Array:
    """Pressure per pascal of yield stress of a paste that sticks to the walls; the entry grows as the land's wall."""
    entry, flow, index = np.exp(weights[[ENTRY, FLOW, INDEX]])
    nozzle = plug_share(flow * _rate(runs.speed_m_s, runs.barrel.nozzle_m) ** index, index)
    slow = runs.speed_m_s * (runs.barrel.nozzle_m / runs.barrel.barrel_m) ** 2
    barrel = plug_share(flow * _rate(slow, runs.barrel.barrel_m) ** index, index)
    return (
        entry_pressure_pa(entry / nozzle, runs.barrel)
        + land_pressure_pa(1 / nozzle, runs.land_m, runs.barrel.nozzle_m)
        + land_pressure_pa(1 / barrel, runs.fill_m, runs.barrel.barrel_m)
    )


def _rate(speed_m_s: Array, bore_m: float) -> Array:
    """Mean speed over radius, a quarter of the apparent shear rate, over the usual one."""
    flow = speed_m_s * math.pi * bore_m**2 / 4
    return np.asarray(apparent_shear_rate_per_s(flow, bore_m / 2) / 4 / REFERENCE_RATE_PER_S)


@dataclass(frozen=True, kw_only=True)
class Law:
    """A force law with its weights: mean, and a root of their covariance, row by row. `why` says why this one."""

    title: str
    per_pascal: PerPascal
    mean: tuple[float, ...]
    root: tuple[tuple[float, ...], ...]
    why: str

    def weights(self, normals: Array) -> Array:
        """(W, N) weights from (N, W or more) standard normal draws."""
        return np.asarray(np.array(self.mean)[:, None] + np.array(self.root) @ normals.T[: len(self.mean)])


def prior(
    per_pascal: PerPascal, ring: Spread = practice.RING, cone_sd_log: float = practice.CONE_SD_LOG
) -> tuple[Array, Array]:
    """Means and sds of all weights before any push: cone, ring, this paste by itself, then the law's own."""
    own = HERSCHEL_PRIOR if per_pascal is herschel else BENBOW_PRIOR
    pairs = np.array([(0.0, cone_sd_log), (math.log(max(ring.mid, 0.1)), ring.sd_log), (0.0, OTHER_PASTE_SD_LOG), *own])
    return pairs[:, 0], pairs[:, 1]


def usual_law(ring: Spread = practice.RING, cone_sd_log: float = practice.CONE_SD_LOG) -> Law:
    """What practice says where this machine's own pushes say nothing yet."""
    mean, sd = prior(benbow, ring, cone_sd_log)
    why = (
        "no push of this machine with a stiffness beside it yet, so entry and wall are usual ones: wall stress "
        "half the yield stress, 2 to 3 times the slow force at 20 mm/s (common practice, no source)"
    )
    return rooted(benbow, mean, np.diag(sd), why)


def rooted(per_pascal: PerPascal, mean: Array, root: Array, why: str, title: str = "Benbow-Bridgwater") -> Law:
    return Law(
        title=title,
        per_pascal=per_pascal,
        mean=tuple(map(float, mean)),
        root=tuple(tuple(map(float, row)) for row in root),
        why=why,
    )
