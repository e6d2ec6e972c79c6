"""What a verdict is asked of: the paste, the press as it is, and what is to be printed. All SI."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from slake.paste.grains import GRAINS_PER_NOZZLE
from slake.paste.ram import Barrel

from . import practice
from .law import Law, usual_law
from .spread import Spread


@dataclass(frozen=True, kw_only=True)
class Paste:
    """The paste now. Whatever is not known stands at its usual value, wide.

    yield_stress_pa: as the cone reads it; the cone's own calibration error is a weight of the force law.
    stiffening_per_s: rate of ln(yield stress). modulus_on_reading: modulus_per_yield is over the yield stress as the
    same cone read it (from this paste's folded wall), so the cone's calibration cancels in it.
    water_slope: fall of ln(yield stress) per g of water more to each g of dry solids; water_more: that many g more
    than when it was read, less where negative.
    """

    yield_stress_pa: Spread = practice.YIELD_STRESS
    density_kg_m3: Spread = practice.DENSITY
    stiffening_per_s: Spread = practice.STIFFENING
    modulus_per_yield: Spread = practice.MODULUS_PER_YIELD
    modulus_on_reading: bool = False
    air_fraction: Spread = practice.AIR
    bleed: Spread = practice.BLEED
    largest_grain_m: Spread = practice.GRAIN
    longest_fibre_m: Spread = practice.FIBRE_OF_PLANTS
    water_slope: Spread = practice.WATER_SLOPE
    water_more: float = 0.0

    @property
    def stiffness_pa(self) -> Spread:
        """Yield stress with the water changed: its effect is known to a factor, so the more, the wider."""
        slope, more = self.water_slope, self.water_more
        return self.yield_stress_pa.times(math.exp(-slope.mid * more), slope.mid * slope.sd_log * abs(more))


@dataclass(frozen=True, kw_only=True)
class Lengths:
    """The press apart from its bores: land of the nozzle, filled length of the barrel, speed of the bead."""

    land_m: Spread = practice.LAND
    fill_m: Spread = practice.FILL
    speed_m_s: Spread = practice.SPEED


@dataclass(frozen=True, kw_only=True)
class Tried:
    """A paste this machine once pushed, or that stalled it, with the press as it was then."""

    pushed: bool
    yield_stress_pa: Spread
    barrel: Barrel
    lengths: Lengths


@dataclass(frozen=True, kw_only=True)
class Press:
    """The machine: bores, lengths, the force it has, and what it was seen to push or stall at."""

    barrel: Barrel
    lengths: Lengths = field(default_factory=Lengths)
    force_n: Spread = practice.FORCE
    tried: tuple[Tried, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Wall:
    """What shall stand. closed: a ring or box; the figures are those of a straight free wall, a lower bound for it."""

    height_m: float
    wall_m: float
    closed: bool = False


@dataclass(frozen=True, kw_only=True)
class Plan:
    """The print: the wall, None where nothing is said; waiting before the load; standing pauses; the bead laid.

    wait_s: still to be waited; aged_s: what has gone by since the stiffness was read.
    bead_m2: cross-section of the bead, None for the nozzle's own bore. print_s: how long it runs, None for the time
    a full barrel lasts; print_at_m_s: speed of the bead that print_s was stated at, None for the one there is.
    """

    wall: Wall | None = None
    print_s: float | None = None
    print_at_m_s: float | None = None
    wait_s: float = 0.0
    aged_s: float = 0.0
    pause_s: float = 0.0
    bead_m2: float | None = None
    grains_per_nozzle: float = GRAINS_PER_NOZZLE
    target: float = practice.TARGET


@dataclass(frozen=True, kw_only=True)
class Question:
    """Will this paste run and stand on this machine?"""

    paste: Paste
    press: Press
    plan: Plan = field(default_factory=Plan)
    law: Law = field(default_factory=usual_law)

    @property
    def prints_s(self) -> float | None:
        """How long a stated print runs at the speed there is; None where nothing was stated."""
        at, now = self.plan.print_at_m_s, self.press.lengths.speed_m_s.mid
        return self.plan.print_s if self.plan.print_s is None or at is None else self.plan.print_s * at / now

    @property
    def bead_m2(self) -> float:
        if self.plan.bead_m2 is not None:
            return self.plan.bead_m2
        return math.pi * self.press.barrel.nozzle_m**2 / 4
