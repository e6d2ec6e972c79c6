"""One latent property of a paste, with what slake expects of it before the first batch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

SIBLING = 0.4
"""How far a lot goes from the first lot of its material, of what any label may; what it drinks is apart."""
Prior = Mapping[str, tuple[float, float]]


@dataclass(frozen=True, kw_only=True)
class Channel:
    """One latent property. `parent` shares the parent's whole latent times a coefficient, about `parent_centre`.

    misfit: sd of what one batch does by itself (mixing day, scatter of making). smooth: sd of what the features
    miss but like recipes share. Both on the channel's own scale. by_lots: whether it tells of what lots drink.
    """

    name: str
    unit: str
    priors: Prior
    share_sd: float
    part: tuple[float, float] = (0.0, 0.6)
    misfit: float = 0.15
    smooth: float = 0.2
    lot_sd: float = 0.2
    on_log: bool = True
    parent: str | None = None
    coefficient: float = 1.0
    parent_centre: float = 0.0
    offset: str | None = None
    age: tuple[float, float] = (0.0, 0.0)
    by_lots: bool = True
    sources: str = field(default="common practice, no source")

    def weight(self, feature: str) -> tuple[float, float]:
        if feature.startswith("share "):
            return 0.0, self.share_sd
        if feature.startswith("lot "):
            return 0.0, SIBLING * self.lot_sd
        if feature.startswith("part "):
            return self.part
        return self.priors.get(feature, (0.0, 0.0))
