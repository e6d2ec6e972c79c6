"""A wall that dries through its two faces while what is around it changes: covered, uncovered, turned.

Water moves through the wall by diffusion, on the grid of its solids, so that the wall may shrink while it dries. Every
array has one entry per draw, shape (draws,), and all draws go through one run together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import OutsideRange

FloatArray = NDArray[np.float64]
CELLS = 14
FIRST_STEP_S = 60.0
STEP_GROWS = 1.05
LEAST_STEPS = 150
MOST_STEPS = 1500
DRIEST = 1e-9


@dataclass(frozen=True, kw_only=True)
class Slab:
    """A wall of wet paste. Arrays (draws,): thickness wet, water per dry solids, solids per wet volume, diffusivity,
    and the water per dry solids it would keep in half-humid air.
    """

    thickness_m: FloatArray
    water_per_dry: FloatArray
    solids_kg_m3: FloatArray
    diffusivity_m2_s: FloatArray
    half_humid_water: FloatArray


@dataclass(frozen=True, kw_only=True)
class Spell:
    """A time in which nothing changes around the wall. Fluxes of each face while it is wet, (draws,); 0: sealed."""

    until_s: float
    near_flux: FloatArray
    far_flux: FloatArray
    humidity: FloatArray


@dataclass(frozen=True, kw_only=True)
class SlabRun:
    """Water per dry solids over time: times (times,), the others (times, draws). behind: mean less the drier face;
    apart: mean of the near half less that of the far half.
    """

    times_s: FloatArray
    mean: FloatArray
    behind: FloatArray
    apart: FloatArray


def beside_slabs(slabs: Sequence[Slab]) -> Slab:
    """Several walls as one with their draws side by side."""
    return Slab(**{name: np.concatenate([vars(one)[name] for one in slabs]) for name in vars(slabs[0])})


def beside_spells(spells: Sequence[Spell]) -> Spell:
    """What is around each of them in one and the same time."""
    arrays = {
        name: np.concatenate([vars(one)[name] for one in spells]) for name in ("near_flux", "far_flux", "humidity")
    }
    return Spell(until_s=spells[0].until_s, **arrays)


def parted(done: SlabRun, walls: int) -> list[SlabRun]:
    """A run of several walls taken apart again."""
    seen = [np.split(values, walls, axis=1) for values in (done.mean, done.behind, done.apart)]
    return [SlabRun(times_s=done.times_s, mean=m, behind=b, apart=a) for m, b, a in zip(*seen, strict=True)]


def rest_water(half_humid_water: FloatArray, humidity: FloatArray) -> FloatArray:
    """Water per dry solids a piece keeps in this air: w RH / (1 - RH), w what it keeps at half humidity.

    One known point and no more: common practice, no source; too high above 85 % humidity.
    """
    return np.asarray(half_humid_water * humidity / (1 - humidity))


def times_of(spells: Sequence[Spell]) -> FloatArray:
    """The grid of a run, (times,): a minute at first, growing by a twentieth up to a hundred-and-fiftieth of the whole,
    begun again with every spell.
    """
    times, longest = [0.0], max(spells[-1].until_s / LEAST_STEPS, FIRST_STEP_S)
    for spell in spells:
        step = FIRST_STEP_S
        while times[-1] < spell.until_s and len(times) < MOST_STEPS:
            times.append(min(times[-1] + step, spell.until_s))
            step = min(step * STEP_GROWS, longest)
    return np.array(times)


def dry_slab(slab: Slab, spells: Sequence[Spell]) -> SlabRun:
    """Diffusion in equal cells of solids, each step implicit; a face gives off its wet flux x (activity - humidity) /
    (1 - humidity), activity W / (W + w). Own balance: water is kept to rounding. Late, when the face is no longer as
    cold as while wet, real faces give off somewhat more; diffusion rules by then.
    """
    if not spells or any(b.until_s <= a.until_s for a, b in pairwise(spells)):
        raise OutsideRange("spells of drying", got=len(spells), low=1, high=20, do="give each a later end")
    times = times_of(spells)
    water = np.repeat(slab.water_per_dry[None, :], CELLS, axis=0)
    kept = [_seen(water)]
    on = 0
    for before, now in pairwise(times):
        while spells[on].until_s <= before:
            on += 1
        water = _step(slab, spells[on], water, float(now - before))
        kept.append(_seen(water))
    seen = np.array(kept)
    return SlabRun(times_s=times, mean=seen[:, 0], behind=seen[:, 1], apart=seen[:, 2])


def _seen(water: FloatArray) -> FloatArray:
    half = CELLS // 2
    mean = water.mean(axis=0)
    faces = np.minimum(1.5 * water[0] - 0.5 * water[1], 1.5 * water[-1] - 0.5 * water[-2])
    behind = mean - np.maximum(faces, 0.0)
    return np.array([mean, behind, water[:half].mean(axis=0) - water[half:].mean(axis=0)])


def _step(slab: Slab, spell: Spell, water: FloatArray, step_s: float) -> FloatArray:
    """One implicit step: (cells, draws) to the same."""
    cell_m = slab.thickness_m / CELLS
    between = slab.diffusivity_m2_s * slab.solids_kg_m3 / cell_m
    holds = slab.solids_kg_m3 * cell_m / step_s
    near, near_slope = _face(slab, spell.near_flux, spell.humidity, water[0])
    far, far_slope = _face(slab, spell.far_flux, spell.humidity, water[-1])
    middle = np.repeat((holds + 2 * between)[None, :], CELLS, axis=0)
    middle[0] += near_slope - between
    middle[-1] += far_slope - between
    right = holds * water
    right[0] -= near - near_slope * water[0]
    right[-1] -= far - far_slope * water[-1]
    return np.maximum(_solved(middle, between, right), DRIEST)


def _face(slab: Slab, wet_flux: FloatArray, humidity: FloatArray, inside: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Flux through a face and its slope over the water of the cell behind it: what comes up to the face leaves it."""
    half_cell = slab.thickness_m / CELLS / 2
    bring = slab.diffusivity_m2_s * slab.solids_kg_m3 / half_cell
    per_activity = wet_flux / (1 - humidity)
    w = slab.half_humid_water
    b = bring * (inside - w) - wet_flux
    c = w * (bring * inside + per_activity * humidity)
    root = np.sqrt(b**2 + 4 * bring * c)
    at_face = np.where(b >= 0, (b + root) / (2 * bring), 2 * c / np.maximum(root - b, 1e-300))
    slope_face = per_activity * w / (at_face + w) ** 2
    return bring * (inside - at_face), bring * slope_face / (bring + slope_face)


def _solved(middle: FloatArray, between: FloatArray, right: FloatArray) -> FloatArray:
    """Cells coupled to their neighbours by -between: eliminated forth and back, all draws at once."""
    for n in range(1, CELLS):
        part = between / middle[n - 1]
        middle[n] -= part * between
        right[n] += part * right[n - 1]
    found = np.empty_like(right)
    found[-1] = right[-1] / middle[-1]
    for n in range(CELLS - 2, -1, -1):
        found[n] = (right[n] + between * found[n + 1]) / middle[n]
    return found
