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

from .inputs import Lengths, Press, Question
from .law import CONE, MOST_WEIGHTS, OTHER_PASTE_SD_LOG, OWN, RING, Law, Runs
from .spread import Spread

Array = NDArray[np.float64]
COUNT = 8192
ALONE = (
    "yield stress", "have", "land", "fill", "speed", "density", "stiffening", "modulus", "air", "bleed",
    "grain", "fibre", "water",
)  # fmt: skip
LEAST_WEIGHT = 1e-3


@cache
def normals() -> Array:
    """(COUNT, dims) standard normal, evenly spread; the law's weights come first."""
    points = qmc.Sobol(MOST_WEIGHTS + len(ALONE), seed=20).random(COUNT)
    found: Array = np.asarray(ndtri(np.clip(points, 1e-9, 1 - 1e-9)))
    return found


def drawn(name: str, spread: Spread) -> Array:
    return np.asarray(spread.mid * np.exp(spread.sd_log * normals()[:, MOST_WEIGHTS + ALONE.index(name)]))


def runs_of(press: Press) -> Runs:
    lengths: Lengths = press.lengths
    return Runs(
        barrel=press.barrel,
        land_m=drawn("land", lengths.land_m),
        fill_m=drawn("fill", lengths.fill_m),
        speed_m_s=drawn("speed", lengths.speed_m_s),
    )


@lru_cache(maxsize=128)
def _pressure_per_pascal(law: Law, press: Press) -> Array:
    """Pressure per pascal of yield stress in each draw; asked again and again for one press."""
    return law.per_pascal(law.weights(normals()), runs_of(press))


def pressure_per_pascal(law: Law, press: Press) -> Array:
    return _pressure_per_pascal(law, Press(barrel=press.barrel, lengths=press.lengths))


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
    print_s: Array
    foot_m: Array
    fold_m: Array
    stored_m3: Array
    flow_m3_s: Array
    contradicted: bool


def force_n(law: Law, press: Press, yield_stress_pa: Array) -> tuple[Array, Array, Array]:
    """(force, the ring's share of it, pressure), without what one paste does by itself."""
    weights = law.weights(normals())
    ring = np.exp(weights[RING])
    pressure = pressure_per_pascal(law, press) * yield_stress_pa * np.exp(weights[CONE])
    return ram_force_n(pressure, press.barrel, ring), ring, pressure


def seen_weight(question: Question, have: Array) -> tuple[Array, bool]:
    """How likely each draw makes what the machine pushed and stalled at; another paste differs by itself."""
    weight, law = np.ones(COUNT), question.law
    for tried in question.press.tried:
        press = Press(barrel=tried.barrel, lengths=tried.lengths)
        stress = np.full(COUNT, tried.yield_stress_pa.mid)
        need, ring, _ = force_n(law, press, stress)
        left = np.maximum(have - ring, 1e-9)
        over = np.log(left / (need - ring)) / np.hypot(OTHER_PASTE_SD_LOG, tried.yield_stress_pa.sd_log)
        weight = weight * ndtr(over if tried.pushed else -over)
    if weight.mean() < LEAST_WEIGHT:
        return np.ones(COUNT), True
    return np.asarray(weight), False


def draw(question: Question) -> Draws:
    """Every number of the verdict, worked out in each of the draws."""
    paste, plan, press = question.paste, question.plan, question.press
    weights = question.law.weights(normals())
    rate = drawn("stiffening", paste.stiffening_per_s)
    read = drawn("yield stress", paste.yield_stress_pa) * np.exp(rate * plan.wait_s)
    have = drawn("have", press.force_n)
    weight, contradicted = seen_weight(question, have)
    need, ring, pressure = force_n(question.law, press, read * np.exp(weights[OWN]))
    runs = runs_of(press)
    flow, filled = runs.speed_m_s * question.bead_m2, press.barrel.area_m2 * runs.fill_m
    stood = read * np.exp(rate * plan.pause_s)
    true = stood * np.exp(weights[CONE])
    return Draws(
        weight=weight,
        need_n=need,
        have_n=have,
        pressure_pa=pressure,
        stall_s=np.log(np.maximum(have - ring, 1e-9) / (need - ring)) / np.maximum(rate, 1e-12),
        print_s=(filled / flow if plan.print_s is None else np.full(COUNT, plan.print_s)) + plan.pause_s,
        foot_m=_foot(question, true),
        fold_m=_fold(question, stood if paste.modulus_on_reading else true),
        stored_m3=np.asarray(air_stored_m3(drawn("air", paste.air_fraction), filled, pressure)),
        flow_m3_s=flow,
        contradicted=contradicted,
    )


def _foot(question: Question, yield_stress_pa: Array) -> Array:
    """The law of one wall, scaled to each draw: the height goes as yield stress over density."""
    return np.asarray(yield_height_m(1.0, 1.0) * yield_stress_pa / drawn("density", question.paste.density_kg_m3))


def _fold(question: Question, yield_stress_pa: Array) -> Array:
    """The law of one wall, scaled to each draw: the height goes as the cube root of stiffness over density."""
    wall = question.plan.wall
    if wall is None:
        return np.full(COUNT, np.inf)
    stiffness = drawn("modulus", question.paste.modulus_per_yield) * yield_stress_pa
    density = drawn("density", question.paste.density_kg_m3)
    return np.asarray(wall_buckling_height_m(1.0, 1.0, wall.wall_m) * np.cbrt(stiffness / density))
