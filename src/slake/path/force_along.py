"""The force the ram must give at every bead, and how sure it is that it can.

Beads of nearly one flow, age and filling share one set of draws: flows within 0.5 %, ages within 1/64 of the print,
fillings within 1/32 of a cartridge, coarser only where that makes more than 5000 sets.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from .cartridge_use import CartridgeUse
from .force_law import MOST_GROWTH, PushDraws, Run
from .replay import Replayed

Array = NDArray[np.float64]
Places = NDArray[np.int64]
MOST_SETS = 5000


class Fineness(NamedTuple):
    share: float
    times: int
    fills: int


FINENESS = (Fineness(0.005, 64, 32), Fineness(0.02, 32, 16), Fineness(0.1, 16, 8), Fineness(0.5, 8, 4))


@dataclass(frozen=True, kw_only=True)
class ForceAlong:
    """Force on the ram at the end of each bead, 80 % range, and the chance that the machine has it, (n,).

    margin: log of the force there is over the force it takes, middle; below 0 it more likely stalls than not.
    margin_low: the same, lower end of its 80 % range. all_chance: that it is enough at every bead, what is not known
    counted once. hardest: the bead with the least margin.
    """

    low_n: Array  # (n,)
    mid_n: Array  # (n,)
    high_n: Array  # (n,)
    pressure_pa: Array  # (n,)
    margin: Array  # (n,)
    margin_low: Array  # (n,)
    chance: Array  # (n,)
    all_chance: float
    hardest: int

    def first_under(self, target: float) -> int | None:
        """The first bead at which the chance is under the target, None where it never is."""
        under = np.flatnonzero(self.chance < target)
        return int(under[0]) if under.size else None


def force_along(replayed: Replayed, use: CartridgeUse, draws: PushDraws) -> ForceAlong:
    """The push at every bead. Draws hold at the first move; stiffening runs on machine time, pauses included.

    The flow is the bead's own; what the shut-in air delays is left out, as is time for changing cartridges.
    """
    sets, first = _sets(replayed, use)
    count = np.bincount(sets)

    def mean(values: Array) -> Array:
        return np.asarray(np.bincount(sets, weights=values) / count)

    at_s, speed = mean(replayed.end_s), replayed.flow_m3_s[first] / draws.barrel.nozzle_area_m2
    fill_m = mean(use.in_barrel_m3) / draws.barrel.area_m2
    need = draws.need_n(at_s[:, None], Run(speed_m_s=speed[:, None], fill_m=fill_m[:, None]))
    over = np.log(np.maximum(draws.have_n, 1e-9) / need)
    weight = draws.weight / draws.weight.sum()
    aged = np.exp(np.clip(draws.middle_rate_per_s * (replayed.end_s - at_s[sets]), -MOST_GROWTH, MOST_GROWTH))
    low, mid, high = quantiles(need, weight)
    margin_low, margin, _ = quantiles(over, weight)
    ring = float(np.median(draws.ring_n))
    return ForceAlong(
        low_n=low[sets] * aged,
        mid_n=mid[sets] * aged,
        high_n=high[sets] * aged,
        pressure_pa=np.maximum(mid[sets] * aged - ring, 0.0) / draws.barrel.area_m2,
        margin=margin[sets] - np.log(aged),
        margin_low=margin_low[sets] - np.log(aged),
        chance=((over >= 0) @ weight)[sets],
        all_chance=float(weight[(over >= 0).all(axis=0)].sum()),
        hardest=int(np.argmin(margin[sets] - np.log(aged))),
    )


def quantiles(values: Array, weight: Array) -> tuple[Array, Array, Array]:
    """The 10 %, 50 % and 90 % points of weighed draws in each row. values: (k, N); weight: (N,), summing to 1."""
    order = np.argsort(values, axis=1)
    upto = np.cumsum(weight[order], axis=1) - weight[order] / 2
    rows, found = np.arange(len(values)), []
    for point in (0.1, 0.5, 0.9):
        after = np.clip((upto < point).sum(axis=1), 1, max(values.shape[1] - 1, 1))
        if values.shape[1] == 1:
            found.append(values[:, 0])
            continue
        left, right = upto[rows, after - 1], upto[rows, after]
        share = np.clip((point - left) / np.maximum(right - left, 1e-300), 0.0, 1.0)
        low, high = values[rows, order[rows, after - 1]], values[rows, order[rows, after]]
        found.append(low + share * (high - low))
    return found[0], found[1], found[2]


def _sets(replayed: Replayed, use: CartridgeUse) -> tuple[Places, Places]:
    """The set of each bead, (n,), and one bead of each set."""
    for fine in FINENESS:
        flow = np.rint(np.log(replayed.flow_m3_s) / fine.share).astype(np.int64)
        time = (replayed.end_s * (fine.times / (replayed.duration_s * (1 + 1e-9)))).astype(np.int64)
        full = max(float(use.in_barrel_m3.max()), 1e-12)
        fill = np.floor(use.in_barrel_m3 * (fine.fills / full)).astype(np.int64)
        stretch = np.cumsum(_changes(time) | _changes(use.cartridge) | _changes(fill))
        flow -= flow.min()
        key = stretch * (int(flow.max()) + 1) + flow
        sets, first = _numbered(key)
        if len(first) <= MOST_SETS:
            break
    return sets, first


def _numbered(key: Places) -> tuple[Places, Places]:
    """Different keys, none below 0, numbered without gaps, and a place of each; by counting where they lie close."""
    if key.max() > 4 * len(key):
        _, first, sets = np.unique(key, return_index=True, return_inverse=True)
        return sets.astype(np.int64), first.astype(np.int64)
    sets = (np.cumsum(np.bincount(key) > 0) - 1)[key]
    first = np.empty(int(sets.max()) + 1, dtype=np.int64)
    first[sets] = np.arange(len(key))
    return sets, first


def _changes(values: Places) -> NDArray[np.bool_]:
    changed = np.zeros(len(values), dtype=bool)
    changed[1:] = values[1:] != values[:-1]
    return changed
