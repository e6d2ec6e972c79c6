"""Water left in a shape whose faces are held dry: the series of diffusion, and the one that follows steady drying.

A Fourier number is diffusivity x time / length^2, the length a slab's full thickness or a radius. No shrinking, one
diffusivity.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.special import jn_zeros

from slake.ground.problems import OutsideRange, require_positive

FloatArray = NDArray[np.float64]
_ODD = 2.0 * np.arange(200) + 1
_SHORT = 1e-3
"""Under it the series want more terms than are kept; the law of a half-space is then true to 1e-6."""


def fourier(diffusivity_m2_s: float, since_s: float, length_m: float) -> float:
    """D t / L^2. Definition."""
    require_positive(diffusivity_m2_s=diffusivity_m2_s, length_m=length_m)
    if not 0 <= since_s < math.inf:
        raise OutsideRange("time (s)", got=since_s, low=0, high=1e8, do="it is zero or more")
    return diffusivity_m2_s * since_s / length_m**2


def _require(fourier_number: float) -> None:
    if not 0 <= fourier_number < math.inf:
        raise OutsideRange("the Fourier number", got=fourier_number, low=0, high=1e6, do="it is zero or more")


def slab_left(fourier_number: float) -> float:
    """Share left in an evenly wet slab, both faces dry: 8/pi^2 sum exp(-(2n+1)^2 pi^2 Fo) / (2n+1)^2. Source: crank.

    A slab that dries from one face alone, of thickness L, is half of one of 2 L: four times the time.
    """
    _require(fourier_number)
    if fourier_number < _SHORT:
        return 1 - 4 * math.sqrt(fourier_number / math.pi)
    return float(8 / math.pi**2 * np.sum(np.exp(-(_ODD**2) * math.pi**2 * fourier_number) / _ODD**2))


def cylinder_left(fourier_number: float) -> float:
    """Share left in a long, evenly wet cylinder, D t / a^2: sum 4/j^2 exp(-j^2 Fo), j zeros of J0. Source: crank."""
    _require(fourier_number)
    if fourier_number < _SHORT:
        third = fourier_number**1.5 / (3 * math.sqrt(math.pi))
        return float(1 - 4 * math.sqrt(fourier_number / math.pi) + fourier_number + third)
    zeros = jn_zeros(0, 120)
    return float(np.sum(4 / zeros**2 * np.exp(-(zeros**2) * fourier_number)))


def sphere_left(fourier_number: float) -> float:
    """Share left in an evenly wet sphere, D t / a^2: 6/pi^2 sum exp(-n^2 pi^2 Fo) / n^2. Source: crank."""
    _require(fourier_number)
    if fourier_number < _SHORT:
        return 1 - 6 * math.sqrt(fourier_number / math.pi) + 3 * fourier_number
    n = np.arange(1.0, 201.0)
    return float(6 / math.pi**2 * np.sum(np.exp(-(n**2) * math.pi**2 * fourier_number) / n**2))


def after_steady_left(fourier_number: float) -> float:
    """Share left of what a slab holds above its faces once it has dried at a steady rate, both faces then held dry.

    Steady drying leaves a parabola across the slab: 96/pi^4 sum exp(-(2n+1)^2 pi^2 Fo) / (2n+1)^4. The rate goes on
    without a kink: it begins at 12 D / L^2. Own, the series of Source: crank for that start.
    """
    _require(fourier_number)
    return float(96 / math.pi**4 * np.sum(np.exp(-(_ODD**2) * math.pi**2 * fourier_number) / _ODD**4))
