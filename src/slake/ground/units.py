"""Doors between bench units and SI. The only place where factors such as 1000 live.

A unit is a name and a factor to SI (and, for temperatures, an offset). Fractions are SI; percent is a bench unit.
"""

from __future__ import annotations

from dataclasses import dataclass

from .problems import Problem

GRAVITY_M_S2 = 9.81
"""Standard for all bench formulas here; the printed check values of the references use the same figure."""


@dataclass(frozen=True, kw_only=True)
class Unit:
    name: str
    to_si: float
    offset: float = 0.0

    def si(self, bench: float) -> float:
        return (bench + self.offset) * self.to_si

    def bench(self, si: float) -> float:
        return si / self.to_si - self.offset


UNITS: dict[str, Unit] = {
    u.name: u
    for u in (
        Unit(name="", to_si=1.0),
        Unit(name="g", to_si=1e-3),
        Unit(name="kg", to_si=1.0),
        Unit(name="mg", to_si=1e-6),
        Unit(name="um", to_si=1e-6),
        Unit(name="mm", to_si=1e-3),
        Unit(name="cm", to_si=1e-2),
        Unit(name="m", to_si=1.0),
        Unit(name="mL", to_si=1e-6),
        Unit(name="L", to_si=1e-3),
        Unit(name="s", to_si=1.0),
        Unit(name="min", to_si=60.0),
        Unit(name="h", to_si=3600.0),
        Unit(name="day", to_si=86400.0),
        Unit(name="N", to_si=1.0),
        Unit(name="Pa", to_si=1.0),
        Unit(name="kPa", to_si=1e3),
        Unit(name="MPa", to_si=1e6),
        Unit(name="%", to_si=1e-2),
        Unit(name="g/g", to_si=1.0),
        Unit(name="g/mL", to_si=1e3),
        Unit(name="kg/m3", to_si=1.0),
        Unit(name="deg", to_si=1.0),
        Unit(name="C", to_si=1.0, offset=273.15),
        Unit(name="grade", to_si=1.0),
        Unit(name="layers", to_si=1.0),
        Unit(name="mg/L", to_si=1e-3),
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
