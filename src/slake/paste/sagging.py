"""Beads laid over nothing: the span at which they yield, and how far they hang."""

from __future__ import annotations

import math

from slake.ground.problems import require_positive
from slake.ground.units import GRAVITY_M_S2

HINGED_ELASTIC = 4 / 3
"""First yield at the middle of a bead that only rests at its ends: 6 M / (b h^2) with M = rho g b h L^2 / 8."""
HINGED_PLASTIC = 2.0
"""The same yielded through: M = strength b h^2 / 4."""
BUILT_IN_PLASTIC = 4.0
"""Yielded through at middle and both ends: rho g b h L^2 / 16 = strength b h^2 / 4."""


def span_limit_m(first_yield_pa: float, bead_height_m: float, density_kg_m3: float, form: float) -> float:
    """Span at which one fresh bead yields under its own weight: sqrt(form strength h / (rho g)).

    `form`: HINGED_ELASTIC (earliest), HINGED_PLASTIC or BUILT_IN_PLASTIC (latest). A straight bead as a beam of
    rectangular section; small sag; nothing laid on it yet. Theory of plasticity of beams.
    """
    require_positive(first_yield_pa=first_yield_pa, bead_height_m=bead_height_m, density_kg_m3=density_kg_m3)
    return math.sqrt(form * first_yield_pa * bead_height_m / (density_kg_m3 * GRAVITY_M_S2))


def span_factor(first_yield_pa: float, bead_height_m: float, density_kg_m3: float, span_m: float, form: float) -> float:
    """How many times its own weight a fresh bead over a span bears: form strength h / (rho g L^2)."""
    return (span_limit_m(first_yield_pa, bead_height_m, density_kg_m3, form) / max(span_m, 1e-9)) ** 2


def droop_m(modulus_pa: float, bead_height_m: float, density_kg_m3: float, span_m: float) -> float:
    """How far the middle of a bead that rests at its ends hangs before it yields: 5 rho g L^4 / (32 E h^2).

    Elastic, small; built-in ends hang a fifth of it. Theory of beams.
    """
    require_positive(modulus_pa=modulus_pa, bead_height_m=bead_height_m, density_kg_m3=density_kg_m3)
    return 5 * density_kg_m3 * GRAVITY_M_S2 * span_m**4 / (32 * modulus_pa * bead_height_m**2)
