"""A dollop squeezed between two plates under a weight: how wide it comes to rest says its yield stress."""

from __future__ import annotations

import math

from slake.ground.problems import require_positive


def squeeze_yield_stress_pa(force_n: float, volume_m3: float, radius_m: float) -> float:
    """Yield stress from the radius of the disc at rest: 3 F V / (2 pi^2 R^5).

    Holds for a disc much wider than thick on plates it does not slip on, given time to stop. Slip makes it read low;
    a thick disc makes it read high (see `squeeze_edge_factor`). Source: covey_stanmore1981.
    """
    require_positive(force_n=force_n, volume_m3=volume_m3, radius_m=radius_m)
    return 3 * force_n * volume_m3 / (2 * math.pi**2 * radius_m**5)


def squeeze_radius_m(force_n: float, volume_m3: float, yield_stress_pa: float) -> float:
    """Radius at rest: the exact inverse of `squeeze_yield_stress_pa`."""
    require_positive(force_n=force_n, volume_m3=volume_m3, yield_stress_pa=yield_stress_pa)
    return float((3 * force_n * volume_m3 / (2 * math.pi**2 * yield_stress_pa)) ** 0.2)


def radius_per_height(volume_m3: float, radius_m: float) -> float:
    """Radius of a disc or cake per its mean height. Geometry."""
    require_positive(volume_m3=volume_m3, radius_m=radius_m)
    return math.pi * radius_m**3 / volume_m3


def squeeze_edge_factor(volume_m3: float, radius_m: float) -> float:
    """By how much, at most, the thin-disc formula reads high: 1 + (3 sqrt3 / 2) height / radius.

    It leaves out the stress that shortens the disc itself. Derived from the plastic upper bound with an even
    squeeze and sticking plates; not compared with a measurement.
    """
    return 1 + 1.5 * math.sqrt(3) / radius_per_height(volume_m3, radius_m)
