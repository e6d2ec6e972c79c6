"""How far the laws miss: what smooth remainder and own misfit of a batch are multiplied by, as the evidence likes best.

With few batches one of six pairs, for yield stress and for the rest. With many, every property by itself: what its own
readings say of its own scatter.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from .priors import CHANNELS, YIELD_STRESS

Times = tuple[float, float]
"""What the smooth remainder and the own misfit are multiplied by."""


@dataclass(frozen=True, kw_only=True)
class Scales:
    """`reading`: what the scatter of one reading is multiplied by, at most 1. `expected`: log of how such scales are
    expected beforehand.
    """

    rest: Times = (1.0, 1.0)
    single: Mapping[str, Times] = field(default_factory=dict)
    reading: Mapping[str, float] = field(default_factory=dict)
    expected: float = 0.0

    def reading_of(self, channel: str) -> float:
        return self.reading.get(channel, 1.0)

    def of(self, channel: str) -> Times:
        return self.single.get(channel, self.rest)


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
SMOOTH_TRIED = (0.1, 0.17, 0.3, 0.6, 1.0, 1.7, 2.8, 4.6)
OWN_TRIED = (0.12, 0.2, 0.35, 0.6, 1.0, 1.7, 2.8, 4.6, 7.5)
EXPECTED_SD_LOG = 1.0


READING_TRIED = (0.12, 0.25, 0.5, 1.0)


def climbed_scales(scale: Scales, channel: str, worth: Callable[[Scales], float]) -> Scales:
    """The scales with those of one channel that are worth most: each of the three in turn, twice.

    The scatter of a reading is tried only for a property slake has no expectation for, where it is a guess.
    """
    found: dict[tuple[float, float, float], float] = {}

    def value(three: tuple[float, float, float]) -> float:
        if three not in found:
            expected = -0.5 * sum((math.log(t) / EXPECTED_SD_LOG) ** 2 for t in three)
            found[three] = worth(_with_three(scale, channel, three)) + expected
        return found[three]

    best, reads = (*scale.of(channel), 1.0), (1.0,) if channel in CHANNELS else READING_TRIED
    for _ in range(2):
        best = max(((best[0], own, best[2]) for own in OWN_TRIED), key=value)
        best = max(((smooth, best[1], best[2]) for smooth in SMOOTH_TRIED), key=value)
        best = max(((best[0], best[1], read) for read in reads), key=value)
    return _with_three(scale, channel, best)


def _with_three(scale: Scales, channel: str, three: tuple[float, float, float]) -> Scales:
    smooth, own, read = three
    return replace(scale, single={**scale.single, channel: (smooth, own)}, reading={**scale.reading, channel: read})
