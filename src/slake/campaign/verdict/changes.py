"""Changes a person can make before loading, each by an amount from nothing up to where it stops making sense."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from slake.ground.units import to_si
from slake.paste.ram import Barrel

from .inputs import Lengths, Paste, Plan, Press, Question

LONGEST_WAIT_S = to_si(3, "h")
MOST_WATER = 0.30
"""Of the dry mass; more is another recipe."""


@dataclass(frozen=True, kw_only=True)
class Change:
    """One kind of change. unit: bench unit of its amount; most: the largest amount that makes sense, 0 for none.

    helps: lines it may mend. words: how to say it, with {amount} (bench unit) and {to}, what it then is (to_unit).
    undoes: the change that would take it back.
    """

    key: str
    unit: str
    helps: tuple[str, ...]
    words: str
    most: Callable[[Question], float]
    apply: Callable[[Question, float], Question]
    to: Callable[[Question], float] = lambda question: 0.0
    to_unit: str = "mm"
    undoes: str = ""


def _paste(question: Question, **new: object) -> Question:
    return replace(question, paste=replace(question.paste, **new))  # type: ignore[arg-type]


def _plan(question: Question, **new: object) -> Question:
    return replace(question, plan=replace(question.plan, **new))  # type: ignore[arg-type]


def _press(question: Question, **new: object) -> Question:
    return replace(question, press=replace(question.press, **new))  # type: ignore[arg-type]


def _lengths(question: Question, **new: object) -> Question:
    return _press(question, lengths=replace(question.press.lengths, **new))  # type: ignore[arg-type]


def _watered(question: Question, water_per_dry: float) -> Question:
    """The effect of water is known to a factor, so the more is changed the wider the stiffness becomes."""
    slope, now = question.paste.water_slope, question.paste.yield_stress_pa
    factor = math.exp(-slope.mid * water_per_dry)
    return _paste(question, yield_stress_pa=now.times(factor, slope.mid * slope.sd_log * abs(water_per_dry)))


def _thinner(values: float, by: float) -> float:
    return max(1 - by / values, 0.0) if values > 0 else 1.0


def _wall(question: Question, height_m: float = 0.0, wall_m: float = 0.0) -> Question:
    wall = question.plan.wall
    if wall is None:
        return question
    return _plan(question, wall=replace(wall, height_m=wall.height_m + height_m, wall_m=wall.wall_m + wall_m))


def _wall_m(question: Question, of: Callable[[Plan], float]) -> float:
    return 0.0 if question.plan.wall is None else of(question.plan)


def _land(question: Question, by: float) -> Question:
    lengths: Lengths = question.press.lengths
    return _lengths(question, land_m=lengths.land_m.times(_thinner(lengths.land_m.mid, by)))


def _fill(question: Question, by: float) -> Question:
    lengths: Lengths = question.press.lengths
    return _lengths(question, fill_m=lengths.fill_m.times(_thinner(lengths.fill_m.mid, by)))


def _slower(question: Question, share: float) -> Question:
    lengths: Lengths = question.press.lengths
    plan = question.plan
    slow = _lengths(question, speed_m_s=lengths.speed_m_s.times(1 - share))
    return slow if plan.print_s is None else _plan(slow, print_s=plan.print_s / (1 - share))


def _wider(question: Question, by: float) -> Question:
    press: Press = question.press
    barrel = Barrel(barrel_m=press.barrel.barrel_m, nozzle_m=press.barrel.nozzle_m + by)
    return _press(question, barrel=barrel)


def _finer(question: Question, by: float) -> Question:
    paste: Paste = question.paste
    grain = paste.largest_grain_m
    return _paste(question, largest_grain_m=grain.times(_thinner(grain.mid, by)))


def _shorter_fibres(question: Question, by: float) -> Question:
    fibre = question.paste.longest_fibre_m
    return _paste(question, longest_fibre_m=fibre.times(_thinner(fibre.mid, by)))


def _wall_height(question: Question) -> float:
    return _wall_m(question, lambda plan: plan.wall.height_m if plan.wall else 0.0)


def _wall_thickness(question: Question) -> float:
    return _wall_m(question, lambda plan: plan.wall.wall_m if plan.wall else 0.0)


def _room_for_nozzle(question: Question) -> float:
    barrel = question.press.barrel
    return max(min(3 * barrel.nozzle_m, 0.5 * barrel.barrel_m - barrel.nozzle_m), 0.0)


CHANGES: tuple[Change, ...] = (
    Change(
        key="less wait",
        undoes="wait",
        unit="min",
        helps=("force", "time"),
        words="load {amount} min earlier than planned",
        most=lambda q: q.plan.wait_s,
        apply=lambda q, by: _plan(q, wait_s=max(q.plan.wait_s - by, 0.0)),
    ),
    Change(
        key="wait",
        undoes="less wait",
        unit="min",
        helps=("foot", "fold"),
        words="wait {amount} min, covered, and read the stiffness again",
        most=lambda q: max(LONGEST_WAIT_S - q.plan.wait_s, 0.0),
        apply=lambda q, by: _plan(q, wait_s=q.plan.wait_s + by),
    ),
    Change(
        key="pause",
        unit="min",
        helps=("foot", "fold"),
        words="pause {amount} min in all while it stands, before the upper part",
        most=lambda q: max(LONGEST_WAIT_S - q.plan.pause_s, 0.0),
        apply=lambda q, by: _plan(q, pause_s=q.plan.pause_s + by),
    ),
    Change(
        key="slower",
        unit="%",
        helps=("force", "time"),
        words="print {amount} % slower, at about {to} mm/s",
        most=lambda q: 0.9,
        apply=_slower,
        to=lambda q: q.press.lengths.speed_m_s.mid,
    ),
    Change(
        key="shorter fill",
        unit="mm",
        helps=("force", "time"),
        words="fill the barrel {amount} mm less, to about {to} mm",
        most=lambda q: 0.9 * q.press.lengths.fill_m.mid,
        apply=_fill,
        to=lambda q: q.press.lengths.fill_m.mid,
    ),
    Change(
        key="more water",
        undoes="less water",
        unit="%",
        helps=("force", "time"),
        words="knead {amount} g of water into the paste for every 100 g of dry solids in it",
        most=lambda q: MOST_WATER,
        apply=_watered,
    ),
    Change(
        key="less water",
        undoes="more water",
        unit="%",
        helps=("foot", "fold"),
        words="take {amount} g less water for every 100 g of dry solids (in the bowl: knead in dry filler instead)",
        most=lambda q: MOST_WATER,
        apply=lambda q, by: _watered(q, -by),
    ),
    Change(
        key="shorter land",
        unit="mm",
        helps=("force", "time"),
        words="a nozzle whose land is {amount} mm shorter, about {to} mm",
        most=lambda q: 0.9 * q.press.lengths.land_m.mid,
        apply=_land,
        to=lambda q: q.press.lengths.land_m.mid,
    ),
    Change(
        key="larger nozzle",
        unit="mm",
        helps=("force", "time", "grains", "fibres"),
        words="a nozzle {amount} mm wider, of {to} mm",
        most=_room_for_nozzle,
        apply=_wider,
        to=lambda q: q.press.barrel.nozzle_m,
    ),
    Change(
        key="thicker wall",
        unit="mm",
        helps=("fold",),
        words="a wall {amount} mm thicker, of {to} mm",
        most=lambda q: 4 * _wall_thickness(q),
        apply=lambda q, by: _wall(q, wall_m=by),
        to=_wall_thickness,
    ),
    Change(
        key="lower wall",
        unit="mm",
        helps=("foot", "fold"),
        words="a wall {amount} mm lower, of {to} mm: fewer layers",
        most=lambda q: 0.95 * _wall_height(q),
        apply=lambda q, by: _wall(q, height_m=-by),
        to=_wall_height,
    ),
    Change(
        key="finer sieve",
        unit="um",
        to_unit="um",
        helps=("grains",),
        words="sieve finer, so that the largest grain is {amount} um smaller, about {to} um",
        most=lambda q: 0.95 * q.paste.largest_grain_m.mid,
        apply=_finer,
        to=lambda q: q.paste.largest_grain_m.mid,
    ),
    Change(
        key="shorter fibres",
        unit="mm",
        helps=("fibres",),
        words="mill and sieve the fibres {amount} mm shorter, to about {to} mm",
        most=lambda q: 0.95 * q.paste.longest_fibre_m.mid,
        apply=_shorter_fibres,
        to=lambda q: q.paste.longest_fibre_m.mid,
    ),
    Change(
        key="de-air",
        unit="%",
        helps=("air",),
        words="get {amount} % of its air out: pack in 2 cm plugs, tap, spin or pull a vacuum",
        most=lambda q: 0.95,
        apply=lambda q, share: _paste(q, air_fraction=q.paste.air_fraction.times(1 - share)),
    ),
)
