"""Shrinkage from wet to dry, and how large to draw what shall dry to size."""

from __future__ import annotations

import math

from slake.ground.problems import OutsideRange, require_positive
from slake.ground.units import from_si

WATER_KG_M3 = 998.2
LEAST_SHRINKAGE = -0.05
MOST_SHRINKAGE = 0.6


def _shrinkage(linear_shrinkage: float) -> float:
    if not LEAST_SHRINKAGE <= linear_shrinkage <= MOST_SHRINKAGE:
        raise OutsideRange(
            "linear shrinkage (fraction of the wet length)",
            got=linear_shrinkage,
            low=LEAST_SHRINKAGE,
            high=MOST_SHRINKAGE,
            do="measure the same marks wet and dry again",
        )
    return linear_shrinkage


def linear_shrinkage(wet_m: float, dry_m: float) -> float:
    """Shrinkage as a fraction of the WET length between the same two marks. Source: astm_c326 (form, memory).

    A bar may swell a little (to -5 %); more, or shrinking by more than 60 %, is a misreading.
    """
    if not (0 < wet_m < math.inf and 0 < dry_m < math.inf):
        raise OutsideRange(
            "length between the marks (mm)",
            got=from_si(min(wet_m, dry_m), "mm"),
            low=1,
            high=1e4,
            do="measure it again",
        )
    return _shrinkage((wet_m - dry_m) / wet_m)


def volume_shrinkage(linear_shrinkage: float) -> float:
    """Volume shrinkage, as a fraction of the wet volume, of a piece that shrinks alike in all directions."""
    return 1 - (1 - _shrinkage(linear_shrinkage)) ** 3


def draw_size_m(dried_m: float, linear_shrinkage: float) -> float:
    """How large to draw what shall dry to `dried_m`: divide by (1 - s), never multiply by (1 + s).

    Holds in the direction the shrinkage was measured in: layers often shrink more in height than in plan.
    """
    if not 0 < dried_m < math.inf:
        raise OutsideRange("dried size (mm)", got=from_si(dried_m, "mm"), low=0.1, high=1e5, do="give it above zero")
    return dried_m / (1 - _shrinkage(linear_shrinkage))


def most_linear_shrinkage(water_per_dry: float, density_kg_m3: float) -> float:
    """Largest linear shrinkage a paste can dry with: 1 - (1 - water's share of the volume)^(1/3).

    A piece cannot lose more volume than the water in it, alike in all directions. Own bookkeeping.
    """
    require_positive(water_per_dry=water_per_dry, density_kg_m3=density_kg_m3)
    share = min(density_kg_m3 * water_per_dry / (1 + water_per_dry) / WATER_KG_M3, 1.0)
    return float(1 - (1 - share) ** (1 / 3))
