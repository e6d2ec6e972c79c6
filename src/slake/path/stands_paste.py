"""The paste a stack is laid of from ranges: draws of what was read, or of usual values where nothing was."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Z80, Range
from slake.ground.problems import DoesNotFit, OutsideRange
from slake.ground.units import to_si
from slake.paste.ageing import POT_LIFE_GROWTH
from slake.paste.strength_by_age import Growing

from .standing import Laid, laid_of_yield_stress

Array = NDArray[np.float64]
UNKNOWNS = 4
DRAWS = 200


def _between(low: float, high: float) -> Range:
    return Range(low=low, mid=math.sqrt(low * high), high=high)


USUAL_MODULUS_PER_YIELD = _between(20.0, 1500.0)
"""Stiffness over yield stress of fresh paste: published prints run from about 20 to 1500, taken as the 80 % range."""
USUAL_GROWTH_PER_S = _between(math.log(POT_LIFE_GROWTH) / to_si(4, "h"), math.log(POT_LIFE_GROWTH) / to_si(1, "h"))
"""Pot life: a quarter stiffer after 1 to 4 h. Growth of ln(yield stress) per second. Common practice, no source."""
USUAL_DENSITY_KG_M3 = _between(1050.0, 1550.0)
"""Cellulose pastes to shell pastes: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class PasteRanges:
    """Paste by 80 % ranges, each above zero: yield stress in shear when laid, growth of its logarithm per second at
    rest, stiffness over yield stress, density. What nobody read is the usual range.
    """

    yield_stress_pa: Range
    growth_per_s: Range = USUAL_GROWTH_PER_S
    modulus_per_yield: Range = USUAL_MODULUS_PER_YIELD
    density_kg_m3: Range = USUAL_DENSITY_KG_M3


def laid_of_ranges(ranges: PasteRanges, normals: Array) -> Laid:
    """Draws of the paste, one per row of `normals` (D, 4): independent, normal in the logarithm, split at the middle.

    A modulus read together with the yield stress is known better than this: give its draws to `laid_of_yield_stress`.
    """
    if normals.ndim != 2 or normals.shape[1] != UNKNOWNS or len(normals) == 0:
        raise DoesNotFit(f"draws of a paste need {UNKNOWNS} columns, one per unknown, and a row at least")
    stress, growth, ratio, density = (
        drawn(one, normals[:, i])
        for i, one in enumerate(
            (ranges.yield_stress_pa, ranges.growth_per_s, ranges.modulus_per_yield, ranges.density_kg_m3)
        )
    )
    return laid_of_yield_stress(Growing(at_laying=stress, log_per_s=growth), ratio, density)


def drawn(known: Range, normals: Array) -> Array:
    """Draws whose 80 % range is the one given and whose median is its middle: the two halves of its logarithm apart."""
    if not 0 < known.low <= known.mid <= known.high < math.inf:
        raise OutsideRange("the low end of a range", got=known.low, low=1e-12, high=1e12, do="give one above zero")
    down, up = math.log(known.mid / known.low) / Z80, math.log(known.high / known.mid) / Z80
    return np.asarray(known.mid * np.exp(normals * np.where(normals < 0, down, up)))
