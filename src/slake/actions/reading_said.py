"""A property in plain words: quantity, value, unit and 80 % range, as pages and notes say it."""

from __future__ import annotations

import re

from slake.bench.declaration import BenchTest
from slake.bench.own import properties
from slake.ground.evidence import Evidence, Kind, Range
from slake.ground.units import UNITS, from_si

STIFFNESS = "yield_stress_pa"
BENCH_UNIT_OF = {
    STIFFNESS: ("yield stress", "Pa"),
    "moisture_wet_basis": ("moisture, wet basis", "%"),
    "linear_shrinkage": ("linear shrinkage, of the wet length", "%"),
    "ram_force_n": ("ram force", "N"),
    "density_kg_m3": ("paste density", "g/mL"),
    "bend_strength_pa": ("strength when dry", "MPa"),
    "mould_first_s": ("time to first mould", "day"),
    "dry_after_s": ("time to dry", "h"),
    "stiffening_rate_per_s": ("stiffening with age", "%/h"),
    "bleed_share": ("water pressed out", "g/100 g"),
    "crack_grade": ("worst crack, grade", "grade"),
    "gum_run_out_s": ("time to run out", "s"),
    "water_activity": ("water activity", ""),
    "layers_stood": ("layers that stand", "layers"),
    "grain_d90_m": ("nine tenths of the grains finer than", "um"),
    "spring_back": ("spring back", "%"),
    "extrusion_pressure_pa": ("pressure that starts the bead", "kPa"),
    "wall_stress_pa": ("stress along the wall of the nozzle", "Pa"),
    "water_demand": ("water it drinks, per dry", "g/g"),
    "bead_moisture_apart": ("water the first bead holds more than the last", "%"),
}
"""Every property a test of files informs: plain words, and the unit of the bench."""
NO_UNIT_SAID = {"grade", "layers"}
"""Units the words of their property say already."""
SI_ENDING = re.compile(r"_(per_s|s|pa|m|n)$")


def _name_and_unit(informs: str, test: BenchTest) -> tuple[str, str]:
    """Plain words of a property, without the SI unit its key ends in, and the unit a bench says it in."""
    return BENCH_UNIT_OF.get(informs) or (SI_ENDING.sub("", informs).replace("_", " "), _unit_of(informs, test))


def _unit_of(informs: str, test: BenchTest) -> str:
    """The unit of the notebook where it is one of this quantity, else SI: never pascals called kilograms."""
    si, unit = properties().get(informs, {}).get("unit"), test.notebook_unit
    if si is None or (unit in UNITS and UNITS[unit].base == si):
        return unit
    return str(si)


def evidence_words(evidence: Evidence, test: BenchTest) -> str:
    """One plain line: quantity, value, unit and 80 % range, or the one-sided statement."""
    name, unit = _name_and_unit(evidence.informs, test)
    unit_said = "" if unit in NO_UNIT_SAID else unit

    def shown(si: float | None) -> str:
        return f"{_three(from_si(si if si is not None else 0.0, unit))} {unit_said}".strip()

    if evidence.kind is Kind.ABOVE:
        return f"{name} above {shown(evidence.low)}"
    if evidence.kind is Kind.BELOW:
        return f"{name} below {shown(evidence.high)}"
    found = evidence.range80()
    return name if found is None else range_words(evidence.informs, found, test)


def range_words(informs: str, found: Range, test: BenchTest) -> str:
    """Quantity, value, unit and 80 % range of a property in SI."""
    name, unit = _name_and_unit(informs, test)
    low, mid, high = (_three(from_si(side, unit)) for side in (found.low, found.mid, found.high))
    unit_said = "" if unit in NO_UNIT_SAID else f" {unit}"
    return f"{name} {mid}{unit_said.rstrip()} (80 %: {low} to {high})"


def _three(value: float) -> str:
    """Three figures, never an exponent."""
    return f"{float(f'{value:.3g}'):.0f}" if abs(value) >= 100 else f"{value:.3g}"
