"""Walls and rings of the references, as slake answers for them. Inputs are those the references print, nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from slake.paste.buckling import free_wall_growing_height_m, load_factor, plate_stiffness_n_m
from slake.paste.buckling_edges import held_wall_height, hinged
from slake.paste.buckling_yielding import hardening_left_pa
from slake.paste.strength_by_age import steady
from slake.path.standing import Laid, Plain, stack_of
from slake.path.stands_answer import Stands, stands

GRAVITY = 9.81


def laid(first: tuple[float, float], strength: tuple[float, float], stiff: tuple[float, float], density: float) -> Laid:
    """Paste of one value each, growing along straight lines with the time since laid."""
    return Laid(
        first_yield=steady(*first),
        strength=steady(*strength),
        modulus=steady(*stiff),
        density_kg_m3=np.array([density]),
    )


LM30 = laid((1210, 0.25), (7000, 3.1), (989_999, 22.11), 2112.5)
LSM30 = laid((3490, 0.583), (21_000, 9.0), (2_509_998, 650), 2112.5)
ELASTIC = laid((1e8, 0), (1e8, 0), (990_000, 22.11), 2112.5)
LM30_WALL = Plain(layers=40, layer_height_m=0.0117, layer_s=200 / 15, wall_m=0.0303, contact_m=0.02213, plan_m=0.2)
LSM30_WALL = Plain(layers=40, layer_height_m=0.01221, layer_s=200 / 15, wall_m=0.02763, contact_m=0.01922, plan_m=0.2)
LOW_WALL = Plain(layers=60, layer_height_m=0.0084, layer_s=10.0, wall_m=0.0321, contact_m=0.0274, plan_m=0.2)
RING = Plain(layers=70, layer_height_m=0.010, layer_s=18.85, wall_m=0.040, radius_m=0.250, closed=True)
RING_PASTE = laid((5984, 2.45), (5984, 2.45), (78_100, 20.0), 2070)
CASES = {
    "lm30": (LM30_WALL, LM30),
    "lsm30": (LSM30_WALL, LSM30),
    "elastic": (LOW_WALL, ELASTIC),
    "elastic_lm30": (LM30_WALL, ELASTIC),
    "low_lm30": (LOW_WALL, LM30),
    "low_lsm30": (LOW_WALL, LSM30),
    "ring": (RING, RING_PASTE),
}


@cache
def answer(case: str) -> Stands:
    plain, paste = CASES[case]
    return stands(stack_of(plain), paste)


@dataclass(frozen=True)
class Within:
    """A count of layers, drawn to the nearer end of the bracket of a case where it lies outside."""

    layers: float

    def __getattr__(self, case: str) -> float:
        if case not in CASES:
            raise AttributeError(case)
        found = answer(case)
        return float(np.clip(self.layers, found.earliest.layers, found.latest.layers))


def within_bracket(layers: float) -> Within:
    return Within(layers)


def hinged_height(length: float) -> float:
    return held_wall_height(length, hinged)


def ring_as_free_wall_layers() -> float:
    height = free_wall_growing_height_m(
        plate_stiffness_n_m(78_100, 0.040), 2070 * GRAVITY * 0.040, 20 / 78_100, 0.01 / 18.85
    )
    return height / 0.01


class Hardened:
    """Layers at which a free wall of one section folds with the hardening law alone, the weight of its bead kept."""

    def __getattr__(self, name: str) -> float:
        case, _, section = name.partition("_")
        if case not in CASES:
            raise AttributeError(name)
        plain, paste = CASES[case]
        area = float(stack_of(plain).area_m2[0])
        width = {"full": plain.wall_m, "contact": plain.contact_m, "equal": area / plain.layer_height_m}[section]
        factors = [_factor(n, width, area, (plain, paste)) for n in range(2, 40)]
        first = next(i for i, factor in enumerate(factors) if factor < 1)
        over, under = np.log(factors[first - 1]), np.log(factors[first])
        return float(first + 1 + over / (over - under))


def hardened_layers() -> Hardened:
    return Hardened()


def _factor(layers: int, width: float, area: float, case: tuple[Plain, Laid]) -> float:
    plain, paste = case
    height = layers * plain.layer_height_m
    z = (np.arange(200) + 0.5) / 200 * height
    age = plain.layer_s * (layers - 1 - np.floor(z / plain.layer_height_m))
    weight = paste.density_kg_m3[0] * GRAVITY * area * (height - z) / plain.layer_height_m
    parts = [grown.at(age)[0] for grown in (paste.modulus, paste.first_yield, paste.strength)]
    stiff = hardening_left_pa(*parts, weight / width) * width**3 / 12 / (1 - 0.3**2)
    return float(load_factor(stiff, weight, np.array(height)))
