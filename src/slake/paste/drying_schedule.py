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
    """Mass per wet mass over time with its 80 % band, all (times,)."""

    times_s: FloatArray
    low: FloatArray
    mid: FloatArray
    high: FloatArray


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

    cracks_open: of the same piece never covered and never freed; cover_was_cut: mould allows no longer cover.
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
    until_s = long_enough_s(asked, found)
    openly = run(asked, found, Way(covered_s=0.0, freed_s=NEVER_S), until_s)
    way, covered, freed, cut = _way(asked, found, told, until_s)
    done = run(asked, found, way, until_s)
    usual = drive(asked, found, openly, Way(covered_s=0.0, freed_s=NEVER_S))
    driven = drive(asked, found, done, way)
    return Schedule(
        way=way,
        covered_s=covered,
        freed_s=freed,
        shrunk_s=around(_shrunk_s(found, done)),
        dry_s=around(dry_s(done)),
        faces=_faces(found),
        curve=curve_of(done),
        cracks=cracks(found, driven, usual, asked.paste.grades),
        cracks_open=cracks(found, usual, usual, asked.paste.grades),
        warp=warp(asked, found, done),
        cover_was_cut=cut,
        needs_turning="base" in done.parts and asked.bed.open_chance < 1,
    )


def _way(asked: Drying, found: Drawn, told: Told, until_s: float) -> tuple[Way, Range, Range, bool]:
    """The way told; hours under the cover only where they make cracks more seldom, and no longer than mould allows."""
    openly, under = (_freed(asked, found, told, covered_s, until_s) for covered_s in (0.0, NEVER_S))
    if told.covered_s is not None or not _is_worth_covering(asked, found, openly, under):
        covered_s = told.covered_s or 0.0
        freed = openly[1] if covered_s <= 0 else _freed(asked, found, told, covered_s, until_s)[1]
        return Way(covered_s=covered_s, freed_s=freed.mid), _at(covered_s), freed, False
    shrunk = around(_shrunk_s(found, under[0]))
    covered = _capped(shrunk)
    cut = shrunk.mid > covered.mid
    freed = _freed(asked, found, told, covered.mid, until_s)[1] if cut else under[1]
    return Way(covered_s=covered.mid, freed_s=freed.mid), covered, freed, cut


def _freed(asked: Drying, found: Drawn, told: Told, covered_s: float, until_s: float) -> tuple[PieceRun, Range]:
    """The piece covered so long and freed as told, or as soon as it can be lifted; and when that is."""
    if told.freed_s is None:
        lying = run(asked, found, Way(covered_s=covered_s, freed_s=NEVER_S), until_s)
        freed = around(_handled_s(found, lying))
    else:
        freed = _at(told.freed_s)
    return run(asked, found, Way(covered_s=covered_s, freed_s=freed.mid), until_s), freed


def _capped(shrunk: Range) -> Range:
    low, mid, high = (min(s, MOST_COVERED_S) for s in (shrunk.low, shrunk.mid, shrunk.high))
    return Range(low=low, mid=mid, high=high)


def _at(seconds: float) -> Range:
    return Range(low=seconds, mid=seconds, high=seconds)


def _is_worth_covering(
    asked: Drying, found: Drawn, openly: tuple[PieceRun, Range], under: tuple[PieceRun, Range]
) -> bool:
    """Whether the grade to be expected falls enough by the cover."""
    usual = drive(asked, found, openly[0], Way(covered_s=0.0, freed_s=openly[1].mid))
    driven = drive(asked, found, under[0], Way(covered_s=NEVER_S, freed_s=under[1].mid))
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


def curve_of(done: PieceRun) -> Curve:
    """Mass per wet mass, middle and 80 % band."""
    share = np.sort(done.mass / done.mass[0], axis=1)
    last = share.shape[1] - 1
    low, mid, high = (share[:, round(q * last)] for q in (0.1, 0.5, 0.9))
    return Curve(times_s=done.times_s, low=low, mid=mid, high=high)
