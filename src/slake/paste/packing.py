"""Curves of sizes that pack closely, to lay a sieve curve beside."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slake.ground.problems import NotEnoughEvidence, OutsideRange, require_positive
from slake.ground.units import to_si

from .grains import FEWEST_TO_FIT, SieveCurve

CLOSEST, SMALLEST_M = 0.37, to_si(1, "um")
"""Slope at which grains pack closest by that theory (dinger_funk1994, memory), and the smallest grain of a milled
powder: practice, no source."""


def dinger_funk_share(d_m: float, smallest_m: float, largest_m: float, exponent: float) -> float:
    """Share finer than d in a curve that packs closely: (d^q - s^q) / (L^q - s^q), from the smallest to the largest
    grain. Source: dinger_funk1994 (form, memory).
    """
    require_positive(d_m=d_m, smallest_m=smallest_m, largest_m=largest_m, exponent=exponent)
    if smallest_m >= largest_m:
        raise OutsideRange(
            "smallest grain (m)", got=smallest_m, low=0, high=largest_m, do="it must be below the largest grain"
        )
    held_m = min(max(d_m, smallest_m), largest_m)
    span = largest_m**exponent - smallest_m**exponent
    return float((held_m**exponent - smallest_m**exponent) / span)


@dataclass(frozen=True, kw_only=True)
class PackingGap:
    """Where a curve lies farthest from close packing: the opening, and the share finer it has there beyond it."""

    opening_m: float
    share: float


def packing_gap(curve: SieveCurve) -> PackingGap | None:
    """Farthest from the closest packing (q 0.37, grains from 1 um up); None where some lay on the widest sieve, or
    nothing lay between the ends. Source: dinger_funk1994 (form, memory); the smallest grain: practice.
    """
    _, largest_m = curve.largest_between_m
    if largest_m is None:
        return None
    told = [(d, f) for d, f in zip(curve.opening_m, curve.finer, strict=True) if SMALLEST_M < d < largest_m]
    gaps = [(f - dinger_funk_share(d, SMALLEST_M, largest_m, CLOSEST), d) for d, f in told]
    if not gaps:
        return None
    share, opening_m = max(gaps, key=lambda gap: abs(gap[0]))
    return PackingGap(opening_m=opening_m, share=share)


def distribution_exponent(curve: SieveCurve) -> float:
    """Slope q of log share finer over log size, by least squares: about 0.37 packs closest by that theory.

    Holds where the curve is near straight on such axes. Raises NotEnoughEvidence under three openings that let
    something through.
    """
    told = [(math.log(d), math.log(f)) for d, f in zip(curve.opening_m, curve.finer, strict=True) if 0 < f < 1]
    if len(told) < FEWEST_TO_FIT:
        do = "use more sieves between the finest and the coarsest grain"
        raise NotEnoughEvidence("the slope of a sieve curve", have=len(told), need=FEWEST_TO_FIT, do=do)
    mean_x, mean_y = (sum(pair[n] for pair in told) / len(told) for n in (0, 1))
    across = sum((x - mean_x) ** 2 for x, _ in told)
    return sum((x - mean_x) * (y - mean_y) for x, y in told) / across
