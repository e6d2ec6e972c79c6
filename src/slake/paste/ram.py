"""What a ram must push and what its drive gives: entry, land, barrel wall and ring; screw, torque and lead.

No published value exists for the extrusion force of a known paste with a measured pressure; none could be read.
These laws are checked as code, and a machine is trusted only as far as its own pushes bear it out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import OutsideRange, require_positive

Values = float | NDArray[np.float64]
DRIVE_LOW, DRIVE_HIGH = 0.25, 0.66
"""Usual share of a screw's ideal force that arrives, plain to ball-like; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Barrel:
    """The bores paste runs through: barrel, then nozzle. Both round."""

    barrel_m: float
    nozzle_m: float

    def __post_init__(self) -> None:
        require_positive(barrel_m=self.barrel_m, nozzle_m=self.nozzle_m)
        if self.nozzle_m >= self.barrel_m:
            raise OutsideRange(
                "nozzle bore (m)", got=self.nozzle_m, low=1e-4, high=self.barrel_m, do="it must be narrower"
            )

    @property
    def area_m2(self) -> float:
        return math.pi * self.barrel_m**2 / 4

    @property
    def nozzle_area_m2(self) -> float:
        return math.pi * self.nozzle_m**2 / 4

    @property
    def log_ratio(self) -> float:
        return math.log(self.barrel_m / self.nozzle_m)


def entry_pressure_pa(entry_stress_pa: Values, barrel: Barrel) -> NDArray[np.float64]:
    """Pressure to draw the paste from barrel to nozzle: 2 x stress x ln(barrel / nozzle). Source: benbow1993.

    entry_stress_pa: how much the paste resists being stretched; sqrt3 x yield stress where it barely moves.
    """
    return np.asarray(2 * entry_stress_pa * barrel.log_ratio)


def land_pressure_pa(wall_stress_pa: Values, length_m: Values, bore_m: float) -> NDArray[np.float64]:
    """Pressure to slide paste along a straight round wall: 4 x wall stress x length / bore. Statics.

    The same law for the nozzle's land and for the filled length of the barrel.
    """
    require_positive(bore_m=bore_m)
    return np.asarray(4 * wall_stress_pa * length_m / bore_m)


def speed_stress_pa(still_pa: Values, added_pa: Values, speed_ratio: Values, exponent: Values) -> NDArray[np.float64]:
    """Stress of entry or wall at speed: still + added x (speed / reference speed)^exponent. Source: benbow1993."""
    return np.asarray(still_pa + added_pa * np.power(speed_ratio, exponent))


def ram_force_n(pressure_pa: Values, barrel: Barrel, ring_n: Values) -> NDArray[np.float64]:
    """Force on the ram: pressure on the whole barrel bore, and what the ring takes by itself. Statics."""
    return np.asarray(pressure_pa * barrel.area_m2 + ring_n)


def screw_force_n(torque_n_m: float, lead_m: float, drive_efficiency: float) -> float:
    """Force a driven screw gives: 2 pi x efficiency x torque / lead. Energy over one turn.

    drive_efficiency: 0.25 to 0.66 is usual (common practice, no source); fine leads lie at the low end.
    """
    require_positive(torque_n_m=torque_n_m, lead_m=lead_m, drive_efficiency=drive_efficiency)
    if drive_efficiency > 1:
        raise OutsideRange("drive efficiency", got=drive_efficiency, low=0.01, high=1, do="give it as a share, below 1")
    return 2 * math.pi * drive_efficiency * torque_n_m / lead_m
