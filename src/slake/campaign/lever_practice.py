"""Levers beside the recipe: what a finer grind, slower drying and a thinner wall do, by a law or by practice."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any

from slake.ground.evidence import Z80, Range
from slake.ground.units import from_si, to_si
from slake.paste.uneven_drying import COVERED, FROM_UNEVEN, OPEN_AIR, crack_drive_times, first_stage_s

from .changed import Moved
from .priors import CRACKS, LAYERS, SHRINKAGE

FINE_M = to_si(125, "um")
"""Largest grain from which a powder is called fine already: common practice, no source."""
THINNER_WALL, LEAST_WALL_NOZZLES = 0.6, 1.4
FOLDS_AS = 2 / 3
"""A free wall folds at a height that goes with its thickness to this power: greenhill1881, as in `standing`."""
TAIL = Range(low=1.5, mid=1.75, high=2.0)
"""All of the drying over its first stage: common practice, no source."""
CHANNEL_OF = {"shrinkage": SHRINKAGE.name, "cracks": CRACKS.name, "layers": LAYERS.name}


@dataclass(frozen=True, kw_only=True)
class Told:
    """What is said of one lever."""

    title: str
    why: str
    cost: str
    hours: Range
    how: str = "practice"
    times: Mapping[str, Range] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Beside:
    """A lever beside the recipe: how much of it, what it does on top, and how many days of drying more."""

    key: str
    words: str
    on_top: Mapping[str, Moved]
    more_days: Range | None = None


@dataclass(frozen=True, kw_only=True)
class Part:
    """What was printed and how it dries: wall (None: not known, two beads of the nozzle), which faces are open, water
    in the paste, and the largest grain of its fillers (None: not known).
    """

    nozzle_m: float
    water_kg_m3: float
    wall_m: float | None = None
    open_faces: int = 2
    largest_grain_m: float | None = None
    covered: bool | None = None

    @property
    def wall(self) -> float:
        return self.wall_m if self.wall_m is not None else 2 * self.nozzle_m

    @property
    def path(self) -> float:
        return self.wall / self.open_faces


def _range(row: list[float]) -> Range:
    return Range(low=row[0], mid=row[1], high=row[2])


@cache
def told() -> Mapping[str, Told]:
    rows: dict[str, Any] = tomllib.loads(files("slake.campaign").joinpath("levers.toml").read_text(encoding="utf-8"))
    return {
        key: Told(
            title=row["title"],
            why=row["why"],
            cost=row["cost"],
            hours=_range(row["hours"]),
            how=row.get("how", "practice"),
            times={name: _range(row[name]) for name in CHANNEL_OF if name in row},
        )
        for key, row in rows.items()
    }


def beside(part: Part) -> list[Beside]:
    """Those that make sense for this part: nothing is ground finer that is fine, nothing covered that was covered."""
    found = []
    if part.largest_grain_m is None or part.largest_grain_m > FINE_M:
        size = "" if part.largest_grain_m is None else f", now up to {from_si(part.largest_grain_m, 'um'):.0f} um"
        found.append(Beside(key="finer_grind", words=f"fillers through 125 um{size}", on_top=_on_top("finer_grind")))
    if part.covered is not True:
        found.append(_covered(part))
    if part.wall * THINNER_WALL >= LEAST_WALL_NOZZLES * part.nozzle_m:
        found.append(_thinner(part))
    return found


def _on_top(key: str, **more: Range) -> dict[str, Moved]:
    return {CHANNEL_OF[name]: _log(value) for name, value in {**told()[key].times, **more}.items()}


def _log(times: Range) -> Moved:
    return math.log(times.mid), math.log(times.high / times.low) / (2 * Z80)


def _of_drive(uneven: float) -> Range:
    """What is left of the drive to crack, from a share that is known in a range only."""
    most, mid, least = (
        crack_drive_times(uneven, part) for part in (FROM_UNEVEN.low, FROM_UNEVEN.mid, FROM_UNEVEN.high)
    )
    return Range(low=least, mid=mid, high=most)


def _covered(part: Part) -> Beside:
    slow, fast = (first_stage_days(part, air) for air in (COVERED, OPEN_AIR))
    days = Range(
        low=max(slow.low - fast.low, 0.0) * TAIL.low,
        mid=(slow.mid - fast.mid) * TAIL.mid,
        high=(slow.high - fast.high) * TAIL.high,
    )
    cracks = _of_drive(COVERED.mid / OPEN_AIR.mid)
    words = "under a loose cover until it hardly shrinks any more"
    return Beside(key="slower_drying", words=words, on_top=_on_top("slower_drying", cracks=cracks), more_days=days)


def first_stage_days(part: Part, air: Range) -> Range:
    """The stage of steady drying in this air, in days, both ends of what the air may take."""
    short, mid, long = (
        first_stage_s(part.water_kg_m3, part.path, flux) / 86400 for flux in (air.high, air.mid, air.low)
    )
    return Range(low=short, mid=mid, high=long)


def _thinner(part: Part) -> Beside:
    layers = Range(low=THINNER_WALL**FOLDS_AS * 0.95, mid=THINNER_WALL**FOLDS_AS, high=1.0)
    on_top = _on_top("thinner_wall", cracks=_of_drive(THINNER_WALL), layers=layers)
    words = f"{from_si(part.wall, 'mm'):.1f} mm to {from_si(part.wall * THINNER_WALL, 'mm'):.1f} mm"
    return Beside(key="thinner_wall", words=words, on_top=on_top)
