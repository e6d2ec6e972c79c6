"""The printer as it is today, as far as the next batch needs it: nozzle, barrel and what its ram can push."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from slake.ground.numbers import Limits, read_number
from slake.ground.problems import Problem

USUAL_NOZZLE_MM, USUAL_BARREL_MM, LAND_MM, FILL_MM = 2.0, 60.0, 15.0, 150.0
USUAL_FORCE_N = 150.0
USUAL_FORCE_SD_LOG = 0.45
"""Common practice, no source: small screw drives give 165 to 460 N on paper; plan on 50 to 60 % of it."""
WEIGHED_FORCE_SD_LOG = 0.1
SPEED_AND_FRICTION = 1.5
"""Moving at print speed, with the ring's friction, over barely moving (practice: x2-3 at 20 mm/s, less when slow)."""


@dataclass(frozen=True, kw_only=True)
class Machine:
    """force_n: what the ram can push, or None for "don't know".

    pushed, stalled: readings of the stiffest paste it pushed and of one that stalled it, such as
    {"cone_depth_mm": 12} or {"ram_force_n": 140}; a plain number is a cone depth in mm. usual_force_n: what to expect
    where the force is not known, None for what such printers have.
    """

    nozzle_mm: float = USUAL_NOZZLE_MM
    barrel_mm: float = USUAL_BARREL_MM
    force_n: float | None = None
    pushed: Mapping[str, float] | float | None = None
    stalled: Mapping[str, float] | float | None = None
    usual_force_n: float | None = None

    def __post_init__(self) -> None:
        read_number(self.nozzle_mm, "the nozzle", Limits(low=0.2, high=30, unit="mm", do="measure its bore"))
        read_number(self.barrel_mm, "the barrel", Limits(low=3, high=500, unit="mm", do="measure its bore"))
        if self.nozzle_mm >= self.barrel_mm:
            raise Problem(
                f"the nozzle ({self.nozzle_mm:g} mm) is as wide as the barrel ({self.barrel_mm:g} mm): measure both bores"
            )
        if self.force_n is not None:
            read_number(self.force_n, "the force of the ram", Limits(low=1, high=1e5, unit="N", do="or leave it open"))

    @property
    def force_prior(self) -> tuple[float, float]:
        """(log N, sd): known, or what such printers have."""
        if self.force_n is None:
            return math.log(self.usual_force_n or USUAL_FORCE_N), USUAL_FORCE_SD_LOG
        return math.log(self.force_n), WEIGHED_FORCE_SD_LOG

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
