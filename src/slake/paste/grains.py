"""Sizes of grains from a split over sieves, and which nozzle they pass."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from slake.ground.problems import DoesNotFit, NotEnoughEvidence, OutsideRange, require_positive
from slake.ground.units import from_si

FloatArray = NDArray[np.float64]

E11_UM = (
    4750, 4000, 3350, 2800, 2360, 2000, 1700, 1400, 1180, 1000, 850, 710, 600, 500, 425, 355, 300, 250, 212, 180, 150,
    125, 106, 90, 75, 63, 53, 45, 38, 32, 25, 20,
)  # fmt: skip
"""Openings of ASTM E11, the same figures as ISO 3310-1 in this span. Source: astm_e11 (memory)."""
OLD_UM = {2380: 2360, 841: 850, 420: 425, 297: 300, 149: 150}
"""Openings still printed in older tables, and the one that stands today. Source: old_sieve_tables."""
OPENING_SLACK = 0.002

GRAINS_PER_NOZZLE = 5.0
GRAINS_PER_NOZZLE_DENSE = 10.0
FIBRES_PER_NOZZLE = 3.0
"""Nozzle width over the largest grain, over that of a paste that is mostly grains, and over the longest fibre:
common practice, no source.
"""
GAIN_SHARE = 0.01
FEWEST_TO_FIT = 3


def old_opening_words(opening_m: float) -> str:
    """What to say of an opening that older tables print and no sieve of today has; empty for every other."""
    um = from_si(opening_m, "um")
    for old, now in OLD_UM.items():
        if abs(um - old) < OPENING_SLACK * old:
            return f"{old} um is an opening of older tables, today's sieve is {now} um: read what stands on the ring"
    return ""


@dataclass(frozen=True, kw_only=True)
class SieveCurve:
    """Share of the mass finer than each opening, openings rising. Raises DoesNotFit where it cannot be a curve."""

    opening_m: tuple[float, ...]
    finer: tuple[float, ...]

    def __post_init__(self) -> None:
        if not self.opening_m or len(self.opening_m) != len(self.finer):
            raise DoesNotFit("a sieve curve needs a share for each opening: fill in both")
        if any(after <= before for before, after in pairwise(self.opening_m)) or self.opening_m[0] <= 0:
            raise DoesNotFit("two sieves have the same opening: put what lay on both into one row")
        if any(after < before for before, after in pairwise((0.0, *self.finer, 1.0 + 1e-9))):
            raise DoesNotFit("the share that passes must rise with the opening: weigh the fractions again")

    @property
    def largest_between_m(self) -> tuple[float, float | None]:
        """Openings the largest grain lies between: the last it did not pass, and the first that all passed.

        The upper is None where some lay on the widest sieve.
        """
        held = [d for d, finer in zip(self.opening_m, self.finer, strict=True) if finer < 1 - 1e-9]
        passed = [d for d, finer in zip(self.opening_m, self.finer, strict=True) if finer >= 1 - 1e-9]
        return (held[-1] if held else 0.0), (passed[0] if passed else None)


def next_coarser_um(opening_m: float) -> float | None:
    """Two steps coarser among the openings of today's sieves; None where no coarser one is made. Source: astm_e11."""
    coarser = [um for um in reversed(E11_UM) if um > from_si(opening_m, "um") * (1 + OPENING_SLACK)]
    return float(coarser[min(1, len(coarser) - 1)]) if coarser else None


def sieve_curve(opening_m: Sequence[float], kept_kg: Sequence[float], pan_kg: float) -> SieveCurve:
    """The curve of what lay on each sieve and in the pan, in any order of sieves. Bookkeeping of masses."""
    total = math.fsum(kept_kg) + pan_kg
    if not 0 < total < math.inf or min([pan_kg, *kept_kg]) < 0:
        raise DoesNotFit("the fractions together weigh nothing: weigh what lies on each sieve and in the pan")
    pairs = sorted(zip(opening_m, kept_kg, strict=True))
    coarser = [math.fsum(kg for _, kg in pairs[n:]) for n in range(len(pairs))]
    return SieveCurve(opening_m=tuple(d for d, _ in pairs), finer=tuple(max(1 - kg / total, 0.0) for kg in coarser))


def lost_share(put_in_kg: float, found_kg: float) -> float:
    """Share of the charge not found again. Raises DoesNotFit where more came out than went in, by more than 1 %."""
    require_positive(put_in_kg=put_in_kg)
    lost = 1 - found_kg / put_in_kg
    if lost < -GAIN_SHARE:
        grams = [from_si(kg, "g") for kg in (found_kg, put_in_kg)]
        raise DoesNotFit(
            f"the sieves gained mass: {grams[0]:.4g} g came out of {grams[1]:.4g} g put in; weigh the fractions "
            "again, without the sieves, and look for what was left in them from before"
        )
    return lost


def size_at_share_m(curve: SieveCurve, share: float) -> float:
    """Size that this share of the mass is finer than, on a straight line over the logarithm of size.

    Raises OutsideRange where the sieves used do not reach it: nothing is drawn beyond them.
    """
    finer = np.asarray(curve.finer)
    if not finer[0] - 1e-12 <= share <= finer[-1] + 1e-12:
        raise OutsideRange(
            "share finer (%)", got=from_si(share, "%"), low=from_si(float(finer[0]), "%"),
            high=from_si(float(finer[-1]), "%"), do="the sieves used do not reach it: add a coarser or finer one",
        )  # fmt: skip
    above = int(np.searchsorted(finer, share - 1e-12))
    if above == 0:
        return curve.opening_m[0]
    low, high = finer[above - 1], finer[above]
    part = (share - low) / (high - low)
    return float(curve.opening_m[above - 1] * (curve.opening_m[above] / curve.opening_m[above - 1]) ** part)


def uniformity(d10_m: float, d60_m: float) -> float:
    """Coefficient of uniformity d60 / d10: 1 for grains all alike. Definition."""
    require_positive(d10_m=d10_m, d60_m=d60_m)
    return d60_m / d10_m


def curvature(d10_m: float, d30_m: float, d60_m: float) -> float:
    """Coefficient of curvature d30^2 / (d10 d60). Definition."""
    require_positive(d10_m=d10_m, d30_m=d30_m, d60_m=d60_m)
    return d30_m**2 / (d10_m * d60_m)


@dataclass(frozen=True, kw_only=True)
class RosinRammler:
    """Share coarser than d is exp(-(d / size_m)^spread): 36.8 % is coarser than `size_m`."""

    size_m: float
    spread: float


def rosin_rammler_coarser(size_m: float, d_m: float, spread: float) -> float:
    """Share of the mass coarser than d. Milled and crushed goods often follow it. Source: brezani2011."""
    require_positive(size_m=size_m, d_m=d_m, spread=spread)
    return math.exp(-((d_m / size_m) ** spread))


def rosin_rammler(opening_m: Sequence[float], coarser: Sequence[float]) -> RosinRammler:
    """Rosin-Rammler line through shares coarser, by least squares of the shares themselves. Source: brezani2011.

    Raises NotEnoughEvidence under three openings with something on and something through them.
    """
    d, over = np.asarray(opening_m, dtype=float), np.asarray(coarser, dtype=float)
    told = (over > 0) & (over < 1)
    if int(told.sum()) < FEWEST_TO_FIT:
        do = "use more sieves between the finest and the coarsest grain"
        raise NotEnoughEvidence("a line through a sieve curve", have=int(told.sum()), need=FEWEST_TO_FIT, do=do)
    slope, cut = np.polyfit(np.log(d[told]), np.log(-np.log(over[told])), 1)
    first = [math.log(max(slope, 0.05)), -cut / max(slope, 0.05)]

    def gaps(logs: FloatArray) -> FloatArray:
        return np.asarray(np.exp(-np.exp(np.clip(np.exp(logs[0]) * (np.log(d) - logs[1]), -50, 50))) - over)

    found = least_squares(gaps, first, xtol=1e-12, ftol=1e-12, gtol=1e-12)
    return RosinRammler(size_m=math.exp(found.x[1]), spread=math.exp(found.x[0]))


def rosin_rammler_gap(line: RosinRammler, curve: SieveCurve) -> float:
    """By how much of the whole mass the line and the sieves differ at most: how well the powder follows it."""
    pairs = zip(curve.opening_m, curve.finer, strict=True)
    return max(abs(1 - finer - rosin_rammler_coarser(line.size_m, d, line.spread)) for d, finer in pairs)


def smallest_nozzle_m(largest_grain_m: float, fibre_m: float = 0.0, *, dense: bool = False) -> float:
    """Narrowest nozzle these grains and fibres pass: 5 grains wide (10 where the paste is mostly grains), 3 fibres.

    Common practice, no source. A fibre longer than a third of the nozzle may still pass lying along it, or clog.
    """
    require_positive(largest_grain_m=largest_grain_m)
    per = GRAINS_PER_NOZZLE_DENSE if dense else GRAINS_PER_NOZZLE
    return max(per * largest_grain_m, FIBRES_PER_NOZZLE * fibre_m)


def nozzle_words(largest_grain_m: float, fibre_m: float = 0.0) -> str:
    """The rule in one sentence, with the nozzle it asks for."""
    usual, dense = (
        from_si(smallest_nozzle_m(largest_grain_m, fibre_m, dense=mostly), "mm") for mostly in (False, True)
    )
    fibres = "" if fibre_m <= 0 else f", fibres of {from_si(fibre_m, 'mm'):.2g} mm no longer than a third of it"
    return (
        f"grains up to {from_si(largest_grain_m, 'um'):.3g} um want a nozzle of {usual:.2g} mm or wider, "
        f"{dense:.2g} mm where the paste is mostly grains{fibres} (common practice)"
    )
