"""Leaning beads: when a stack tips, when the joint gives, and what a closed wall carries round itself."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import OutsideRange, require_positive
from slake.ground.units import GRAVITY_M_S2

FloatArray = NDArray[np.float64]
STEEPEST_DEG = 85.0
HUGE = 1e6


def bead_step_m(layer_height_m: float, lean_deg: float) -> float:
    """How far each layer is laid outside the one below, `lean_deg` from upright. Geometry."""
    require_positive(layer_height_m=layer_height_m)
    if not 0 <= lean_deg <= STEEPEST_DEG:
        raise OutsideRange("lean from upright (deg)", got=lean_deg, low=0, high=STEEPEST_DEG, do="that is a free span")
    return layer_height_m * math.tan(math.radians(lean_deg))


def tipping_layers(contact_m: float, bead_step_m: float) -> float:
    """Layers above a joint at which an evenly leaning free stack tips over its edge: contact / step - 1.

    Rigid beads, nothing holds them down but their weight: the middle of the stack stands (n + 1)/2 steps out, the edge
    half a contact. Infinite where upright. Statics.
    """
    require_positive(contact_m=contact_m)
    return contact_m / bead_step_m - 1 if bead_step_m > 0 else math.inf


def loose_joint_factor(
    strength_pa: FloatArray, contact_m: FloatArray, weight_n_m: FloatArray, off_middle_m: FloatArray
) -> FloatArray:
    """How many times the weight above a joint bears that cannot be pulled: strength (contact - 2 e) / weight.

    The weight, its middle `off_middle_m` out, is carried on the part of the joint even about it; 0 from half a contact
    on. Of unyielding paste that is the tipping above. Statics.
    """
    bearing = np.maximum(contact_m - 2 * off_middle_m, 0.0)
    return np.asarray(np.minimum(strength_pa * bearing / np.maximum(weight_n_m, 1e-12), HUGE))


def bonded_joint_factor(
    strength_pa: FloatArray, contact_m: FloatArray, weight_n_m: FloatArray, off_middle_m: FloatArray
) -> FloatArray:
    """The same of a joint as strong in pull as in push: m/M + (n/N)^2 = 1 of a rectangle that yields throughout.

    N = strength contact, M = strength contact^2 / 4. A cracked or dried joint is not bonded. Theory of plasticity.
    """
    push = np.maximum(weight_n_m, 1e-12) / (strength_pa * contact_m)
    turn = 4 * push * off_middle_m / contact_m
    return np.asarray(np.minimum(2 / (turn + np.sqrt(turn**2 + 4 * push**2)), HUGE))


def hoop_factor(
    strength_pa: FloatArray, density_kg_m3: FloatArray, radius_m: FloatArray, lean_deg: FloatArray
) -> FloatArray:
    """How many times its weight a leaning closed wall bears by the pull round it: strength / (rho g R tan lean).

    A thin cone that carries the part of its weight that leans outward round itself (membrane), joints not bent. Needs
    closed layers that stick. Statics.
    """
    pull = density_kg_m3 * GRAVITY_M_S2 * radius_m * np.tan(np.radians(np.minimum(lean_deg, STEEPEST_DEG)))
    return np.asarray(np.minimum(strength_pa / np.maximum(pull, 1e-12), HUGE))


def resting_factor(contact_m: FloatArray, bead_step_m: FloatArray) -> FloatArray:
    """How many times its step the newest bead could be laid out before it tips off: contact / (2 step). Statics."""
    return np.asarray(np.minimum(contact_m / (2 * np.maximum(bead_step_m, 1e-12)), HUGE))


def rolling_factor(
    strength_pa: FloatArray, density_kg_m3: FloatArray, radius_m: FloatArray, sizes_m: tuple[FloatArray, FloatArray]
) -> FloatArray:
    """How many times its weight a round bead bears before it rolls off: strength h / (4 rho g R overhang).

    `sizes_m`: height of the bead, and how far its middle hangs over the edge it rests on; it does not roll where that
    is not above zero. A closed bead cannot roll without being stretched and pressed round itself: weight x overhang =
    (strength w h^2 / 4) / R. A rectangular section that yields throughout; no bond below. Statics and plasticity.
    """
    high, overhang = sizes_m
    turns = 4 * density_kg_m3 * GRAVITY_M_S2 * radius_m * np.maximum(overhang, 0.0)
    return np.asarray(np.minimum(strength_pa * high / np.maximum(turns, 1e-12), HUGE))
