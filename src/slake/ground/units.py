"""Doors between bench units and SI. The only place where factors such as 1000 live.

A unit is a name, the SI unit it is a multiple of, and the factor to it (and, for temperatures, an offset). Fractions
are SI; percent is a bench unit.
"""

from __future__ import annotations

from dataclasses import dataclass

from .problems import Problem

GRAVITY_M_S2 = 9.81
"""Standard for all bench formulas here; the printed check values of the references use the same figure."""


@dataclass(frozen=True, kw_only=True)
class Unit:
    name: str
    base: str = ""
    to_si: float
    offset: float = 0.0

    def si(self, bench: float) -> float:
        return (bench + self.offset) * self.to_si

    def bench(self, si: float) -> float:
        return si / self.to_si - self.offset


UNITS: dict[str, Unit] = {
    u.name: u
    for u in (
        Unit(name="", base="", to_si=1.0),
        Unit(name="g", base="kg", to_si=1e-3),
        Unit(name="kg", base="kg", to_si=1.0),
        Unit(name="mg", base="kg", to_si=1e-6),
        Unit(name="um", base="m", to_si=1e-6),
        Unit(name="mm", base="m", to_si=1e-3),
        Unit(name="cm", base="m", to_si=1e-2),
        Unit(name="m", base="m", to_si=1.0),
        Unit(name="mL", base="m3", to_si=1e-6),
        Unit(name="L", base="m3", to_si=1e-3),
        Unit(name="mm/s", base="m/s", to_si=1e-3),
        Unit(name="ms", base="s", to_si=1e-3),
        Unit(name="s", base="s", to_si=1.0),
        Unit(name="min", base="s", to_si=60.0),
        Unit(name="h", base="s", to_si=3600.0),
        Unit(name="day", base="s", to_si=86400.0),
        Unit(name="N", base="N", to_si=1.0),
        Unit(name="Pa", base="Pa", to_si=1.0),
        Unit(name="kPa", base="Pa", to_si=1e3),
        Unit(name="MPa", base="Pa", to_si=1e6),
        Unit(name="%", base="", to_si=1e-2),
        Unit(name="g/g", base="", to_si=1.0),
        Unit(name="g/mL", base="kg/m3", to_si=1e3),
        Unit(name="kg/m3", base="kg/m3", to_si=1.0),
        Unit(name="deg", base="deg", to_si=1.0),
        Unit(name="C", base="K", to_si=1.0, offset=273.15),
        Unit(name="grade", base="grade", to_si=1.0),
        Unit(name="layers", base="layers", to_si=1.0),
        Unit(name="mg/L", base="kg/m3", to_si=1e-3),
        Unit(name="g/100 g", base="", to_si=1e-2),
        Unit(name="%/h", base="/s", to_si=1e-2 / 3600),
        Unit(name="g/m2.h", base="kg/m2.s", to_si=1e-3 / 3600),
    )
}


def unit(name: str) -> Unit:
    """The unit of that name. Raises Problem for a name that is not known."""
    found = UNITS.get(name.replace("µ", "u").replace("μ", "u"))
    if found is None:
        raise Problem(f"the unit “{name[:20]}” is not known here: use one of {', '.join(sorted(filter(None, UNITS)))}")
    return found


def to_si(bench: float, unit_name: str) -> float:
    return unit(unit_name).si(bench)


def from_si(si: float, unit_name: str) -> float:
    return unit(unit_name).bench(si)
