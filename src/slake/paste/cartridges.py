"""How much paste a print set needs, and how many cartridges. Volumes only; one density at the end."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slake.ground.problems import OutsideRange
from slake.ground.units import from_si, to_si

USUAL_FILL = 0.94
USUAL_RESIDUE_M3 = to_si(30, "mL")
USUAL_PURGE = 0.08
USUAL_BOWL_LOSS = 0.03


@dataclass(frozen=True, kw_only=True)
class Cartridge:
    """One cartridge: its volume, how full it packs, and what stays in its cone. Common practice, no source."""

    volume_m3: float
    fill: float = USUAL_FILL
    residue_m3: float = USUAL_RESIDUE_M3

    def __post_init__(self) -> None:
        if not 0 < self.volume_m3 < math.inf:
            raise OutsideRange("cartridge volume (m3)", got=self.volume_m3, low=1e-6, high=1, do="measure it")
        if not 0 < self.fill <= 1:
            raise OutsideRange("share of a cartridge filled", got=self.fill, low=0.1, high=1, do="0.94 is usual")
        if not 0 <= self.residue_m3 < self.fill * self.volume_m3:
            raise OutsideRange(
                "paste left in the cone (m3)",
                got=self.residue_m3,
                low=0,
                high=self.fill * self.volume_m3,
                do="it must be less than the filling",
            )

    @property
    def usable_m3(self) -> float:
        return self.fill * self.volume_m3 - self.residue_m3


@dataclass(frozen=True, kw_only=True)
class PasteNeed:
    """Paste to mix for a print set. `exact_count` is before rounding up; `over_m3` is what trimming one
    saves.
    """

    count: int
    exact_count: float
    paste_m3: float
    over_m3: float


def _shares(purge_share: float, bowl_loss_share: float) -> None:
    for name, share in (("purge", purge_share), ("bowl loss", bowl_loss_share)):
        if not 0 <= share < 1:
            raise OutsideRange(f"share for {name}", got=share, low=0, high=0.9, do="give it as a fraction of the paste")


def paste_for_parts(
    parts_m3: float,
    cartridge: Cartridge,
    purge_share: float = USUAL_PURGE,
    bowl_loss_share: float = USUAL_BOWL_LOSS,
) -> PasteNeed:
    """Cartridges and paste for a printed volume: purge on top, a residue per cartridge, then the bowl's
    loss.
    """
    if not 0 < parts_m3 < math.inf:
        raise OutsideRange("printed volume (m3)", got=parts_m3, low=1e-7, high=1, do="take it from the slicer")
    _shares(purge_share, bowl_loss_share)
    pushed = parts_m3 * (1 + purge_share)
    exact = pushed / cartridge.usable_m3
    count = math.ceil(exact - 1e-9)
    return PasteNeed(
        count=count,
        exact_count=exact,
        paste_m3=(pushed + count * cartridge.residue_m3) * (1 + bowl_loss_share),
        over_m3=(pushed - (count - 1) * cartridge.usable_m3) / (1 + purge_share),
    )


def paste_for_cartridges(cartridge: Cartridge, count: int, bowl_loss_share: float = USUAL_BOWL_LOSS) -> float:
    """Paste (m3) that fills `count` cartridges, with the bowl's loss; times a density it is the batch."""
    if count < 1:
        raise OutsideRange("number of cartridges", got=count, low=1, high=1000, do="count at least one")
    _shares(0.0, bowl_loss_share)
    return count * cartridge.fill * cartridge.volume_m3 * (1 + bowl_loss_share)


def cartridges_from_paste(paste_m3: float, cartridge: Cartridge, bowl_loss_share: float = USUAL_BOWL_LOSS) -> float:
    """How many cartridges a bowl of paste fills, not rounded: the inverse of `paste_for_cartridges`."""
    if not 0 <= paste_m3 < math.inf:
        raise OutsideRange("paste in the bowl (m3)", got=paste_m3, low=0, high=1, do="put right what is in the bowl")
    _shares(0.0, bowl_loss_share)
    return paste_m3 / (cartridge.fill * cartridge.volume_m3 * (1 + bowl_loss_share))


def parts_from_cartridges(cartridge: Cartridge, count: int, purge_share: float = USUAL_PURGE) -> float:
    """Printed volume (m3) that `count` full cartridges give after purge and residue."""
    if count < 1:
        raise OutsideRange("number of cartridges", got=count, low=1, high=1000, do="count at least one")
    _shares(purge_share, 0.0)
    return count * cartridge.usable_m3 / (1 + purge_share)


@dataclass(frozen=True, kw_only=True)
class TwoWays:
    """A printed volume by the cartridge: fewer, with `trim_m3` of the print left away, or one more, part filled.

    `fewer` is 0 where one cartridge is enough; `trim_m3` is 0 where the count comes out whole. Paste is what to mix.
    """

    exact_count: float
    fewer: int
    trim_m3: float
    fewer_paste_m3: float
    more: int
    more_paste_m3: float


def two_ways(
    parts_m3: float,
    cartridge: Cartridge,
    purge_share: float = USUAL_PURGE,
    bowl_loss_share: float = USUAL_BOWL_LOSS,
) -> TwoWays:
    """Both ways to fill a print set. Raises as `paste_for_parts`."""
    need = paste_for_parts(parts_m3, cartridge, purge_share, bowl_loss_share)
    whole = abs(need.exact_count - need.count) < 1e-6
    fewer = need.count if whole else need.count - 1
    return TwoWays(
        exact_count=need.exact_count,
        fewer=fewer,
        trim_m3=0.0 if whole else need.over_m3,
        fewer_paste_m3=paste_for_cartridges(cartridge, fewer, bowl_loss_share) if fewer else 0.0,
        more=need.count,
        more_paste_m3=need.paste_m3,
    )


def bead_flow_m3_s(bead_m: float, layer_height_m: float, speed_m_s: float) -> float:
    """Paste per second of a running print: width x height x speed of the bead, taken as a rectangle: too much by up
    to 27 % where it is as wide as high and quite round. Raises OutsideRange.
    """
    for name, value in (("bead width (m)", bead_m), ("layer height (m)", layer_height_m), ("speed (m/s)", speed_m_s)):
        if not 0 < value < math.inf:
            raise OutsideRange(name, got=value, low=1e-5, high=1, do="take it from the slicer")
    return bead_m * layer_height_m * speed_m_s


def cartridge_lasts_s(cartridge: Cartridge, flow_m3_s: float) -> float:
    """How long one full cartridge prints without a pause. Raises OutsideRange for a flow of nothing."""
    if not 0 < flow_m3_s < math.inf:
        raise OutsideRange(
            "flow (mL/s)", got=from_si(flow_m3_s, "mL"), low=1e-4, high=100, do="bead width x layer height x speed"
        )
    return cartridge.usable_m3 / flow_m3_s


def cartridges_begun_within(duration_s: float, lasts_s: float) -> int:
    """How many cartridges of one mixing can be begun before its pot life is over; the last one ends after it."""
    if not (0 <= duration_s < math.inf and 0 < lasts_s < math.inf):
        raise OutsideRange("pot life (h)", got=from_si(duration_s, "h"), low=0, high=1000, do="3 h is usual")
    return max(math.ceil(duration_s / lasts_s - 1e-9), 1)
