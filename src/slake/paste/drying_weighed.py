"""Weighings of the piece itself correct what was not known of its drying; more of them correct more."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import DoesNotFit, NotEnoughEvidence, OutsideRange, plain, require_positive
from slake.ground.units import from_si, to_si

from .drying_run import Way, drawn, run
from .drying_unknowns import Drying

FloatArray = NDArray[np.float64]
FEWEST = 2
ROUNDS = 4
FOLLOWS = 0.03
"""Real pieces lose mass as the two faces and one diffusivity say to this share of the loss. Practice, no source."""
AT_LEAST_SD = 3e-4
GROWN_SD = 4.0
FASTER_THAN_ANY = 3.0
WORST_FIT = 5.0
DEEPEST = 0.35


@dataclass(frozen=True, kw_only=True)
class Weighed:
    """Weighings of one piece without its tray: seconds since it was laid, kilograms, and what one is off by.

    Raises DoesNotFit, OutsideRange or NotEnoughEvidence where these are no weighings of a piece that dries.
    """

    at_s: tuple[float, ...]
    mass_kg: tuple[float, ...]
    mass_sd_kg: float

    def __post_init__(self) -> None:
        require_positive(mass_sd_kg=self.mass_sd_kg)
        if len(self.at_s) != len(self.mass_kg):
            raise DoesNotFit(f"there are {len(self.at_s)} hours and {len(self.mass_kg)} masses: give one of each")
        if len(self.at_s) < FEWEST:
            raise NotEnoughEvidence("correcting a schedule", have=len(self.at_s), need=FEWEST, do="weigh it once more")
        if not all(0 <= at < math.inf for at in self.at_s) or any(b <= a for a, b in pairwise(self.at_s)):
            raise DoesNotFit("the hours do not rise from one weighing to the next, counted from when it was laid")
        for mass in self.mass_kg:
            if not 0 < mass < math.inf:
                raise OutsideRange(
                    "mass of the piece (g)", got=from_si(mass, "g"), low=0.01, high=1e5, do="take the tray off once"
                )
        for before, after in pairwise(self.mass_kg):
            if after > before + GROWN_SD * self.mass_sd_kg:
                raise DoesNotFit(
                    f"it grew from {plain(from_si(before, 'g'))} to {plain(from_si(after, 'g'))} g while drying: weigh "
                    "it again without the tray, or look whether the two are the same piece"
                )

    @property
    def lost(self) -> FloatArray:
        """Logarithm of each later mass over the first, (weighings - 1,)."""
        return np.asarray(np.log(np.array(self.mass_kg[1:]) / self.mass_kg[0]))

    @property
    def covariance(self) -> FloatArray:
        """Of those: the first weighing's error is in all of them."""
        scale = self.mass_sd_kg / self.mass_kg[0]
        own = np.hypot(np.hypot(FOLLOWS * self.lost, scale), AT_LEAST_SD)
        return np.asarray(np.diag(own**2) + scale**2)


def foretold(asked: Drying, scores: FloatArray, way: Way, weighed: Weighed) -> FloatArray:
    """What each draw says of those weighings, (draws, weighings - 1)."""
    found = drawn(asked, scores)
    until_s = max(weighed.at_s[-1] + to_si(1, "h"), way.freed_s + 1 if way.freed_s < weighed.at_s[-1] else 0.0)
    done = run(asked, found, way, until_s)
    masses = np.array([np.interp(weighed.at_s, done.times_s, one) for one in done.mass.T])
    return np.asarray(np.log(masses[:, 1:] / masses[:, :1]))


def corrected(asked: Drying, scores: FloatArray, way: Way, weighed: Weighed, rng: np.random.Generator) -> FloatArray:
    """Scores moved to what the weighings bear out, (draws, unknowns).

    An ensemble of draws is moved several times by its own covariance with what it foretells, each time with the error
    of the weighings widened, so that all rounds together count them once. Draws that were right stay; what weighings
    say nothing of stays as wide as it was. Own, of a general method. Raises DoesNotFit where no drying fits.
    """
    says = foretold(asked, scores, way, weighed)
    _require_possible(asked, scores, weighed, says)
    errors, moved = ROUNDS * weighed.covariance, scores
    for _ in range(ROUNDS):
        noise = rng.multivariate_normal(np.zeros(len(errors)), errors, size=len(scores))
        from_mean, told = moved - moved.mean(axis=0), says - says.mean(axis=0)
        gain = np.linalg.solve(told.T @ told / (len(scores) - 1) + errors, told.T @ from_mean / (len(scores) - 1))
        moved = np.clip(moved + (weighed.lost + noise - says) @ gain, -6, 6)
        says = foretold(asked, moved, way, weighed)
    off = (np.median(says, axis=0) - weighed.lost) / np.sqrt(np.diag(weighed.covariance))
    if float(np.abs(off).max()) > WORST_FIT:
        raise DoesNotFit(
            "no drying of this wall in this air goes through these weighings: check hours, tray, wall and air, or "
            "leave out the one that stands apart"
        )
    return moved


def _require_possible(asked: Drying, scores: FloatArray, weighed: Weighed, says: FloatArray) -> None:
    lost = -weighed.lost[-1]
    water = asked.paste.water_per_dry.high * math.exp(DEEPEST)
    most = math.log1p(water)
    if lost > most:
        raise DoesNotFit(
            f"it lost {_percent(1 - math.exp(-lost))} % of its mass, but at most {_percent(1 - math.exp(-most))} % of "
            "it was water: check the tray and the water of the batch"
        )
    slack = GROWN_SD * weighed.mass_sd_kg / weighed.mass_kg[0]
    if lost < float(np.min(-says[:, -1])) / FASTER_THAN_ANY - slack:
        raise DoesNotFit(
            f"it lost only {_percent(1 - math.exp(-lost))} % of its mass in {_hours(weighed)} h, under a third of the "
            "least such a wall gives off in this air: check wall, air and cover, or whether it was dry before"
        )
    if lost > FASTER_THAN_ANY * float(np.max(-says[:, -1])) + slack:
        raise DoesNotFit(
            f"it lost {_percent(1 - math.exp(-lost))} % of its mass in {_hours(weighed)} h, over three times what a "
            "wall so thick can give off in this air: check wall, air and hours"
        )


def _percent(share: float) -> str:
    return plain(float(f"{from_si(share, '%'):.2g}"))


def _hours(weighed: Weighed) -> str:
    return plain(float(f"{from_si(weighed.at_s[-1] - weighed.at_s[0], 'h'):.3g}"))
