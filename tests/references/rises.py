"""The routine that fits an ageing series, called on a rise from zero: the sets with certified fits have no start."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slake.paste.ageing import _fit_levels


@dataclass(frozen=True, kw_only=True)
class Rise:
    """y = top x (1 - exp(-steepness x)), least squares."""

    top: float
    steepness: float
    residual_sum_squares: float


def fit_rise(x: Sequence[float], y: Sequence[float]) -> Rise:
    along, up = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    steepness, (top,) = _fit_levels(along, up, np.ones_like(along), with_start=False)
    left = up + top * np.expm1(-steepness * along)
    return Rise(top=float(top), steepness=steepness, residual_sum_squares=float(left @ left))
