"""What a property's own exact readings say of its remainder: how large it is, how far it reaches in each direction, and
how much of a reading is scatter.

The likeliest values, each with a wide expectation (practice), by climbing the exact Gaussian evidence. Two Gaussians of
one shape, the second three times as short and of its own size, and one so long that it is all but a straight line.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import LinAlgError, cho_solve, cholesky
from scipy.optimize import minimize

from .reach import Reach
from .scales import Scales

Array = NDArray[np.float64]
ROUGH, STRAIGHT = 3.0, 10.0
LENGTH, SHARE_ROUGH, SHARE_STRAIGHT, SHARE_OWN = 1.5, 0.3, 0.37, 0.2
SD_LENGTH, SD_SIZE, SD_ROUGH, SD_STRAIGHT, SD_OWN, SD_READING = 1.0, 1.0, 1.0, 1.5, 1.5, 1.0
FURTHEST = math.log(50.0)
ODD_Z, ODD_PER_ROOT, MOST_ODD = (4.0, 6.0), 0.6, 4
"""A reading farther than this from what all others say is left out here, between 4 and 6 standard deviations, the more
the more readings there are: one slip among n that widened the scatter lies about root n off.
"""
MOST_ROUNDS, SIZES = 40, 5
NEVER = 1e9


@dataclass(frozen=True, kw_only=True)
class Case:
    """Readings of one property: (n,) gap from what was expected, (n, n) covariance of all but its remainder, (n, k)
    places, (n, n) whether two are of one batch, (n,) declared scatter, and sizes expected of remainder, straight part
    and own misfit.
    """

    gap: Array
    rest: Array
    places: Array
    same: Array
    scatter: Array
    expected: tuple[float, float, float]
    known: bool


def learned(scale: Scales, channel: str, usual: tuple[float, float], case: Case, by_shares: bool) -> Scales:
    """The scales with those of one channel as its readings like them best. `usual`: its sd of remainder and misfit."""
    best, kept = case, np.arange(len(case.gap))
    logs, odd = _climbed(best)
    for _ in range(MOST_ODD):
        if odd is None:
            break
        kept = np.delete(kept, odd)
        best = _without(best, odd)
        logs, odd = _climbed(best)
    size, rough, straight, own, reading = np.exp(logs[-SIZES:])
    parts = np.array([size, rough, STRAIGHT * straight]) ** 2
    total = math.sqrt(float(parts.sum()))
    per = np.exp(-logs[:-SIZES])
    reach = Reach(
        weights=tuple((parts / total**2).tolist()),
        per_length=(tuple(per), tuple(per * ROUGH), tuple(np.full(len(per), 1 / STRAIGHT))),
        by_shares=by_shares,
    )
    return replace(
        scale,
        single={**scale.single, channel: (float(total / usual[0]), float(own / usual[1]))},
        reading={**scale.reading, channel: float(reading)},
        reach={**scale.reach, channel: reach},
    )


def _without(case: Case, one: int) -> Case:
    def cut(square: Array) -> Array:
        return np.delete(np.delete(square, one, 0), one, 1)

    gap, scatter, places = (np.delete(x, one, 0) for x in (case.gap, case.scatter, case.places))
    return replace(case, gap=gap, scatter=scatter, places=places, rest=cut(case.rest), same=cut(case.same))


def _climbed(case: Case) -> tuple[Array, int | None]:
    """Logs of lengths, sizes of remainder, rough part, straight part and own misfit, and times of the scatter; and
    which reading lies too far from what all others say, if any.
    """
    middle, sd, ends = _expectations(case)
    squares = (case.places[:, None, :] - case.places[None, :, :]) ** 2
    straight = np.exp(-0.5 * squares.sum(2) / STRAIGHT**2)

    def worth(logs: Array) -> tuple[float, Array]:
        value, slope, _ = _evidence(case, (squares, straight), logs)
        off = (logs - middle) / sd
        return -value + 0.5 * float(off @ off), -slope + off / sd

    found = minimize(worth, middle, jac=True, method="L-BFGS-B", bounds=ends, options={"maxiter": MOST_ROUNDS})
    _, _, z = _evidence(case, (squares, straight), found.x)
    far = int(np.argmax(np.abs(z)))
    return np.asarray(found.x), far if abs(z[far]) > np.clip(ODD_PER_ROOT * math.sqrt(len(z)), *ODD_Z) else None


def _expectations(case: Case) -> tuple[Array, Array, list[tuple[float, float]]]:
    """Middle, sd and ends of every logarithm."""
    ways = case.places.shape[1]
    size, straight, own = (math.log(x) for x in case.expected)
    moving = max(int((np.ptp(case.places, axis=0) > 1e-9).sum()), 1)
    length = math.log(LENGTH) if case.known else math.log(LENGTH * math.sqrt(moving))
    middle = np.array([length] * ways + [size, size + math.log(SHARE_ROUGH), straight, own, 0.0])
    sd = np.array([SD_LENGTH] * ways + [SD_SIZE, SD_ROUGH, SD_STRAIGHT, SD_OWN, SD_READING])
    ends = [(m - FURTHEST, m + FURTHEST) for m in middle]
    ends[-1] = (0.0, 0.0) if case.known else (-FURTHEST, 0.0)
    if case.known:
        ends[-3] = (straight, straight)
    return middle, sd, ends


def _evidence(case: Case, fixed: tuple[Array, Array], logs: Array) -> tuple[float, Array, Array]:
    """Log of the Gaussian evidence, its slope in the logs, and how far each reading lies from what all others say."""
    squares, straight = fixed
    size, bent, line, own, reading = np.exp(2 * logs[-SIZES:])
    per = np.exp(-2 * logs[:-SIZES])
    near = np.exp(-0.5 * squares @ per)
    smooth, rough = size * near, bent * near ** (ROUGH**2)
    parts = (smooth, rough, STRAIGHT**2 * line * straight, own * case.same, np.diag(reading * case.scatter**2))
    try:
        lower = cholesky(case.rest + sum(parts), lower=True, check_finite=False)
    except LinAlgError:
        return -NEVER, np.zeros(len(logs)), np.zeros(len(case.gap))
    inverse = cho_solve((lower, True), np.eye(len(lower)), check_finite=False)
    pull = inverse @ case.gap
    turn = np.outer(pull, pull) - inverse
    lengths = 0.5 * np.tensordot(turn * (smooth + ROUGH**2 * rough), squares, axes=2) * per
    sizes = [float((turn * part).sum()) for part in parts]
    value = -0.5 * float(case.gap @ pull) - float(np.log(np.diag(lower)).sum())
    return value, np.array([*lengths, *sizes]), pull / np.sqrt(np.diag(inverse))
