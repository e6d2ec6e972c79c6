"""How far the laws miss: what smooth remainder and own misfit of a batch are multiplied by, as the evidence likes best.

With few batches one of six pairs, for yield stress and for the rest. With many, every property by itself: what its own
readings say of its own scatter.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from .priors import YIELD_STRESS
from .reach import Reach

Times = tuple[float, float]
"""What the smooth remainder and the own misfit are multiplied by."""


@dataclass(frozen=True, kw_only=True)
class Scales:
    """`reading`: what the scatter of one reading is multiplied by, at most 1. `reach`: how far the remainder of a
    property reaches, where its own readings said. `expected`: log of how such scales are expected beforehand.
    """

    rest: Times = (1.0, 1.0)
    single: Mapping[str, Times] = field(default_factory=dict)
    reading: Mapping[str, float] = field(default_factory=dict)
    reach: Mapping[str, Reach] = field(default_factory=dict)
    expected: float = 0.0

    def reading_of(self, channel: str) -> float:
        return self.reading.get(channel, 1.0)

    def of(self, channel: str) -> Times:
        return self.single.get(channel, self.rest)

    def with_learned(self, other: Scales) -> Scales:
        """These scales, but for the properties whose own readings said theirs."""
        mine = {name: times for name, times in other.single.items() if name in other.reach}
        return replace(self, single={**self.single, **mine}, reading=other.reading, reach=other.reach)


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
