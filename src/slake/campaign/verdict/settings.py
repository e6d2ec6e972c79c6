"""The settings of a verdict that a person can move: what each is now, and the question with it put elsewhere. SI."""

from __future__ import annotations

from dataclasses import replace

from slake.paste.ram import Barrel

from .inputs import Lengths, Question
from .spread import Spread


def _paste(question: Question, **new: object) -> Question:
    return replace(question, paste=replace(question.paste, **new))  # type: ignore[arg-type]


def _plan(question: Question, **new: object) -> Question:
    return replace(question, plan=replace(question.plan, **new))  # type: ignore[arg-type]


def _lengths(question: Question, **new: object) -> Question:
    lengths: Lengths = replace(question.press.lengths, **new)  # type: ignore[arg-type]
    return replace(question, press=replace(question.press, lengths=lengths))


def _moved(now: Spread, to: float) -> Spread:
    """As well known as before, in proportion."""
    return replace(now, mid=to)


def waiting(question: Question, wait_s: float) -> Question:
    return _plan(question, wait_s=wait_s)


def pausing(question: Question, pause_s: float) -> Question:
    return _plan(question, pause_s=pause_s)


def printing(question: Question, print_s: float) -> Question:
    return _plan(question, print_s=print_s)


def speed_m_s(question: Question) -> float:
    return question.press.lengths.speed_m_s.mid


def at_speed(question: Question, speed_m_s: float) -> Question:
    """A stated printing time was stated at the speed of before."""
    now = question.press.lengths.speed_m_s
    stated = _plan(question, print_at_m_s=question.plan.print_at_m_s or now.mid)
    return _lengths(stated, speed_m_s=_moved(now, speed_m_s))


def fill_m(question: Question) -> float:
    return question.press.lengths.fill_m.mid


def filled(question: Question, fill_m: float) -> Question:
    return _lengths(question, fill_m=_moved(question.press.lengths.fill_m, fill_m))


def land_m(question: Question) -> float:
    return question.press.lengths.land_m.mid


def with_land(question: Question, land_m: float) -> Question:
    return _lengths(question, land_m=_moved(question.press.lengths.land_m, land_m))


def nozzle_m(question: Question) -> float:
    return question.press.barrel.nozzle_m


def with_nozzle(question: Question, nozzle_m: float) -> Question:
    barrel = Barrel(barrel_m=question.press.barrel.barrel_m, nozzle_m=nozzle_m)
    return replace(question, press=replace(question.press, barrel=barrel))


def watered(question: Question, water_more: float) -> Question:
    return _paste(question, water_more=water_more)


def height_m(question: Question) -> float:
    return 0.0 if question.plan.wall is None else question.plan.wall.height_m


def wall_m(question: Question) -> float:
    return 0.0 if question.plan.wall is None else question.plan.wall.wall_m


def high(question: Question, height_m: float) -> Question:
    wall = question.plan.wall
    return question if wall is None else _plan(question, wall=replace(wall, height_m=height_m))


def thick(question: Question, wall_m: float) -> Question:
    wall = question.plan.wall
    return question if wall is None else _plan(question, wall=replace(wall, wall_m=wall_m))


def grain_m(question: Question) -> float:
    return question.paste.largest_grain_m.mid


def sieved(question: Question, largest_grain_m: float) -> Question:
    return _paste(question, largest_grain_m=_moved(question.paste.largest_grain_m, largest_grain_m))


def fibre_m(question: Question) -> float:
    return question.paste.longest_fibre_m.mid


def milled(question: Question, longest_fibre_m: float) -> Question:
    return _paste(question, longest_fibre_m=_moved(question.paste.longest_fibre_m, longest_fibre_m))


def air_fraction(question: Question) -> float:
    return question.paste.air_fraction.mid


def packed(question: Question, air_fraction: float) -> Question:
    return _paste(question, air_fraction=_moved(question.paste.air_fraction, air_fraction))
