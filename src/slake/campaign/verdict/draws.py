"""What the verdict's numbers come to together: always the same even draws, shared unknowns counted once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri
from scipy.stats import qmc

from slake.paste.air import air_stored_m3
from slake.paste.ram import ram_force_n
from slake.paste.standing import wall_buckling_height_m, yield_height_m

from .inputs import Lengths, Press, Question, Tried
from .law import CONE, MOST_WEIGHTS, OTHER_PASTE_SD_LOG, OWN, RING, Law, Runs
from .spread import Spread

Array = NDArray[np.float64]
COUNT, MOST = 8192, 32768
LEAST_TOLD = 4000
"""Even draws that are worth as much as the weighed ones; fewer leave a chance a point or more off."""
ALONE = (
    "yield stress", "have", "land", "fill", "speed", "density", "stiffening", "modulus", "air", "bleed",
    "grain", "fibre", "water",
)  # fmt: skip
LEAST_WEIGHT = 1e-3


@cache
def _all_normals() -> Array:
    points = qmc.Sobol(MOST_WEIGHTS + len(ALONE), seed=20).random(MOST)
    found: Array = np.asarray(ndtri(np.clip(points, 1e-9, 1 - 1e-9)))
    return found


def normals(count: int = COUNT) -> Array:
    """(count, dims) standard normal, evenly spread; the law's weights come first. Fewer are the first of more."""
    return _all_normals()[:count]


@lru_cache(maxsize=256)
def _factors(name: str, sd_log: float, count: int) -> Array:
    return np.asarray(np.exp(sd_log * normals(count)[:, MOST_WEIGHTS + ALONE.index(name)]))


def drawn(name: str, spread: Spread, count: int = COUNT) -> Array:
    return np.asarray(spread.mid * _factors(name, spread.sd_log, count))


def runs_of(press: Press, count: int = COUNT) -> Runs:
    lengths: Lengths = press.lengths
    return Runs(
        barrel=press.barrel,
        land_m=drawn("land", lengths.land_m, count),
        fill_m=drawn("fill", lengths.fill_m, count),
        speed_m_s=drawn("speed", lengths.speed_m_s, count),
    )


@lru_cache(maxsize=16)
def weights_of(law: Law, count: int) -> Array:
    """(W, count) weights of the law in each draw."""
    return law.weights(normals(count))


@lru_cache(maxsize=128)
def _pressure_per_pascal(law: Law, press: Press, count: int) -> Array:
    """Pressure per pascal of yield stress in each draw; asked again and again for one press."""
    return law.per_pascal(weights_of(law, count), runs_of(press, count))


def pressure_per_pascal(law: Law, press: Press, count: int = COUNT) -> Array:
    return _pressure_per_pascal(law, Press(barrel=press.barrel, lengths=press.lengths), count)


@dataclass(frozen=True, kw_only=True)
class Draws:
    """Every number of the verdict in each draw, SI. `weight`: how well the draw fits what the machine was seen to do.

    contradicted: what was pushed and what stalled it do not go with the other numbers; they were left out.
    """

    weight: Array
    need_n: Array
    have_n: Array
    pressure_pa: Array
    stall_s: Array
    rate: Array
    print_s: Array
    foot_m: Array
    fold_m: Array
    stored_m3: Array
    flow_m3_s: Array
    contradicted: bool


def force_n(law: Law, press: Press, yield_stress_pa: Array) -> tuple[Array, Array, Array]:
    """(force, the ring's share of it, pressure), without what one paste does by itself."""
    count = len(yield_stress_pa)
    weights = weights_of(law, count)
    ring = np.exp(weights[RING])
    pressure = pressure_per_pascal(law, press, count) * yield_stress_pa * np.exp(weights[CONE])
    return ram_force_n(pressure, press.barrel, ring), ring, pressure


@lru_cache(maxsize=64)
def _seen(law: Law, force: Spread, tried: tuple[Tried, ...], count: int) -> tuple[Array, bool]:
    have, weight = drawn("have", force, count), np.ones(count)
    for one in tried:
        press = Press(barrel=one.barrel, lengths=one.lengths)
        need, ring, _ = force_n(law, press, np.full(count, one.yield_stress_pa.mid))
        left = np.maximum(have - ring, 1e-9)
        over = np.log(left / (need - ring)) / np.hypot(OTHER_PASTE_SD_LOG, one.yield_stress_pa.sd_log)
        weight = weight * ndtr(over if one.pushed else -over)
    if weight.mean() < LEAST_WEIGHT:
        return np.ones(count), True
    return np.asarray(weight), False


def seen(question: Question, count: int) -> tuple[Array, bool]:
    """How likely each draw makes what the machine pushed and stalled at; another paste differs by itself.

    And whether that contradicts the other numbers, which leaves all draws even.
    """
    return _seen(question.law, question.press.force_n, question.press.tried, count)


def enough(question: Question) -> int:
    """How many draws it takes: more where few of them go with what the machine was seen to do."""
    weight, _ = seen(question, COUNT)
    told = weight.sum() ** 2 / (weight**2).sum()
    return COUNT if told >= LEAST_TOLD else MOST


def draw(question: Question, count: int = 0) -> Draws:
    """Every number of the verdict, worked out in each of the draws; as many as it takes where no count is given."""
    count = count or enough(question)
    paste, plan, press = question.paste, question.plan, question.press
    weights, rate = weights_of(question.law, count), drawn("stiffening", paste.stiffening_per_s, count)
    read = drawn("yield stress", paste.stiffness_pa, count) * np.exp(rate * (plan.wait_s + plan.aged_s))
    have, (weight, contradicted) = drawn("have", press.force_n, count), seen(question, count)
    need, ring, pressure = force_n(question.law, press, read * np.exp(weights[OWN]))
    runs = runs_of(press, count)
    flow, filled = runs.speed_m_s * question.bead_m2, press.barrel.area_m2 * runs.fill_m
    stood = read * np.exp(rate * plan.pause_s)
    true = stood * np.exp(weights[CONE])
    return Draws(
        weight=weight,
        need_n=need,
        have_n=have,
        pressure_pa=pressure,
        stall_s=np.log(np.maximum(have - ring, 1e-9) / (need - ring)) / np.maximum(rate, 1e-12),
        rate=rate,
        print_s=_print_s(question, filled / flow),
        foot_m=_foot(question, true),
        fold_m=_fold(question, stood if paste.modulus_on_reading else true),
        stored_m3=np.asarray(air_stored_m3(drawn("air", paste.air_fraction, count), filled, pressure)),
        flow_m3_s=flow,
        contradicted=contradicted,
    )


def _print_s(question: Question, full_s: Array) -> Array:
    """How long it runs in all: as stated, else as long as a full barrel lasts."""
    stated = question.prints_s
    return (full_s if stated is None else np.full(len(full_s), stated)) + question.plan.pause_s


def _foot(question: Question, yield_stress_pa: Array) -> Array:
    """The law of one wall, scaled to each draw: the height goes as yield stress over density."""
    density = drawn("density", question.paste.density_kg_m3, len(yield_stress_pa))
    return np.asarray(yield_height_m(1.0, 1.0) * yield_stress_pa / density)


def _fold(question: Question, yield_stress_pa: Array) -> Array:
    """The law of one wall, scaled to each draw: the height goes as the cube root of stiffness over density."""
    wall, count = question.plan.wall, len(yield_stress_pa)
    if wall is None:
        return np.full(count, np.inf)
    stiffness = drawn("modulus", question.paste.modulus_per_yield, count) * yield_stress_pa
    density = drawn("density", question.paste.density_kg_m3, count)
    return np.asarray(wall_buckling_height_m(1.0, 1.0, wall.wall_m) * np.cbrt(stiffness / density))
