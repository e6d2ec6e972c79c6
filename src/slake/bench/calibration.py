"""A calibration error split in two: what all instruments of a kind have in common, and what is this one's own.

Two readings with one instrument share both parts, two instruments only the common one. Together they are always the
total, so that naming the instrument changes no range of a single reading.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Calibration:
    """`total` standard deviation of a calibration error, of which `own` belongs to the very instrument."""

    common_key: str
    kind: str
    total: float
    own: float

    def shared(self, with_which: str) -> Mapping[str, float]:
        """For Evidence.shared: one key where the instrument is not known, two where it is."""
        own = min(self.own, self.total)
        if not with_which:
            return {self.common_key: self.total}
        return {self.common_key: math.sqrt(self.total**2 - own**2), f"{self.kind}:{with_which}": own}
