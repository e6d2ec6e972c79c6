"""How many times its load the wall bears at each moment, (D, S), in every way to fall, at its weakest and strongest."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from slake.ground.units import GRAVITY_M_S2
from slake.paste.buckling import POISSON, load_factor, waved_times
from slake.paste.buckling_yielding import hardening_left_pa, softening_left_pa
from slake.paste.sagging import BUILT_IN_PLASTIC, HINGED_ELASTIC
from slake.paste.standing_growing import HELD_ALONG
from slake.paste.tilting import (
    HUGE,
    bonded_joint_factor,
    hoop_factor,
    loose_joint_factor,
    resting_factor,
    rolling_factor,
)

from .standing import Stack
from .stands_case import Case

Array = NDArray[np.float64]
MOST_JOINTS = 48
LEAST_LEAN_DEG = 1.0
"""Less lean than this is not told from upright."""


def foot_narrow(case: Case) -> Array:
    stress = case.worn.foot_n_m / case.stack.contact_m[case.grid.layer]
    return np.asarray((case.worn.first_yield_pa / stress).min(axis=-1))


def foot_wide(case: Case) -> Array:
    stress = case.worn.foot_n_m / case.stack.mean_m[case.grid.layer]
    return np.asarray((HELD_ALONG * case.worn.strength_pa / stress).min(axis=-1))


def fold_narrow(case: Case) -> Array:
    """Strip of the contact width that softens from the first load on, towards its first yield; held a little."""
    width = case.stack.contact_m[case.grid.layer]
    left = softening_left_pa(case.worn.modulus_pa, case.worn.first_yield_pa, case.worn.weight_n_m / width)
    free = load_factor(left * _second_moment_m3(case, width), case.worn.weight_n_m, case.grid.height_m)
    return free * case.held.least


def fold_wide(case: Case) -> Array:
    """Plate of the full width that hardens after first yield, held as far as the object's own shape holds it."""
    width = case.stack.wall_m[case.grid.layer]
    stress = case.worn.weight_n_m / (case.stack.mean_m[case.grid.layer] * HELD_ALONG)
    left = hardening_left_pa(case.worn.modulus_pa, case.worn.first_yield_pa, case.worn.strength_pa, stress)
    stiff = left * _second_moment_m3(case, width) / (1 - POISSON**2)
    return load_factor(stiff, case.worn.weight_n_m, case.grid.height_m) * case.held.most


def _second_moment_m3(case: Case, width: Array) -> Array:
    waved = waved_times(float(np.median(case.stack.wall_m)), case.stack.wave_m)
    return np.asarray(width**3 / 12 * waved)


def _joints(case: Case) -> tuple[NDArray[np.int64], Array, Array]:
    """Layer above each joint looked at (J,); weight above it and how far its middle is out, (S, J)."""
    stack, last = case.stack, len(case.stack.done_s) - 1
    joint = np.unique(np.linspace(1, last, min(last, MOST_JOINTS)).round().astype(np.int64))
    area = np.concatenate([[0.0], np.cumsum(stack.area_m2)])
    out = np.cumsum(stack.step_m)
    moment = np.concatenate([[0.0], np.cumsum(stack.area_m2 * out)])
    top = case.grid.stage[:, None] + 1
    above = np.maximum(area[top] - area[joint], 0.0)
    off = np.where(above > 0, (moment[top] - moment[joint]) / np.where(above > 0, above, 1.0) - out[joint - 1], 0.0)
    return joint, np.asarray(above), np.asarray(np.abs(off))


def _leans(case: Case) -> bool:
    return len(case.stack.done_s) > 1 and bool(np.any(np.abs(case.stack.lean_deg[1:]) >= LEAST_LEAN_DEG))


def _upright(case: Case) -> Array:
    return np.full((1, len(case.grid.stage)), HUGE)


def _stack_tips(case: Case, strength: Callable[[Array], Array], joint_factor: Callable[..., Array]) -> Array:
    joint, above, off = _joints(case)
    since = case.stack.done_s[case.grid.stage][:, None] - case.stack.done_s[joint - 1]
    weight = (case.laid.density_kg_m3 * GRAVITY_M_S2)[:, None, None] * above
    factor = joint_factor(strength(np.maximum(since, 0.0)), case.stack.contact_m[joint - 1], weight, off)
    return np.asarray(np.where(above > 0, factor, HUGE).min(axis=-1))


def _hoop(case: Case, strength_pa: Array) -> Array:
    """The pull round a closed wall, by place; only where it leans."""
    lean, radius = np.abs(case.stack.lean_deg[case.grid.layer]), case.stack.radius_m[case.grid.layer]
    leans = np.maximum(lean, LEAST_LEAN_DEG)
    pull = hoop_factor(strength_pa, case.laid.density_kg_m3[:, None, None], radius, leans)
    return np.asarray(np.where(lean >= LEAST_LEAN_DEG, pull, HUGE).min(axis=-1))


def lean_loose(case: Case) -> Array:
    if not _leans(case):
        return _upright(case)
    stack = case.stack
    if np.all(stack.closed) and np.all(np.isfinite(stack.radius_m)):
        return np.asarray(np.minimum(_hoop(case, case.worn.first_yield_pa), _newest_rolls(case)))
    rests = np.append(HUGE, resting_factor(stack.contact_m[:-1], np.abs(stack.step_m[1:])))
    newest = np.minimum.accumulate(rests)[case.grid.stage]
    return np.asarray(np.minimum(_stack_tips(case, case.laid.first_yield.at, loose_joint_factor), newest))


def _newest_rolls(case: Case) -> Array:
    """The newest round bead, as laid, over the edge of the contact with the one below: the worst up to each moment."""
    stack = case.stack
    overhang = np.append(0.0, np.abs(stack.step_m[1:]) - stack.contact_m[:-1] / 2)
    fresh, density = case.laid.first_yield.at_laying[:, None], case.laid.density_kg_m3[:, None]
    rolls = rolling_factor(fresh, density, stack.radius_m, (stack.thickness_m, overhang))
    return np.asarray(np.minimum.accumulate(rolls, axis=-1)[:, case.grid.stage])


def lean_bonded(case: Case) -> Array:
    if not _leans(case):
        return _upright(case)
    bent = _stack_tips(case, case.laid.strength.at, bonded_joint_factor)
    return np.asarray(np.maximum(bent, _hoop(case, case.worn.strength_pa))) if np.all(case.stack.closed) else bent


def _span(case: Case, fresh_pa: Array, form: float) -> Array:
    """Beads over nothing yield when laid or not at all: the worst up to each moment."""
    stack = case.stack
    if not np.any(stack.span_m > 0):
        return _upright(case)
    high, span = stack.thickness_m, np.maximum(stack.span_m, 1e-9)
    own = (case.laid.density_kg_m3 * GRAVITY_M_S2)[:, None] * span**2
    bears = np.where(stack.span_m > 0, form * fresh_pa[:, None] * high / own, HUGE)
    return np.asarray(np.minimum(np.minimum.accumulate(bears, axis=-1)[:, case.grid.stage], HUGE))


def span_resting(case: Case) -> Array:
    return _span(case, case.laid.first_yield.at_laying, HINGED_ELASTIC)


def span_built_in(case: Case) -> Array:
    return _span(case, np.maximum(case.laid.strength.at_laying, case.laid.first_yield.at_laying), BUILT_IN_PLASTIC)


def foot_wetted(case: Case) -> Array:
    """The foot with all the water pressed out above it, and without half of what it had dried before it was covered."""
    laid, stack, stage = case.laid, case.stack, case.grid.stage
    if not (np.any(laid.bleed > 0) or np.any(laid.dries_most > 0)) or len(stack.done_s) < 2:
        return _upright(case)
    area = np.cumsum(stack.area_m2)
    pressed = np.array([float(np.sum((area[k] - area[1 : k + 1]) * _share(stack)[1 : k + 1])) for k in stage])
    weeps = laid.bleed * (1 + laid.water_per_dry) * laid.density_kg_m3 * GRAVITY_M_S2 / laid.press_pa
    had = np.minimum(
        laid.dries_per_s * laid.dries_wall_m / stack.wall_m[0] * (stack.done_s[1] - stack.done_s[0]), laid.dries_most
    )
    lost = laid.water_slope[:, None] * weeps[:, None] * pressed + had[:, None] / 2
    return np.asarray(foot_narrow(case) * np.exp(-np.minimum(lost, 50.0)))


def _share(stack: Stack) -> Array:
    """Solids of a layer over those of the foot, per width on which it is pressed, (n,)."""
    return np.asarray(stack.area_m2 / stack.area_m2[0] / stack.wall_m)
