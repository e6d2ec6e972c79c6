"""A foot made wet: water pressed out of the paste above gathers in it, and fresh paste wets what had dried."""

from __future__ import annotations

import math

from slake.ground.problems import OutsideRange, require_positive


def strength_left(water_slope: float, water_more: float) -> float:
    """Share of strength left when paste takes up so much water per dry solids: exp(-slope x more).

    `water_slope` is the paste's own, between water contents it was read at. Own definition of the slope.
    """
    if not (0 <= water_slope < math.inf and math.isfinite(water_more)):
        raise OutsideRange(
            "what water is worth (per g/g)", got=water_slope, low=0, high=100, do="read it at two waters"
        )
    return math.exp(-min(water_slope * max(water_more, 0.0), 700.0))


def shared_water_per_dry(dry_kg: float, water_per_dry: float, fresh_dry_kg: float, fresh_water_per_dry: float) -> float:
    """Water per dry solids when two layers have evened out: weighed by their solids. Bookkeeping.

    The wettest the dried one can become; how fast depends on the paste.
    """
    require_positive(dry_kg=dry_kg, fresh_dry_kg=fresh_dry_kg)
    return (dry_kg * water_per_dry + fresh_dry_kg * fresh_water_per_dry) / (dry_kg + fresh_dry_kg)


def gathered_water(bleed: float, press_pa: float, layer_pa: float, layers: float, water_per_dry: float) -> float:
    """Water per dry solids the bottom layer gains where all that is pressed out above gathers in it.

    `bleed`: liquid per mass of paste at the pressure of the bleed test, `press_pa`; `layer_pa`: weight of one layer per
    area. Each layer weeps in proportion to the weight on it: b (1 + W) (layer / press) n (n - 1) / 2. Nothing runs off
    and nothing dries: the wettest case. Own bookkeeping; in proportion below the test's pressure, practice.
    """
    require_positive(press_pa=press_pa, layer_pa=layer_pa, water_per_dry=water_per_dry)
    if not 0 <= bleed <= 1:
        raise OutsideRange("liquid it weeps, of its mass", got=bleed, low=0, high=1, do="weigh the paper again")
    return bleed * (1 + water_per_dry) * layer_pa / press_pa * max(layers * (layers - 1), 0.0) / 2
