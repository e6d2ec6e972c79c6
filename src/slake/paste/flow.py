"""What a fall cone, a slump and a spread say of the yield stress. Gravity is 9.81 m/s2 throughout."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from scipy.optimize import brentq

from slake.ground.evidence import Evidence, above, below, exact
from slake.ground.problems import OutsideRange, Problem, require_positive
from slake.ground.units import GRAVITY_M_S2, from_si, to_si


@dataclass(frozen=True, kw_only=True)
class ConeFactor:
    """Cone factor of one angle with the spread published for it; the spread is shared by all its readings."""

    angle_deg: float
    mid: float
    low: float
    high: float
    source: str


CONE_FACTORS: Mapping[int, ConeFactor] = MappingProxyType(
    {
        30: ConeFactor(angle_deg=30, mid=0.80, low=0.50, high=1.33, source="iso17892_6"),
        60: ConeFactor(angle_deg=60, mid=0.27, low=0.17, high=0.45, source="iso17892_6"),
    }
)
"""0.80 and 0.27: memory of ISO 17892-6. 0.50 to 1.33 for 30 deg: read (cone2019). For 60 deg no spread could be
read: the same ratios are taken, which is a guess and is said where it is used."""


def cone_factor(angle_deg: float) -> ConeFactor:
    """The factor of a cone angle. Raises Problem for an angle that has none."""
    found = next((factor for angle, factor in CONE_FACTORS.items() if abs(angle_deg - angle) < 0.5), None)
    if found is None:
        raise Problem(
            f"a cone of {angle_deg:g} deg has no known factor: use one of 30 or 60 deg, or type your own factor"
        )
    return found


def fall_cone_yield_stress_pa(mass_kg: float, depth_m: float, cone_factor: float) -> float:
    """Yield stress from how deep a cone of this mass sinks, dropped from touching the surface.

    Holds while the cone stops within the cup and its own length, in a paste without voids; about 7 to 20 mm is
    the aim. The factor is the whole calibration: published ones for 30 deg run from 0.5 to 1.33, so the absolute
    value is known to about 40 % and comparisons far better. Source: hansbo1957. Raises OutsideRange.
    """
    require_positive(mass_kg=mass_kg, depth_m=depth_m, cone_factor=cone_factor)
    return cone_factor * mass_kg * GRAVITY_M_S2 / depth_m**2


def fall_cone_depth_m(mass_kg: float, yield_stress_pa: float, cone_factor: float) -> float:
    """How deep the cone sinks: the exact inverse of `fall_cone_yield_stress_pa`."""
    require_positive(mass_kg=mass_kg, yield_stress_pa=yield_stress_pa, cone_factor=cone_factor)
    return math.sqrt(cone_factor * mass_kg * GRAVITY_M_S2 / yield_stress_pa)


FLATTEST = 0.999
"""Slump per height above which a cylinder lies flat and is read as a spread."""


def slump_share(yield_per_weight: float) -> float:
    """Slump per height of a cylinder from yield stress per (density x gravity x height), Tresca.

    1 - 2t(1 - ln 2t); exactly zero from t = 0.5 up, where the cylinder does not yield under its own weight.
    Source: pashias1996.
    """
    if yield_per_weight >= 0.5:
        return 0.0
    require_positive(yield_per_weight=yield_per_weight)
    return 1 - 2 * yield_per_weight * (1 - math.log(2 * yield_per_weight))


def slump_from_yield_stress_m(yield_stress_pa: float, density_kg_m3: float, height_m: float) -> float:
    """Slump of a cylinder about as wide as tall (diameter to height 0.8 to 1.2) lifted slowly off soft paste.

    Source: pashias1996. Zero at and above density x gravity x height / 2: the test is blind there.
    """
    require_positive(yield_stress_pa=yield_stress_pa, density_kg_m3=density_kg_m3, height_m=height_m)
    return height_m * slump_share(yield_stress_pa / (density_kg_m3 * GRAVITY_M_S2 * height_m))


def yield_stress_from_slump_pa(slump_m: float, density_kg_m3: float, height_m: float) -> float:
    """Yield stress (Tresca) whose cylinder slump this is: the exact inverse, found by bracketing.

    Not the square-root shortcut 0.5 - 0.5 sqrt(s), which reads 46 % high at a slump of 0.4 of the height.
    Raises OutsideRange for a slump of zero or less (blind: see `slump_blind_above_pa`) or of the whole height.
    """
    require_positive(density_kg_m3=density_kg_m3, height_m=height_m)
    if not 0 < slump_m / height_m < FLATTEST:
        raise OutsideRange(
            "slump (mm)",
            got=from_si(slump_m, "mm"),
            low=0,
            high=from_si(FLATTEST * height_m, "mm"),
            do="a cylinder that did not slump only says “above”; one that lies flat is a spread: measure its diameter",
        )
    return yield_share(slump_m / height_m) * density_kg_m3 * GRAVITY_M_S2 * height_m


def yield_share(slump_share_seen: float) -> float:
    """The exact inverse of `slump_share`, found by bracketing; for slumps above 0 and below 0.999."""
    if not 0 < slump_share_seen < FLATTEST:
        raise OutsideRange(
            "slump per height",
            got=slump_share_seen,
            low=0,
            high=FLATTEST,
            do="outside these it only says above or below",
        )
    return float(brentq(lambda t: slump_share(t) - slump_share_seen, 1e-9, 0.5, xtol=1e-15, rtol=1e-14))


def von_mises_yield_stress_pa(tresca_pa: float) -> float:
    """A yield stress read the Tresca way (as a cylinder slump is) said the von Mises way: times 2/sqrt3.

    Plasticity, derived. Spread and standing height here are von Mises: compare a slump with them this way.
    """
    require_positive(tresca_pa=tresca_pa)
    return 2 / math.sqrt(3) * tresca_pa


def slump_blind_above_pa(density_kg_m3: float, height_m: float, resolution_m: float) -> float:
    """The stiffest paste this cylinder can still tell apart, given the smallest slump a ruler shows.

    A slump below `resolution_m` says only that the yield stress is above this. With a resolution of zero it is
    density x gravity x height / 2.
    """
    if resolution_m == 0:
        require_positive(density_kg_m3=density_kg_m3, height_m=height_m)
        return density_kg_m3 * GRAVITY_M_S2 * height_m / 2
    return yield_stress_from_slump_pa(resolution_m, density_kg_m3, height_m)


ABRAMS_LOWEST_M = to_si(5, "cm")
ABRAMS_HIGHEST_M = to_si(25, "cm")
ABRAMS_OFFSET_M = to_si(25.5, "cm")
ABRAMS_SLOPE_M = to_si(17.6, "cm")


def abrams_slump_m(yield_stress_pa: float, density_kg_m3: float) -> float:
    """Slump of the concrete cone (100/200/300 mm): s in cm = 25.5 - 17.6 (Pa per kg/m3).

    Holds for slumps of about 5 to 25 cm; outside, the straight line is not the paste's. Source: roussel2006
    (memory: the coefficients were not seen in print).
    """
    require_positive(yield_stress_pa=yield_stress_pa, density_kg_m3=density_kg_m3)
    return ABRAMS_OFFSET_M - ABRAMS_SLOPE_M * yield_stress_pa / density_kg_m3


def yield_stress_from_abrams_slump_pa(slump_m: float, density_kg_m3: float) -> float:
    """Inverse of `abrams_slump_m`. Raises OutsideRange outside 5 to 25 cm."""
    require_positive(density_kg_m3=density_kg_m3)
    if not ABRAMS_LOWEST_M - 1e-12 <= slump_m <= ABRAMS_HIGHEST_M + 1e-12:
        raise OutsideRange(
            "slump of the concrete cone (cm)",
            got=from_si(slump_m, "cm"),
            low=from_si(ABRAMS_LOWEST_M, "cm"),
            high=from_si(ABRAMS_HIGHEST_M, "cm"),
            do="outside these it only says above or below",
        )
    return (ABRAMS_OFFSET_M - slump_m) / ABRAMS_SLOPE_M * density_kg_m3


def abrams_evidence(slump_m: float, density_kg_m3: float, scatter_log: float) -> Evidence:
    """What a concrete-cone slump says of the yield stress: exact from 5 to 25 cm, else only above or below.

    Raises OutsideRange for a slump below zero or above the cone's own 30 cm.
    """
    if not 0 <= slump_m <= to_si(30, "cm"):
        raise OutsideRange(
            "slump of the concrete cone (cm)", got=from_si(slump_m, "cm"), low=0, high=30, do="the cone is 30 cm tall"
        )
    if slump_m < ABRAMS_LOWEST_M - 1e-12:
        limit = yield_stress_from_abrams_slump_pa(ABRAMS_LOWEST_M, density_kg_m3)
        return above("yield_stress_pa", limit, scatter_log)
    if slump_m > ABRAMS_HIGHEST_M + 1e-12:
        limit = yield_stress_from_abrams_slump_pa(ABRAMS_HIGHEST_M, density_kg_m3)
        return below("yield_stress_pa", limit, scatter_log)
    return exact("yield_stress_pa", yield_stress_from_abrams_slump_pa(slump_m, density_kg_m3), scatter_log)


def mould_volume_m3(top_diameter_m: float, base_diameter_m: float, height_m: float) -> float:
    """Volume of a cut cone; a cylinder where both diameters are one. Geometry."""
    require_positive(top_diameter_m=top_diameter_m, base_diameter_m=base_diameter_m, height_m=height_m)
    top, base = top_diameter_m / 2, base_diameter_m / 2
    return math.pi * height_m * (top**2 + top * base + base**2) / 3


def spread_yield_stress_pa(volume_m3: float, density_kg_m3: float, radius_m: float) -> float:
    """Yield stress read from the thin round cake a paste spreads into.

    Holds for a cake much wider than tall (radius over mean height at least 5). Source: roussel_coussot2005.
    Raises OutsideRange for a tall cake.
    """
    require_positive(volume_m3=volume_m3, density_kg_m3=density_kg_m3, radius_m=radius_m)
    slenderness = math.pi * radius_m**3 / volume_m3
    if slenderness < 5:
        raise OutsideRange(
            "radius per mean height of the spread", got=slenderness, low=5, high=1e4, do="read it as a slump instead"
        )
    return 225 * density_kg_m3 * GRAVITY_M_S2 * volume_m3**2 / (128 * math.pi**2 * radius_m**5)


def spread_radius_m(volume_m3: float, density_kg_m3: float, yield_stress_pa: float) -> float:
    """Radius of the cake: the inverse of `spread_yield_stress_pa`, with the same limit."""
    require_positive(volume_m3=volume_m3, density_kg_m3=density_kg_m3, yield_stress_pa=yield_stress_pa)
    weight = 225 * density_kg_m3 * GRAVITY_M_S2 * volume_m3**2
    radius_m = float((weight / (128 * math.pi**2 * yield_stress_pa)) ** 0.2)
    spread_yield_stress_pa(volume_m3, density_kg_m3, radius_m)
    return radius_m


def spread_surface_tension_pa(volume_m3: float, radius_m: float, tension_n_m: float = 0.005) -> float:
    """What surface tension adds to a spread reading of a very soft paste, to be taken off it.

    0.005 N/m is from memory; that the term is needed is read. Source: roussel_stefani2005.
    """
    require_positive(volume_m3=volume_m3, radius_m=radius_m)
    return tension_n_m * radius_m**2 / volume_m3
