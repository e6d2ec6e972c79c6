"""The liquid between the grains: gums as coils that overlap, gum given off by seaweed and peel, ties by calcium."""

from dataclasses import dataclass

import numpy as np

from .waste import Part, Temper
from .water import Array, Budget, habit

GIVEN_OVERLAP, GIVEN_PULL, GIVEN_POWER, GIVEN_SPRING = 0.45, 0.08, 2.1, 0.2
CROWDED = 140.0  # overlaps beyond which more gum hardly finds water


@dataclass(frozen=True, kw_only=True)
class Liquid:
    """The gum solution; (n,) arrays."""

    pa: Array  # its own stiffness
    overlaps: Array  # times over the overlap concentration
    pa_s: Array  # viscosity at rest
    springy: Array  # 0..1
    tied: Array  # 0..1 share of anionic gum tied by calcium


def _coils(parts: tuple[Part, ...], temper: Temper, at: Budget) -> Array:
    """(n, parts + 1) times over overlap of each gum; the last is gum given off by the waste."""
    screen = 1.0 + temper.salt_bite * 0.4 * at.salt[:, None] * habit(parts, "charged")
    per_100 = 100.0 * at.dry / at.free[:, None]
    overlap = habit(parts, "overlap")
    known = np.where(overlap > 0, per_100 / (np.where(overlap > 0, overlap, 1.0) * screen), 0.0)
    given = (per_100 * habit(parts, "leach")).sum(axis=1) / GIVEN_OVERLAP
    return np.column_stack([known, given])


def _ties(parts: tuple[Part, ...], temper: Temper, at: Budget) -> tuple[Array, Array]:
    """Share of anionic gum tied at an hour, and how much of that gum there is (g per 100 g free water)."""
    anionic = (at.dry * (habit(parts, "leach") + habit(parts, "gels"))).sum(axis=1)
    calcium = (at.dry * habit(parts, "calcium")).sum(axis=1)
    sour = (at.dry * habit(parts, "acid")).sum(axis=1)
    offered = temper.tie_rate * calcium * (0.02 + 0.6 * sour)
    tied = 1.0 - np.exp(-offered / (anionic + 1e-3))
    return tied, 100.0 * anionic / at.free


def liquid(parts: tuple[Part, ...], temper: Temper, at: Budget) -> Liquid:
    """Semi-dilute blend: coils overlap together, each grows with its own exponent; calcium adds a gel on top."""
    coils = _coils(parts, temper, at)
    total = coils.sum(axis=1) + 1e-9
    crowd = total / (1.0 + total / CROWDED)
    weight = coils / total[:, None]
    pull = np.append(habit(parts, "pull"), GIVEN_PULL)
    power = np.append(habit(parts, "power"), GIVEN_POWER)
    spring = np.append(habit(parts, "springy"), GIVEN_SPRING)
    plain = (weight * pull * crowd[:, None] ** power).sum(axis=1)
    meeting = 1.0 + temper.synergy * (1.0 - (weight**2).sum(axis=1))
    tied, strength = _ties(parts, temper, at)
    gel = temper.tie_pa * tied * (strength / (1.0 + strength / 15.0)) ** 2
    pa = plain * meeting + gel
    thick = 1.0 + crowd + 0.4 * crowd**2 + crowd ** np.minimum(weight @ power + 1.5, 4.0)
    springy = (plain * meeting * (weight @ spring) + 0.6 * gel) / (pa + 1e-9)
    return Liquid(pa=pa, overlaps=crowd, pa_s=1e-3 * thick, springy=springy, tied=tied)
