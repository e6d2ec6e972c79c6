"""Curves of sizes that pack closely, to lay a sieve curve beside."""

from __future__ import annotations

import math

from slake.ground.problems import NotEnoughEvidence, OutsideRange, require_positive

from .grains import FEWEST_TO_FIT, SieveCurve


def andreasen_share(d_m: float, largest_m: float, exponent: float) -> float:
    """Share finer than d in a curve that packs closely: (d / largest)^q. Source: dinger_funk1994 (form, memory)."""
    require_positive(d_m=d_m, largest_m=largest_m, exponent=exponent)
    return float(min(d_m / largest_m, 1.0) ** exponent)


def dinger_funk_share(d_m: float, smallest_m: float, largest_m: float, exponent: float) -> float:
    """The same with a smallest grain: (d^q - s^q) / (L^q - s^q). Source: dinger_funk1994 (form, memory)."""
    require_positive(d_m=d_m, smallest_m=smallest_m, largest_m=largest_m, exponent=exponent)
    if smallest_m >= largest_m:
        raise OutsideRange(
            "smallest grain (m)", got=smallest_m, low=0, high=largest_m, do="it must be below the largest grain"
        )
    held_m = min(max(d_m, smallest_m), largest_m)
    span = largest_m**exponent - smallest_m**exponent
    return float((held_m**exponent - smallest_m**exponent) / span)


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
