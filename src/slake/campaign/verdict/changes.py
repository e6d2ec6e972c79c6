"""The changes a person can make before loading, in the order in which they are made.

How far each may go and how much of it counts as one easy step is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable

from slake.ground.units import to_si

from . import settings
from .change import Change
from .inputs import Question

LONGEST_WAIT_S = to_si(3, "h")
MOST_WATER = 0.30
"""Of the dry mass; more is another recipe."""
FURTHEST, FURTHEST_WALL, FURTHEST_NOZZLE, FURTHEST_SPEED = 20.0, 5.0, 3.0, 3.0
"""How many times smaller or larger a length, a wall, a nozzle or a speed may become."""
FILLS_HALF = 0.5


def _smaller(now: Callable[[Question], float], times: float = FURTHEST) -> Callable[[Question], float]:
    return lambda question: now(question) / times


def _larger(now: Callable[[Question], float], times: float) -> Callable[[Question], float]:
    return lambda question: now(question) * times


def _widest_nozzle(question: Question) -> float:
    return min(FURTHEST_NOZZLE * settings.nozzle_m(question), FILLS_HALF * question.press.barrel.barrel_m)


CHANGES: tuple[Change, ...] = (
    Change(
        key="less wait",
        field="wait_min",
        unit="min",
        up=False,
        helps=("force", "time"),
        words="load it {to} min from now instead of {now}",
        before=lambda q: q.plan.wait_s,
        put=settings.waiting,
        last=lambda q: 0.0,
        easy=to_si(30, "min"),
        by_log=False,
    ),
    Change(
        key="wait",
        field="wait_min",
        unit="min",
        up=True,
        helps=("foot", "fold"),
        words="let it stand covered and load it {to} min from now instead of {now}; read the stiffness again then",
        before=lambda q: q.plan.wait_s,
        put=settings.waiting,
        last=lambda q: q.plan.wait_s + LONGEST_WAIT_S,
        easy=to_si(30, "min"),
        by_log=False,
    ),
    Change(
        key="shorter pause",
        field="pause_min",
        unit="min",
        up=False,
        helps=("time",),
        words="pause {to} min in all while it stands instead of {now}",
        before=lambda q: q.plan.pause_s,
        put=settings.pausing,
        last=lambda q: 0.0,
        easy=to_si(10, "min"),
        by_log=False,
    ),
    Change(
        key="pause",
        field="pause_min",
        unit="min",
        up=True,
        helps=("foot", "fold"),
        words="pause {to} min in all while it stands, before the upper part, instead of {now}",
        before=lambda q: q.plan.pause_s,
        put=settings.pausing,
        last=lambda q: q.plan.pause_s + LONGEST_WAIT_S,
        easy=to_si(20, "min"),
        by_log=False,
    ),
    Change(
        key="shorter print",
        field="print_min",
        unit="min",
        up=False,
        helps=("time",),
        words="a load that prints for {to} min (at the speed now) instead of {now}: a smaller piece, or two loads",
        before=lambda q: q.plan.print_s or 0.0,
        put=settings.printing,
        last=_smaller(lambda q: q.plan.print_s or 0.0),
        easy=0.4,
    ),
    Change(
        key="slower",
        field="speed_mm_s",
        unit="mm/s",
        up=False,
        helps=("force", "time"),
        words="print at {to} mm/s instead of {now}",
        before=settings.speed_m_s,
        put=settings.at_speed,
        last=_smaller(settings.speed_m_s),
        easy=0.4,
    ),
    Change(
        key="faster",
        field="speed_mm_s",
        unit="mm/s",
        up=True,
        helps=("time",),
        words="print at {to} mm/s instead of {now}",
        before=settings.speed_m_s,
        put=settings.at_speed,
        last=_larger(settings.speed_m_s, FURTHEST_SPEED),
        easy=0.3,
    ),
    Change(
        key="shorter fill",
        field="fill_mm",
        unit="mm",
        up=False,
        helps=("force", "time"),
        words="fill the barrel {to} mm long instead of {now}",
        before=settings.fill_m,
        put=settings.filled,
        last=_smaller(settings.fill_m),
        easy=0.4,
    ),
    Change(
        key="more water",
        field="water_g",
        unit="%",
        up=True,
        helps=("force", "time"),
        words="knead in {by} g of water for every 100 g of dry solids in it",
        before=lambda q: q.paste.water_more,
        put=settings.watered,
        last=lambda q: max(MOST_WATER, q.paste.water_more),
        easy=0.05,
        by_log=False,
    ),
    Change(
        key="less water",
        field="water_g",
        unit="%",
        up=False,
        helps=("foot", "fold"),
        words="take {by} g less water for every 100 g of dry solids (in the bowl: knead in dry filler instead)",
        before=lambda q: q.paste.water_more,
        put=settings.watered,
        last=lambda q: min(-MOST_WATER, q.paste.water_more),
        easy=0.05,
        by_log=False,
    ),
    Change(
        key="shorter land",
        field="land_mm",
        unit="mm",
        up=False,
        helps=("force", "time"),
        words="a nozzle whose land is {to} mm long instead of {now}",
        before=settings.land_m,
        put=settings.with_land,
        last=_smaller(settings.land_m),
        easy=0.3,
    ),
    Change(
        key="larger nozzle",
        field="nozzle_mm",
        unit="mm",
        up=True,
        helps=("force", "time", "grains", "fibres"),
        words="a nozzle of {to} mm instead of {now}",
        before=settings.nozzle_m,
        put=settings.with_nozzle,
        last=_widest_nozzle,
        easy=0.15,
    ),
    Change(
        key="thicker wall",
        field="wall_mm",
        unit="mm",
        up=True,
        helps=("fold",),
        words="a wall {to} mm thick instead of {now}: more beads beside each other, or a wider one",
        before=settings.wall_m,
        put=settings.thick,
        last=_larger(settings.wall_m, FURTHEST_WALL),
        easy=0.3,
    ),
    Change(
        key="lower wall",
        field="wall_height_mm",
        unit="mm",
        up=False,
        helps=("foot", "fold"),
        words="a wall {to} mm high instead of {now}: fewer layers",
        before=settings.height_m,
        put=settings.high,
        last=_smaller(settings.height_m),
        easy=0.2,
    ),
    Change(
        key="finer sieve",
        field="grain_um",
        unit="um",
        up=False,
        helps=("grains",),
        words="sieve finer, so that the largest grain is about {to} um instead of {now}",
        before=settings.grain_m,
        put=settings.sieved,
        last=_smaller(settings.grain_m),
        easy=0.5,
    ),
    Change(
        key="shorter fibres",
        field="fibre_mm",
        unit="mm",
        up=False,
        helps=("fibres",),
        words="mill and sieve the fibres to at most about {to} mm instead of {now}",
        before=settings.fibre_m,
        put=settings.milled,
        last=_smaller(settings.fibre_m),
        easy=0.5,
    ),
    Change(
        key="de-air",
        field="air_percent",
        unit="%",
        up=False,
        helps=("air",),
        words="get its air down to {to} % by volume from {now}: pack in 2 cm plugs, tap, spin or pull a vacuum",
        before=settings.air_fraction,
        put=settings.packed,
        last=_smaller(settings.air_fraction),
        easy=0.5,
    ),
)
KEYED = {change.key: change for change in CHANGES}
