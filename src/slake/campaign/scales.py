"""How far the laws miss: what smooth remainder and own misfit of a batch are multiplied by, as the evidence likes best.

With few batches one of six pairs, for yield stress and for the rest. With many, every property by itself: what its own
readings say of its own scatter.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from .priors import YIELD_STRESS

Times = tuple[float, float]
"""What the smooth remainder and the own misfit are multiplied by."""


@dataclass(frozen=True, kw_only=True)
class Scales:
    """`expected`: log of how such scales are expected beforehand."""

    rest: Times = (1.0, 1.0)
    single: Mapping[str, Times] = field(default_factory=dict)
    expected: float = 0.0

    def of(self, channel: str) -> Times:
        return self.single.get(channel, self.rest)

    def with_one(self, channel: str, times: Times) -> Scales:
        return replace(self, single={**self.single, channel: times})


USUAL = Scales()


def _six(stiffness: float, rest: float, expected: float) -> Scales:
    return Scales(rest=(rest, rest), single={YIELD_STRESS.name: (stiffness, stiffness)}, expected=expected)


FEW = (
    _six(1.0, 1.0, 0.0),
    _six(1.7, 1.0, -0.5),
    _six(2.8, 1.0, -1.5),
    _six(1.0, 0.6, -0.5),
    _six(1.7, 0.6, -1.0),
    _six(2.8, 0.6, -2.0),
)
SMOOTH_TRIED = (0.3, 0.6, 1.0, 1.7, 2.8, 4.6)
OWN_TRIED = (0.4, 0.6, 1.0, 1.7, 2.8, 4.6, 7.5)
EXPECTED_SD_LOG = 1.0


def climbed_scales(scale: Scales, channel: str, worth: Callable[[Scales], float]) -> Scales:
    """The scales with those of one channel that are worth most: own misfit, smooth remainder, own misfit again."""
    found: dict[Times, float] = {}

    def value(times: Times) -> float:
        if times not in found:
            found[times] = worth(scale.with_one(channel, times)) + _expected(times)
        return found[times]

    best = scale.of(channel)
    for _ in range(2):
        best = max(((best[0], own) for own in OWN_TRIED), key=value)
        best = max(((smooth, best[1]) for smooth in SMOOTH_TRIED), key=value)
    return scale.with_one(channel, best)


def _expected(times: Times) -> float:
    return -0.5 * sum((math.log(t) / EXPECTED_SD_LOG) ** 2 for t in times)
