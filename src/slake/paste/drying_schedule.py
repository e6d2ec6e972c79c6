"""A schedule for drying one piece: hours covered, when to turn and free it, when it has shrunk, when to coat it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Range
from slake.ground.units import to_si

from .drying_cracks import Cracks, Warp, cracks, drive, warp
from .drying_run import Drawn, PieceRun, Way, crossed_s, drawn, dry_s, long_enough_s, run
from .drying_unknowns import Drying

FloatArray = NDArray[np.float64]
MOST_COVERED_S = to_si(72, "h")
"""Mould shows on damp pieces from day 2 to 4 at 22 C: longer than this nothing is kept covered. Practice, no source."""
WORTH_COVERING = 0.15
"""A cover is worth its hours where the grade to be expected falls by this much. Practice, no source."""
NEVER_S = to_si(1e5, "h")


@dataclass(frozen=True, kw_only=True)
class Told:
    """What a person has decided already; None: the schedule says."""

    covered_s: float | None = None
    freed_s: float | None = None


@dataclass(frozen=True, kw_only=True)
class Curve:
    """Mass per wet mass over time with its 80 % band, all (times,). gone (3, times): low, middle and high share of the
    water that leaves in this air which has left.
    """

    times_s: FloatArray
    low: FloatArray
    mid: FloatArray
    high: FloatArray
    gone: FloatArray


@dataclass(frozen=True, kw_only=True)
class Faces:
    """The wet face: its temperature, the air's and the wet bulb's flux beside its own. kg/m2 s and K."""

    face_k: Range
    flux_kg_m2_s: Range
    flux_at_air_kg_m2_s: Range
    flux_at_wet_bulb_kg_m2_s: Range


@dataclass(frozen=True, kw_only=True)
class Schedule:
    """The way it is told to dry, and what comes of it. Times since it was laid; 80 % ranges; inf: not within the run.

    cracks_open: of the same piece never covered, which grades read of the paste are taken to be of; cover_was_cut:
    mould allows no longer cover.
    """

    way: Way
    covered_s: Range
    freed_s: Range
    shrunk_s: Range
    dry_s: Range
    faces: Faces
    curve: Curve
    cracks: Cracks
    cracks_open: Cracks
    warp: Warp | None
    cover_was_cut: bool
    needs_turning: bool


def around(values: FloatArray) -> Range:
    """80 % range of draws, all alike; draws that never get there count as inf."""
    ordered = np.sort(values)
    low, mid, high = (float(ordered[round(q * (len(ordered) - 1))]) for q in (0.1, 0.5, 0.9))
    return Range(low=low, mid=mid, high=high)


def schedule(asked: Drying, scores: FloatArray, told: Told | None = None) -> Schedule:
    """Worked out over draws; the same scores and question give the same schedule. Scores: (draws, unknowns)."""
    told = told or Told()
    found = drawn(asked, scores)
    asking = _Asking(asked=asked, found=found, told=told, until_s=long_enough_s(asked, found))
    openly = _freed(asking, 0.0)
    chosen, covered, cut = _chosen(asking, openly)
    usual = drive(asked, found, openly.done, openly.way)
    driven = drive(asked, found, chosen.done, chosen.way)
    return Schedule(
        way=chosen.way,
        covered_s=covered,
        freed_s=chosen.freed,
        shrunk_s=around(_shrunk_s(found, chosen.done)),
        dry_s=around(dry_s(chosen.done, found.rest)),
        faces=_faces(found),
        curve=curve_of(chosen.done, found.rest),
        cracks=cracks(found, driven, usual, asked.paste.grades),
        cracks_open=cracks(found, usual, usual, asked.paste.grades),
        warp=warp(asked, found, chosen.done),
        cover_was_cut=cut,
        needs_turning="base" in chosen.done.parts and asked.bed.open_chance < 1,
    )


@dataclass(frozen=True, kw_only=True)
class _Asking:
    asked: Drying
    found: Drawn
    told: Told
    until_s: float


@dataclass(frozen=True, kw_only=True)
class _Tried:
    """One way to dry the piece, when it is freed, and what came of it."""

    way: Way
    freed: Range
    done: PieceRun


def _chosen(asking: _Asking, openly: _Tried) -> tuple[_Tried, Range, bool]:
    """The way told; hours under the cover only where they make cracks more seldom, and no longer than mould allows."""
    told_s = asking.told.covered_s
    if told_s is not None:
        return (_freed(asking, told_s) if told_s > 0 else openly), _at(told_s), False
    under = _freed(asking, NEVER_S)
    if not _is_worth_covering(asking, openly, under):
        return openly, _at(0.0), False
    shrunk = around(_shrunk_s(asking.found, under.done))
    covered = _capped(shrunk)
    cut = shrunk.mid > covered.mid
    freed = None if cut else under.freed
    return _freed(asking, covered.mid, freed), covered, cut


def _freed(asking: _Asking, covered_s: float, freed: Range | None = None) -> _Tried:
    """The piece covered so long and freed as told, or as soon as it can be lifted; and when that is."""
    asked, found = asking.asked, asking.found
    lying = Way(covered_s=covered_s, freed_s=NEVER_S)
    if asking.told.freed_s is not None:
        freed = _at(asking.told.freed_s)
    elif freed is None:
        done = run(asked, found, lying, asking.until_s)
        freed = around(_handled_s(found, done))
        if "base" not in done.parts:
            return _Tried(way=Way(covered_s=covered_s, freed_s=freed.mid), freed=freed, done=done)
    way = Way(covered_s=covered_s, freed_s=freed.mid)
    return _Tried(way=way, freed=freed, done=run(asked, found, way, asking.until_s))


def _capped(shrunk: Range) -> Range:
    low, mid, high = (min(s, MOST_COVERED_S) for s in (shrunk.low, shrunk.mid, shrunk.high))
    return Range(low=low, mid=mid, high=high)


def _at(seconds: float) -> Range:
    return Range(low=seconds, mid=seconds, high=seconds)


def _is_worth_covering(asking: _Asking, openly: _Tried, under: _Tried) -> bool:
    """Whether the grade to be expected falls enough by the cover."""
    asked, found = asking.asked, asking.found
    usual, driven = (drive(asked, found, one.done, one.way) for one in (openly, under))
    before = cracks(found, usual, usual, asked.paste.grades).mean_grade
    return before - cracks(found, driven, usual, asked.paste.grades).mean_grade >= WORTH_COVERING


def _handled_s(found: Drawn, done: PieceRun) -> FloatArray:
    """When so much of the shrinking water has left the slowest part that it can be lifted: practice."""
    level = found.water - found.also["handled"] * (found.water - found.shrinks_to)
    return np.asarray(np.max([crossed_s(done.times_s, one.mean, level) for one in done.parts.values()], axis=0))


def _shrunk_s(found: Drawn, done: PieceRun) -> FloatArray:
    return np.asarray(
        np.max([crossed_s(done.times_s, one.mean, found.shrinks_to) for one in done.parts.values()], axis=0)
    )


def _faces(found: Drawn) -> Faces:
    face = found.face
    return Faces(
        face_k=around(face.face_k),
        flux_kg_m2_s=around(face.flux),
        flux_at_air_kg_m2_s=around(face.flux_at_air),
        flux_at_wet_bulb_kg_m2_s=around(face.flux_at_wet_bulb),
    )


def curve_of(done: PieceRun, rest: FloatArray) -> Curve:
    """Mass per wet mass, middle and 80 % band; and how much of the water that leaves has left."""
    low, mid, high = _bands(done.mass / done.mass[0])
    leaves = np.maximum(done.mass[0] - 1 - rest, 1e-9)
    gone = _bands(np.clip((done.mass[0] - done.mass) / leaves, 0.0, 1.0))
    return Curve(times_s=done.times_s, low=low, mid=mid, high=high, gone=gone)


def _bands(values: FloatArray) -> FloatArray:
    ordered = np.sort(values, axis=1)
    last = ordered.shape[1] - 1
    return np.array([ordered[:, round(q * last)] for q in (0.1, 0.5, 0.9)])
