"""The printer as it is today, as far as the next batch needs it: nozzle, barrel and what its ram can push."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from slake.ground.numbers import Limits, read_number
from slake.ground.problems import Problem

from .ep import Sites, tilted

USUAL_NOZZLE_MM, USUAL_BARREL_MM, LAND_MM, FILL_MM = 2.0, 60.0, 15.0, 150.0
USUAL_FORCE_N = 150.0
USUAL_FORCE_SD_LOG = 0.45
"""Common practice, no source: small screw drives give 165 to 460 N on paper; plan on 50 to 60 % of it."""
WEIGHED_FORCE_SD_LOG = 0.1
FORCE_FROM_STRESS_SD_LOG = 0.5
SPEED_AND_FRICTION = 1.5
"""Moving at print speed, with the ring's friction, over barely moving (practice: x2-3 at 20 mm/s, less when slow)."""


@dataclass(frozen=True, kw_only=True)
class Machine:
    """force_n: what the ram can push, or None for "don't know".

    pushed, stalled: readings of the stiffest paste it pushed and of one that stalled it, such as
    {"cone_depth_mm": 12} or {"ram_force_n": 140}; a plain number is a cone depth in mm.
    """

    nozzle_mm: float = USUAL_NOZZLE_MM
    barrel_mm: float = USUAL_BARREL_MM
    force_n: float | None = None
    pushed: Mapping[str, float] | float | None = None
    stalled: Mapping[str, float] | float | None = None

    def __post_init__(self) -> None:
        read_number(self.nozzle_mm, "the nozzle", Limits(low=0.2, high=30, unit="mm", do="measure its bore"))
        read_number(self.barrel_mm, "the barrel", Limits(low=3, high=500, unit="mm", do="measure its bore"))
        if self.nozzle_mm >= self.barrel_mm:
            raise Problem(
                f"the nozzle ({self.nozzle_mm:g} mm) is as wide as the barrel ({self.barrel_mm:g} mm): measure both"
            )
        if self.force_n is not None:
            read_number(self.force_n, "the force of the ram", Limits(low=1, high=1e5, unit="N", do="or leave it open"))

    def log_force_per_pa(self, nozzle_mm: float | None = None) -> float:
        """log of N per Pa of yield stress: entry and wall, wall stress taken as half the yield stress (practice)."""
        nozzle = nozzle_mm or self.nozzle_mm
        pressure = 2 * math.sqrt(3) * math.log(self.barrel_mm / nozzle)
        pressure += 2 * (LAND_MM / nozzle + FILL_MM / self.barrel_mm)
        return math.log(SPEED_AND_FRICTION * pressure * math.pi * (self.barrel_mm / 2000) ** 2)

    def bounds(self) -> tuple[tuple[bool, str, float], ...]:
        """(pushed?, reading name, value) for what is known of its limits."""
        found = []
        for pushed, given in ((True, self.pushed), (False, self.stalled)):
            if given is None:
                continue
            readings = given if isinstance(given, Mapping) else {"cone_depth_mm": given}
            found += [(pushed, name, value) for name, value in readings.items()]
        return tuple(found)


@dataclass(frozen=True, kw_only=True)
class Ram:
    """A machine with what is known of the force it has: mean and sd of log N."""

    machine: Machine
    log_force: float
    sd_log: float


def ram(machine: Machine, allowed_n: float | None, limits: list[tuple[bool, str, float, float]]) -> Ram:
    """The force a machine has: stated, else about what the brief allows, else what such printers have; then cut by
    the stiffest paste it pushed and the one that stalled it, given as (pushed?, property, log value, sd).
    """
    if machine.force_n is not None:
        return Ram(machine=machine, log_force=math.log(machine.force_n), sd_log=WEIGHED_FORCE_SD_LOG)
    mean, var = math.log(allowed_n or USUAL_FORCE_N), USUAL_FORCE_SD_LOG**2
    for pushed, channel, value, sd in limits:
        if channel not in ("ram force", "yield stress"):
            raise Problem("what the machine pushed or stalled at must be a cone depth, a slump or a ram force")
        stress = channel == "yield stress"
        edge = value + machine.log_force_per_pa() if stress else value
        soft = math.hypot(sd, FORCE_FROM_STRESS_SD_LOG if stress else 0.05)
        site = Sites(
            low=np.array([edge if pushed else -np.inf]),
            high=np.array([np.inf if pushed else edge]),
            soft=np.array([soft]),
            sure=np.ones(1),
        )
        _, slope, bend = tilted(site, np.array([mean]), np.array([var]))
        mean, var = mean + var * float(slope[0]), var - var**2 * float(bend[0])
    return Ram(machine=machine, log_force=mean, sd_log=math.sqrt(var))
