"""What a cartridge oozes at each stop, from the air shut in with the paste: which stops cost most, and what mends them.

The model, own: under the pressure of the last bead the air is smaller by what Boyle's law says (paste/air.py). When the
ram stands, that much paste still comes, first at the bead's flow and then ever slower:
oozed = stored x (1 - exp(-time x flow / stored)). Pulling the ram back takes what it pulls off the stored volume.
A paste with a yield stress keeps the pressure it needs to move at all; then only what lies above that comes. The range
runs from that, with the least air, to all of it with the most. Left out: the spring of paste, seals and frame, pressure
not yet built up again since the stop before, and the nozzle being wiped.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange, require_positive
from slake.ground.units import from_si
from slake.paste.air import air_stored_m3, late_start_s

from .stops import BESIDE, NEXT_LAYER, PIECES, WAIT, Stops

Array = NDArray[np.float64]
Places = NDArray[np.int64]
CHANGES: Mapping[int, tuple[str, str]] = MappingProxyType(
    {
        NEXT_LAYER: ("up to the next layer", "draw the wall as one continuous spiral: then there is no such stop"),
        WAIT: ("on the spot", "leave the wait out, or wait over a scrap beside the object"),
        BESIDE: ("to a bead close by", "thicken the wall until the beads touch, or join them: one line then lays both"),
        PIECES: ("over a gap to another part", "join the parts where they come close, so that one line lays both"),
    }
)
MOST_OF_FLOW = 0.95
"""A stop that oozed more than this share of what the ram would have pushed says nothing of what was stored."""
AS_TWO = "print the parts as two, one after the other: they lie apart in most layers"
APART_SHARE = 0.5
"""Parts that lie apart in more than this share of the layers are two; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Running:
    """The press at the bead before each stop, (k,). still_pa: what holds the paste before it moves at all."""

    pressure_pa: Array
    still_pa: Array
    in_barrel_m3: Array
    flow_m3_s: Array


@dataclass(frozen=True, kw_only=True)
class Cost:
    """One kind of stop: how many, how long, how much oozes, and what change to the object removes them."""

    words: str
    change: str
    count: int
    lasts_s: float
    oozed_kg: Range
    share: float


@dataclass(frozen=True, kw_only=True)
class Oozing:
    """Paste oozed at each stop, (k,): least, middle, most. costs: by kind, the dearest first. dearest: places of the
    stops that ooze most, first the worst. late_s: how late the next bead starts for it.
    """

    low_kg: Array
    mid_kg: Array
    high_kg: Array
    late_s: Array
    total_kg: Range
    costs: tuple[Cost, ...]
    dearest: Places


def oozed_m3(stored_m3: Array, flow_m3_s: Array, lasts_s: Array) -> Array:
    """Paste that comes while the ram stands: stored x (1 - exp(-time x flow / stored)); own model.

    Short stops ooze flow x time, long ones all that was stored.
    """
    rate = flow_m3_s * lasts_s / np.maximum(stored_m3, 1e-30)
    return np.asarray(np.where(stored_m3 > 0, -stored_m3 * np.expm1(-rate), 0.0))


def stored_from_ooze_m3(oozed_here_m3: float, flow_m3_s: float, duration_s: float) -> float:
    """What was stored, from the paste that came while the ram stood: the inverse of `oozed_m3`.

    One weighed stop of this machine so stands in for air, seals and frame together. Raises OutsideRange where as much
    came as a ram going on would have pushed.
    """
    require_positive(oozed_here_m3=oozed_here_m3, flow_m3_s=flow_m3_s, duration_s=duration_s)
    pushed = flow_m3_s * duration_s
    if oozed_here_m3 >= MOST_OF_FLOW * pushed:
        raise OutsideRange(
            "paste oozed (mL)",
            got=from_si(oozed_here_m3, "mL"),
            low=0,
            high=from_si(MOST_OF_FLOW * pushed, "mL"),
            do="the stop was too short to tell: stop for a minute and weigh again",
        )

    def missing(log_stored: float) -> float:
        stored = math.exp(log_stored)
        return -stored * math.expm1(-pushed / stored) - oozed_here_m3

    low, high = math.log(oozed_here_m3), math.log(oozed_here_m3 / (1 - oozed_here_m3 / pushed)) + 1.0
    return math.exp(float(brentq(missing, low, high, xtol=1e-14)))


def oozing(stops: Stops, running: Running, air_fraction: Range, density_kg_m3: Range) -> Oozing:
    """What each stop costs. The middle lies half-way between the two ends of the model, with the middle air."""

    def oozed(air: float, yields: float) -> Array:
        above = air_stored_m3(air, running.in_barrel_m3, running.pressure_pa)
        held = air_stored_m3(air, running.in_barrel_m3, np.minimum(running.still_pa, running.pressure_pa))
        stored = np.maximum(above - yields * held - stops.pulled_m3, 0.0)
        return oozed_m3(stored, running.flow_m3_s, stops.lasts_s)

    low, high = oozed(air_fraction.low, 1.0) * density_kg_m3.low, oozed(air_fraction.high, 0.0) * density_kg_m3.high
    mid = (oozed(air_fraction.mid, 1.0) + oozed(air_fraction.mid, 0.0)) / 2 * density_kg_m3.mid
    return Oozing(
        low_kg=low,
        mid_kg=mid,
        high_kg=high,
        late_s=mid / density_kg_m3.mid / running.flow_m3_s,
        total_kg=Range(low=float(low.sum()), mid=float(mid.sum()), high=float(high.sum())),
        costs=_costs(stops, (low, mid, high)),
        dearest=np.argsort(-mid, kind="stable")[:20],
    )


def late_starts_s(running: Running, air_fraction: Range) -> tuple[Array, Array, Array]:
    """Seconds until a bead runs where the ram begins on a barrel at rest: least, middle, most air. Boyle's law.

    That is the first bead and the first from every new cartridge; priming until the bead runs takes it away.
    """
    low, mid, high = (
        late_start_s(air_stored_m3(air, running.in_barrel_m3, running.pressure_pa), running.flow_m3_s)
        for air in (air_fraction.low, air_fraction.mid, air_fraction.high)
    )
    return low, mid, high


def _costs(stops: Stops, oozed_kg: tuple[Array, Array, Array]) -> tuple[Cost, ...]:
    total, found = float(oozed_kg[1].sum()), []
    for kind, (words, change) in CHANGES.items():
        mine = stops.kind == kind
        if not mine.any():
            continue
        low, mid, high = (float(values[mine].sum()) for values in oozed_kg)
        apart = kind == PIECES and len(np.unique(stops.layer[mine])) > APART_SHARE * stops.layers
        found.append(
            Cost(
                words=words,
                change=AS_TWO if apart else change,
                count=int(mine.sum()),
                lasts_s=float(stops.lasts_s[mine].sum()),
                oozed_kg=Range(low=low, mid=mid, high=high),
                share=mid / total if total > 0 else 0.0,
            )
        )
    return tuple(sorted(found, key=lambda cost: -cost.oozed_kg.mid))
