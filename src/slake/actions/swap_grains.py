"""Grains of two lots beside each other, as far as sieves said. Reads only."""

from __future__ import annotations

from slake.campaign.swap import Changes
from slake.ground.evidence import Range
from slake.ground.units import from_si
from slake.paste.ingredients import Role
from slake.records.models import Lot
from slake.records.values import grains_of

from .grain_sizes import middle_m

UM = "um"
SIEVES_SD = 1.15
"""Factor by which a size from hand sieving is known, 8 times in 10: common practice, no source."""


def grain_words(out: Lot, new: Lot | None) -> list[Changes]:
    """Middle size of both where both were split over sieves, else the sieves they are said to have passed."""
    if Role(out.role) not in {Role.FILLER, Role.FIBRE}:
        return []
    sizes = [None if lot is None else middle_m(lot) for lot in (out, new)]
    if sizes[0] is not None and sizes[1] is not None:
        times = sizes[1] / sizes[0]
        span = Range(low=times / SIEVES_SD**1.4, mid=times, high=times * SIEVES_SD**1.4)
        rises = True if span.low > 1 else False if span.high < 1 else None
        words = "finer drinks more and clogs less; coarser the other way"
        return [Changes(what="middle size of its grains", words=words, rises=rises, how="measured here", times=span)]
    return [_largest(out, new)]


def _largest(out: Lot, new: Lot | None) -> Changes:
    said = []
    for lot in (out, new):
        largest = None if lot is None else grains_of(lot).largest_m
        name = "the other" if lot is None else lot.name
        said.append(f"{name} {'not known' if largest is None else f'up to {from_si(largest, UM):.0f} um'}")
    return Changes(what="grains", words="; ".join(said), rises=None, how="as stated, no sieve split of both")
