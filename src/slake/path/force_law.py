"""What pushing takes at a flow, a filled length and an age, in draws of what is not known.

The laws are those of a paste that slides along walls (Benbow-Bridgwater) or sticks to them (Herschel-Bulkley), per
pascal of yield stress. The paste's speed is the flow over the nozzle's bore.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import DoesNotFit
from slake.ground.units import to_si
from slake.paste.pipe import apparent_shear_rate_per_s, plug_share
from slake.paste.ram import Barrel, entry_pressure_pa, land_pressure_pa, ram_force_n, speed_stress_pa

Array = NDArray[np.float64]
REFERENCE_SPEED_M_S = to_si(20, "mm/s")
REFERENCE_RATE_PER_S = 20.0
"""Mean speed over radius of 20 mm/s in a 2 mm bore."""
MOST_GROWTH = 50.0
"""Beyond so much growth of the logarithm nothing is paste any more; it keeps the numbers finite."""


@dataclass(frozen=True, kw_only=True)
class Run:
    """What changes along the path, arrays that broadcast: paste speed in the nozzle, filled length of the barrel."""

    speed_m_s: Array
    fill_m: Array


class Law(Protocol):
    """Pressure per pascal of yield stress. `middle`: the law with the middle of each of its weights, (1,)."""

    def middle(self) -> Law: ...

    def per_pascal(self, run: Run, barrel: Barrel, land_m: Array) -> Array: ...


@dataclass(frozen=True, kw_only=True)
class Sliding:
    """Entry and walls, each (1 + added (V / 20 mm/s)^power) times its slow value; factors over the yield stress, (N,).

    The barrel's wall is taken at the speed in the nozzle, as practice does; it slides far slower, so this is cautious.
    Source: benbow1993.
    """

    entry: Array
    wall: Array
    added: Array
    power: Array

    def middle(self) -> Sliding:
        return replace(self, **{row.name: np.array([np.median(getattr(self, row.name))]) for row in fields(self)})

    def per_pascal(self, run: Run, barrel: Barrel, land_m: Array) -> Array:
        speed = speed_stress_pa(1.0, self.added, run.speed_m_s / REFERENCE_SPEED_M_S, self.power)
        slow = (
            entry_pressure_pa(self.entry, barrel)
            + land_pressure_pa(self.wall, land_m, barrel.nozzle_m)
            + land_pressure_pa(self.wall, run.fill_m, barrel.barrel_m)
        )
        return np.asarray(speed * slow)


@dataclass(frozen=True, kw_only=True)
class Sticking:
    """A paste that sticks to the walls, its entry growing as the land's wall does; factors (N,).

    flow: consistency x (20 / s)^index over the yield stress. Source: herschel_bulkley_tube.
    """

    entry: Array
    flow: Array
    index: Array

    def middle(self) -> Sticking:
        return replace(self, **{row.name: np.array([np.median(getattr(self, row.name))]) for row in fields(self)})

    def per_pascal(self, run: Run, barrel: Barrel, land_m: Array) -> Array:
        nozzle = plug_share(self.flow * _rate(run.speed_m_s, barrel.nozzle_m) ** self.index, self.index)
        slow = run.speed_m_s * (barrel.nozzle_m / barrel.barrel_m) ** 2
        inside = plug_share(self.flow * _rate(slow, barrel.barrel_m) ** self.index, self.index)
        return np.asarray(
            entry_pressure_pa(self.entry / nozzle, barrel)
            + land_pressure_pa(1 / nozzle, land_m, barrel.nozzle_m)
            + land_pressure_pa(1 / inside, run.fill_m, barrel.barrel_m)
        )


def _rate(speed_m_s: Array, bore_m: float) -> Array:
    """Mean speed over radius, a quarter of the apparent shear rate, over the usual one."""
    flow = speed_m_s * math.pi * bore_m**2 / 4
    return np.asarray(apparent_shear_rate_per_s(flow, bore_m / 2) / 4 / REFERENCE_RATE_PER_S)


@dataclass(frozen=True, kw_only=True)
class PushDraws:
    """What is not known of paste and press, one entry per draw, (N,), weighed.

    yield_stress_pa: as it resists the push, at the age the print begins. stiffening_per_s: of its logarithm.
    """

    barrel: Barrel
    law: Law
    yield_stress_pa: Array
    stiffening_per_s: Array
    land_m: Array
    ring_n: Array
    have_n: Array
    weight: Array

    def __post_init__(self) -> None:
        count = len(self.weight)
        for name in ("yield_stress_pa", "stiffening_per_s", "land_m", "ring_n", "have_n"):
            if len(getattr(self, name)) != count:
                raise DoesNotFit(
                    f"{name} has {len(getattr(self, name))} draws where there are {count}: give even draws"
                )

    def need_n(self, at_s: Array, run: Run) -> Array:
        """Force on the ram at k places, (k, N). at_s and the run: (k, 1)."""
        stress = self.yield_stress_pa * np.exp(np.minimum(self.stiffening_per_s * at_s, MOST_GROWTH))
        return ram_force_n(stress * self.law.per_pascal(run, self.barrel, self.land_m), self.barrel, self.ring_n)

    def middle(self) -> PushDraws:
        """One draw: the middle of each number."""
        names = ("yield_stress_pa", "stiffening_per_s", "land_m", "ring_n", "have_n", "weight")
        rows = {name: np.array([np.median(getattr(self, name))]) for name in names}
        return PushDraws(barrel=self.barrel, law=self.law.middle(), **rows)

    @property
    def middle_rate_per_s(self) -> float:
        return float(np.median(self.stiffening_per_s))
