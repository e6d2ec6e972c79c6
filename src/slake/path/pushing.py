"""What one E unit of a toolpath is, in paste, and how a machine moves between its words."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slake.ground.problems import OutsideRange
from slake.ground.units import from_si, to_si

WIDEST_M = 0.5
LARGEST_M3_PER_E = 1e-3


@dataclass(frozen=True, kw_only=True)
class Pushed:
    """What E counts. m3_per_e: paste pushed out by one E unit while the file is in millimetres.

    by_length: E is a length, so G20 makes it inches; a volume in mL stays what it is.
    """

    m3_per_e: float
    by_length: bool
    words: str

    def __post_init__(self) -> None:
        if not 0 < self.m3_per_e < LARGEST_M3_PER_E:
            raise OutsideRange(
                "paste per E (mL)",
                got=from_si(self.m3_per_e, "mL") if math.isfinite(self.m3_per_e) else self.m3_per_e,
                low=1e-9,
                high=from_si(LARGEST_M3_PER_E, "mL"),
                do="check the bore in the machine's record and what its E counts",
            )


def _per_mm(bore_m: float) -> float:
    if not 0 < bore_m < WIDEST_M:
        raise OutsideRange("bore (m)", got=bore_m, low=1e-4, high=WIDEST_M, do="measure it")
    return math.pi * bore_m**2 / 4 * to_si(1, "mm")


def ram_mm(barrel_m: float) -> Pushed:
    """E is millimetres of the ram: one pushes a millimetre of the barrel's bore."""
    return Pushed(m3_per_e=_per_mm(barrel_m), by_length=True, words="mm of ram")


def filament_mm(bore_m: float) -> Pushed:
    """E is millimetres of a filament of this diameter, as slicers made for filament write it."""
    return Pushed(m3_per_e=_per_mm(bore_m), by_length=True, words="mm of filament")


def millilitres() -> Pushed:
    """E is millilitres of paste."""
    return Pushed(m3_per_e=to_si(1, "mL"), by_length=False, words="mL of paste")


@dataclass(frozen=True, kw_only=True)
class Motion:
    """How the machine moves beyond what the file says.

    speed_m_s: taken until the file says F; None refuses such a file. acceleration_m_s2: None is constant speed.
    corner_m_s: the speed may change by this much at a corner without slowing, where there is an acceleration.
    """

    speed_m_s: float | None = None
    acceleration_m_s2: float | None = None
    corner_m_s: float = to_si(5, "mm/s")

    def __post_init__(self) -> None:
        for name, value in (
            ("speed (m/s)", self.speed_m_s),
            ("acceleration (m/s2)", self.acceleration_m_s2),
            ("corner speed (m/s)", self.corner_m_s),
        ):
            if value is not None and not 0 < value < math.inf:
                raise OutsideRange(name, got=value, low=1e-6, high=100, do="leave it open where nobody knows it")


AS_WRITTEN = Motion()
"""Constant speed, as the file says."""
