"""What a family of pastes usually is where nothing is known of this one, and what may be known of it. Practice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from slake.ground.evidence import Range

PRACTICE = "common practice, no source"


@dataclass(frozen=True, kw_only=True)
class Kind:
    """What a family of pastes usually is: practice, no source. water: on wet basis."""

    water: Range
    density_kg_m3: Range
    shrinkage: Range
    half_humid: Range


MINERAL = Kind(
    water=Range(low=0.24, mid=0.31, high=0.4),
    density_kg_m3=Range(low=1430, mid=1500, high=1570),
    shrinkage=Range(low=0.01, mid=0.02, high=0.04),
    half_humid=Range(low=0.005, mid=0.01, high=0.02),
)
PLANT = Kind(
    water=Range(low=0.55, mid=0.65, high=0.75),
    density_kg_m3=Range(low=1050, mid=1120, high=1200),
    shrinkage=Range(low=0.08, mid=0.12, high=0.18),
    half_humid=Range(low=0.05, mid=0.075, high=0.1),
)
ANY = Kind(
    water=Range(low=0.27, mid=0.47, high=0.72),
    density_kg_m3=Range(low=1080, mid=1300, high=1530),
    shrinkage=Range(low=0.013, mid=0.05, high=0.15),
    half_humid=Range(low=0.007, mid=0.025, high=0.09),
)
OF_KIND = {"mineral": MINERAL, "plant": PLANT, "": ANY}


@dataclass(frozen=True, kw_only=True)
class Told80:
    """A range somebody or something told, and from where."""

    range: Range
    basis: str


@dataclass(frozen=True, kw_only=True)
class KnownPaste:
    """What is known of a batch without anything typed, by what the answer calls each number.

    grades: crack grades read of it.
    """

    told: Mapping[str, Told80] = field(default_factory=dict)
    kind: str = ""
    grades: tuple[float, ...] = ()
