"""Readings of one property laid against what one of them would read like at its aim: errors in common fall out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from slake.ground.evidence import Kind, Range, linear_range

from .together import Look, covariance, value_of


def times_the_aim(looks: Sequence[Look], aim: Look) -> Range | None:
    """How many times the aim's value the readings are, jointly (80 %); None where none of them is exact.

    The aim is itself a reading, taken with an instrument but without scatter. A calibration error a reading shares
    with it cancels; one it does not share stays. Best linear mix of joint normal logarithms; algebra. For properties
    read on a logarithmic scale.
    """
    exact = [look for look in looks if look.evidence.kind is Kind.EXACT and look.evidence.on_log]
    if not exact:
        return None
    joint = covariance([*exact, replace(aim, scatter=0.0)])
    apart = np.array([value_of(look.evidence) - value_of(aim.evidence) for look in exact])
    spread = joint[:-1, :-1] - joint[:-1, -1:] - joint[-1:, :-1] + joint[-1, -1]
    precision = np.linalg.inv(spread)
    weight = float(precision.sum())
    found = linear_range(float((precision @ apart).sum()) / weight, weight**-0.5)
    return Range(low=math.exp(found.low), mid=math.exp(found.mid), high=math.exp(found.high))
