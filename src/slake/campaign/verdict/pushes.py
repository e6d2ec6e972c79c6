"""The force law learnt from this machine's own pushes: forces at several speeds, lands or nozzles, with stiffnesses.

Most likely weights given what is usual, and how wide the pushes leave them. Which law, and why, is said.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.special import log_ndtr

from slake.paste.ram import Barrel

from . import practice
from .law import CONE, OTHER_PASTE_SD_LOG, OWN, RING, Law, PerPascal, Runs, benbow, herschel, prior, rooted, usual_law
from .spread import Spread

Array = NDArray[np.float64]
FORCE_SD_LOG = 0.1
SPEED_SPAN, LEAST_RAN = 2.0, 3
CLEARLY = math.log(3)
MOST_PUSHES = 20
"""The last ones: more take longer than a person waits, and the machine of a year ago is another one."""


@dataclass(frozen=True, kw_only=True)
class Push:
    """One push of this machine. yield_stress_pa: as the cone read it; paste: which batch; own: the one judged."""

    force_n: float
    stalled: bool
    yield_stress_pa: Spread
    barrel: Barrel
    land_m: float
    fill_m: float
    speed_m_s: float
    paste: int
    own: bool = False


@dataclass(frozen=True, kw_only=True)
class _Fit:
    law: PerPascal
    mean: Array
    root: Array
    log_evidence: float


def law_from_pushes(
    pushes: Sequence[Push], ring: Spread = practice.RING, cone_sd_log: float = practice.CONE_SD_LOG
) -> Law:
    """The law the pushes bear out, with honest widths; what practice says where there is no push yet."""
    kept = tuple(pushes)[-MOST_PUSHES:]
    if not kept:
        return usual_law(ring, cone_sd_log)
    slips = _fit(benbow, kept, prior(benbow, ring, cone_sd_log))
    title, best, why = "Benbow-Bridgwater", slips, _why_slips(kept)
    if not why:
        sticks = _fit(herschel, kept, prior(herschel, ring, cone_sd_log))
        odds = sticks.log_evidence - slips.log_evidence
        why = "the pushes bear it out better than a paste that sticks to the wall would"
        if odds > CLEARLY:
            title, best = "Herschel-Bulkley", sticks
            why = "the pushes at several speeds fit a paste that sticks to the wall clearly better than one that slides"
        elif odds > -CLEARLY:
            why = "the pushes do not tell a sliding wall from a sticking one, and the sliding one is kept"
    counted = f"{len(kept)} push{'es' if len(kept) > 1 else ''} of this machine"
    return rooted(best.law, best.mean, best.root, f"fitted from {counted}; {why}", title)


def _why_slips(pushes: Sequence[Push]) -> str:
    """Why the second law is not even tried; empty where it is."""
    ran = [push for push in pushes if not push.stalled]
    speeds = [push.speed_m_s for push in ran]
    if len(ran) < LEAST_RAN or max(speeds, default=1.0) < SPEED_SPAN * min(speeds, default=1.0):
        return "a law with a sticking wall needs three pushes at speeds that differ twofold"
    return ""


def _fit(law: PerPascal, pushes: Sequence[Push], before: tuple[Array, Array]) -> _Fit:
    """Twice: where the pushes scatter more than a push usually does, the second round believes them less."""
    wide = FORCE_SD_LOG
    residuals, size = _residuals(law, pushes, before, wide)
    found = least_squares(residuals, np.zeros(size))
    ran = [not push.stalled for push in pushes]
    left = found.fun[size:][ran]
    spare = len(left) - 2
    if spare > 0 and (left**2).sum() > spare:
        wide *= math.sqrt((left**2).sum() / spare)
        residuals, size = _residuals(law, pushes, before, wide)
        found = least_squares(residuals, found.x)
    bend = found.jac.T @ found.jac
    mean, sd = before
    cov = np.linalg.inv(bend)[: len(mean), : len(mean)] * np.outer(sd, sd)
    return _Fit(
        law=law,
        mean=mean + sd * found.x[: len(mean)],
        root=np.asarray(np.linalg.cholesky(cov + 1e-12 * np.eye(len(mean))), dtype=np.float64),
        log_evidence=-found.cost - np.linalg.slogdet(bend)[1] / 2 - len(left) * math.log(wide),
    )


def _residuals(
    law: PerPascal, pushes: Sequence[Push], before: tuple[Array, Array], force_sd_log: float
) -> tuple[Callable[[Array], Array], int]:
    """Residuals over whitened weights and one own effect per paste (that of the paste judged is the weight OWN)."""
    mean, sd = before
    others = sorted({push.paste for push in pushes if not push.own})
    place = np.array([OWN if push.own else len(mean) + others.index(push.paste) for push in pushes])
    log_force = np.log([push.force_n for push in pushes])
    noise = np.array([math.hypot(force_sd_log, push.yield_stress_pa.sd_log) for push in pushes])
    stalled = np.array([push.stalled for push in pushes])

    def residuals(x: Array) -> Array:
        own = x[place] * OTHER_PASTE_SD_LOG
        off = (log_force - np.log(_forces(law, mean + sd * x[: len(mean)], pushes, own))) / noise
        short = np.sqrt(np.maximum(-2 * log_ndtr(-off), 0.0))
        return np.concatenate([x, np.where(stalled, short, off)])

    return residuals, len(mean) + len(others)


def _forces(law: PerPascal, weights: Array, pushes: Sequence[Push], own: Array) -> Array:
    """Force of each push, N; pushes through one nozzle are worked out together."""
    force = np.zeros(len(pushes))
    for barrel in dict.fromkeys(push.barrel for push in pushes):
        which = [i for i, push in enumerate(pushes) if push.barrel == barrel]
        runs = Runs(
            barrel=barrel,
            land_m=np.array([pushes[i].land_m for i in which]),
            fill_m=np.array([pushes[i].fill_m for i in which]),
            speed_m_s=np.array([pushes[i].speed_m_s for i in which]),
        )
        stress = np.array([pushes[i].yield_stress_pa.mid for i in which]) * np.exp(weights[CONE] + own[which])
        per_pascal = law(np.tile(weights[:, None], len(which)), runs)
        force[which] = per_pascal * stress * barrel.area_m2 + math.exp(weights[RING])
    return force
