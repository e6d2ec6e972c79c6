"""One way to dry a piece (covered so long, turned then), run for every draw at once."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from slake.ground.units import to_si

from .drying import WATER_KG_M3
from .drying_curve import DRY_SHARE, DRY_WITHIN_S
from .drying_slab import Slab, SlabRun, Spell, beside_slabs, beside_spells, dry_slab, parted, rest_water
from .drying_unknowns import (
    AIR_COMES_IN,
    BASE_SHARE,
    HANDLED_AT,
    INSIDE,
    LASTING,
    LAW_SHARE,
    NAMES,
    SEES_ROOM,
    TOLERANCE,
    UNDERSIDE,
    Drying,
    shifted,
    stretched,
)
from .evaporating import Around, WetFace, between_laws, plate_transfer, pool_transfer, wet_face
from .moist_air import COLDEST_K, DAMPEST, HOTTEST_K

FloatArray = NDArray[np.float64]
LONGEST_S = to_si(4000, "h")
LEAST_DAMP, MOST_KEPT = 0.02, 0.5
MOSTLY_GONE = 0.9
"""Share of the water that leaves which has left of a dry piece, beside the rule of 24 h; shrinking ends by then too.
Practice, no source."""
_TAIL = 6.0
"""Slow times of diffusion after which nothing is left to see of the tail."""


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """Everything that is not known, one entry per draw, shape (draws,)."""

    face: WetFace
    humidity: FloatArray
    cover: FloatArray
    water: FloatArray
    solids_kg_m3: FloatArray
    shrinkage: FloatArray
    shrinks_to: FloatArray
    half_humid: FloatArray
    diffusivity: FloatArray
    also: Mapping[str, FloatArray]

    @property
    def rest(self) -> FloatArray:
        return rest_water(self.half_humid, self.humidity)

    @property
    def strain_per_water(self) -> FloatArray:
        """Linear shrinkage per water per dry solids that leaves while it shrinks."""
        return np.asarray(self.shrinkage / (self.water - self.shrinks_to))


def drawn(asked: Drying, scores: FloatArray) -> Drawn:
    """Scores (draws, unknowns) as the unknowns they stand for, in one piece."""
    z = dict(zip(NAMES, scores.T, strict=True))
    room, paste = asked.room, asked.paste
    air_k = np.clip(shifted(room.temperature_k, z["temperature_k"]), COLDEST_K, HOTTEST_K)
    humidity = np.clip(shifted(room.humidity, z["humidity"]), LEAST_DAMP, DAMPEST - 0.01)
    heater = np.minimum(stretched(paste.heater, z["heater"]), 0.5)
    water = stretched(paste.water_per_dry, z["water"]) * (1 - heater)
    solids = stretched(paste.density_kg_m3, z["density"]) / (1 + stretched(paste.water_per_dry, z["water"]))
    kept = MOST_KEPT * water * (1 - humidity) / humidity
    half_humid = np.minimum(stretched(paste.half_humid, z["half_humid"]), np.minimum(kept, MOST_KEPT * water))
    most = 1 - (1 - np.minimum(solids * water / WATER_KG_M3, 0.99)) ** (1 / 3)
    shrinkage = np.clip(stretched(paste.shrinkage, z["shrinkage"]), 1e-4, np.minimum(most, 0.4))
    shares, rest = _shares(z), rest_water(half_humid, humidity)
    return Drawn(
        face=wet_face(_around(asked, z, air_k, humidity)),
        humidity=humidity,
        cover=np.minimum(stretched(room.cover, z["cover"]), 1.0),
        water=water,
        solids_kg_m3=solids,
        shrinkage=shrinkage,
        shrinks_to=shrink_limit(water, shrinkage, solids, shares["air_in"], rest),
        half_humid=half_humid,
        diffusivity=stretched(paste.diffusivity_m2_s, z["diffusivity"]),
        also={**shares, **_of_the_piece(asked, z), "heater": heater},
    )


def shrink_limit(
    water: FloatArray, shrinkage: FloatArray, solids_kg_m3: FloatArray, air_in: FloatArray, rest: FloatArray
) -> FloatArray:
    """Water per dry solids at which shrinking ends: water - (1 - (1 - s)^3) rho_w / (solids x filled).

    What a piece loses in volume it loses in water, but for the air that comes in meanwhile. Never under what it keeps
    at rest. Own balance; alike in all directions.
    """
    lost = (1 - (1 - shrinkage) ** 3) * WATER_KG_M3 / (solids_kg_m3 * air_in)
    return np.asarray(np.maximum(water - lost, rest + (1 - MOSTLY_GONE) * (water - rest)))


def _shares(z: Mapping[str, FloatArray]) -> dict[str, FloatArray]:
    usual = {
        "air_in": AIR_COMES_IN, "handled": HANDLED_AT, "inside": INSIDE, "underside": UNDERSIDE,
        "base_share": BASE_SHARE, "tolerance": TOLERANCE, "lasting": LASTING,
    }  # fmt: skip
    return {name: np.minimum(stretched(around, z[name]), 1.0) for name, around in usual.items()}


def _of_the_piece(asked: Drying, z: Mapping[str, FloatArray]) -> dict[str, FloatArray]:
    sizes = {"wall": asked.piece.wall_m, "base": asked.piece.base_m}
    found = {name: stretched(size, z[name]) for name, size in sizes.items() if size is not None}
    return {
        **found,
        "bed_open": np.asarray(ndtr(z["bed_open"]) < asked.bed.open_chance, dtype=float),
        "grips": np.minimum(stretched(asked.bed.grips, z["grips"]), 1.0),
        "first_wetter": shifted(asked.paste.first_wetter, z["first_wetter"]),
    }


def _around(asked: Drying, z: Mapping[str, FloatArray], air_k: FloatArray, humidity: FloatArray) -> Around:
    """Transfer between the two laws at this speed; they are told of the middle temperature, which moves them by 1 %."""
    speed = np.minimum(stretched(asked.room.speed_m_s, z["speed"]), 9.0)
    middle_k = asked.room.temperature_k.mid
    pool, plate = pool_transfer(speed, middle_k), plate_transfer(speed, asked.piece.height_m, middle_k)
    share = np.clip(shifted(LAW_SHARE, z["law"]), 0.0, 1.0)
    sees = np.minimum(stretched(SEES_ROOM, z["sees_room"]), 1.0)
    return Around(temperature_k=air_k, humidity=humidity, transfer=between_laws(pool, plate, share), sees_room=sees)


@dataclass(frozen=True, kw_only=True)
class Way:
    """covered_s: from when it is laid; freed_s: when it is cut free and turned so that its underside is open."""

    covered_s: float
    freed_s: float


@dataclass(frozen=True, kw_only=True)
class PieceRun:
    """The parts of a piece over one time grid; mass (times, draws): of the piece, per its dry solids."""

    times_s: FloatArray
    parts: Mapping[str, SlabRun]
    mass: FloatArray


def run(asked: Drying, found: Drawn, way: Way, until_s: float) -> PieceRun:
    """Every part of the piece dried this way; all parts go through one run, side by side with their draws."""
    names = _parts(asked)
    slab = beside_slabs([_slab(found, name) for name in names])
    spells = [_spells(asked, found, way, name, until_s) for name in names]
    done = dry_slab(slab, [beside_spells(at_once) for at_once in zip(*spells, strict=True)])
    parts = dict(zip(names, parted(done, len(names)), strict=True))
    share = _share_of_base(asked, found)
    mass = sum((share if name == "base" else 1 - share) * (1 + one.mean) for name, one in parts.items())
    first = next(iter(parts.values()))
    return PieceRun(times_s=first.times_s, parts=parts, mass=np.asarray(mass))


def _parts(asked: Drying) -> list[str]:
    sizes = {"wall": asked.piece.wall_m, "base": asked.piece.base_m}
    return [name for name, size in sizes.items() if size is not None]


def _share_of_base(asked: Drying, found: Drawn) -> FloatArray:
    if asked.piece.wall_m is None:
        return np.ones_like(found.water)
    return found.also["base_share"] if asked.piece.base_m is not None else np.zeros_like(found.water)


def _slab(found: Drawn, name: str) -> Slab:
    """The base is of the first beads: half of what they hold more than the last is its own."""
    wetter = 0.5 * found.also["first_wetter"] if name == "base" else 0.0
    return Slab(
        thickness_m=found.also[name],
        water_per_dry=np.maximum(found.water + wetter, 1.02 * found.shrinks_to),
        solids_kg_m3=found.solids_kg_m3,
        diffusivity_m2_s=found.diffusivity,
        half_humid_water=found.half_humid,
    )


def _spells(asked: Drying, found: Drawn, way: Way, name: str, until_s: float) -> list[Spell]:
    ends = sorted({at for at in (way.covered_s, way.freed_s) if 1.0 <= at < until_s} | {until_s})
    return [_spell(asked, found, way, name, (start, end)) for start, end in zip([0.0, *ends], ends, strict=False)]


def _spell(asked: Drying, found: Drawn, way: Way, name: str, between: tuple[float, float]) -> Spell:
    flux = found.face.flux * (found.cover if between[0] < way.covered_s else 1.0)
    inner = found.also["inside"] if asked.piece.wall_m is not None else 1.0
    near, far = flux * inner, flux
    if name == "base" and between[0] < way.freed_s:
        far = flux * found.also["underside"] * found.also["bed_open"]
    return Spell(until_s=between[1], near_flux=near, far_flux=far, humidity=found.humidity)


def long_enough_s(asked: Drying, found: Drawn) -> float:
    """A time by which all but a few draws are dry whatever is done: steady time under the cover, and the tail."""
    thick = np.max([found.also[name] for name in _parts(asked)], axis=0)
    water = found.solids_kg_m3 * thick * (found.water - found.rest)
    steady = water / np.maximum(found.face.flux * found.cover * 0.5, 1e-12)
    tail = _TAIL * 4 * thick**2 / (math.pi**2 * found.diffusivity)
    return float(min(np.quantile(steady + tail, 0.95) + 2 * DRY_WITHIN_S, LONGEST_S))


def crossed_s(times_s: FloatArray, values: FloatArray, level: FloatArray) -> FloatArray:
    """When each draw first falls to its level, between two times of the grid; inf where it does not. (draws,)"""
    under = values <= level
    first = np.argmax(under, axis=0)
    draws = np.arange(values.shape[1])
    before = np.maximum(first - 1, 0)
    high, low = values[before, draws], values[first, draws]
    share = np.where(high > low, (high - level) / np.where(high > low, high - low, 1.0), 1.0)
    at = times_s[before] + np.clip(share, 0, 1) * (times_s[first] - times_s[before])
    return np.where(under.any(axis=0), at, np.inf)


def dry_s(done: PieceRun, rest: FloatArray) -> FloatArray:
    """When the loss of the next 24 h is under 0.2 % of the mass for good, and nine tenths of what leaves have left.

    Each draw, (draws,); inf where that is not within the run. `rest`: water per dry solids it keeps in this air. The
    rule alone would call a thick wall in damp air dry before it has begun. What counts as dry: practice.
    """
    later = np.array([np.interp(done.times_s + DRY_WITHIN_S, done.times_s, one) for one in done.mass.T]).T
    known = done.times_s <= done.times_s[-1] - DRY_WITHIN_S
    loses = ((done.mass - later) / done.mass)[known]
    most_left = np.maximum.accumulate(loses[::-1], axis=0)[::-1]
    slow = crossed_s(done.times_s[known], most_left, np.full(done.mass.shape[1], DRY_SHARE))
    left = done.mass - 1 - rest
    return np.maximum(slow, crossed_s(done.times_s, left, (1 - MOSTLY_GONE) * left[0]))
