"""The width of a round cake or disc measured two ways."""

from __future__ import annotations

from slake.ground.problems import DoesNotFit
from slake.ground.units import from_si

NOT_ONE, UNEVEN = 1.5, 1.15
"""Two widths of one round thing: practice, no source."""


def mean_of_two_ways(what: str, first_m: float, across_m: float) -> float:
    """Mean width; `across_m` of 0 is not measured. Raises DoesNotFit where the two cannot be of one round thing."""
    if across_m == 0:
        return first_m
    if max(first_m, across_m) > NOT_ONE * min(first_m, across_m):
        raise DoesNotFit(
            f"the {what} is {from_si(first_m, 'mm'):.4g} mm one way and {from_si(across_m, 'mm'):.4g} mm the other, "
            "more than half as much again: measure both again, or repeat on a level plate"
        )
    return (first_m + across_m) / 2


def uneven_note(what: str, first_m: float, across_m: float) -> str:
    if across_m and max(first_m, across_m) > UNEVEN * min(first_m, across_m):
        return f"the {what} is not round: level the plate and repeat"
    return ""
