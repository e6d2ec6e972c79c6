"""Pieces that dry, for the tests of drying: a shell paste, a cellulose paste, a room, and ways to change one thing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from slake.ground.evidence import Range
from slake.paste.drying_unknowns import GRIPS_CLOSED, STILL_M_S, Bed, Drying, Piece, Room, WetPaste, draw_scores

SCORES = draw_scores(np.random.default_rng(6), 120)


def about(mid: float, times: float) -> Range:
    return Range(low=mid / times, mid=mid, high=mid * times)


def plus(mid: float, more: float) -> Range:
    return Range(low=mid - more, mid=mid, high=mid + more)


SHELL = WetPaste(
    water_per_dry=about(0.45, 1.05), density_kg_m3=about(1500, 1.04),
    shrinkage=Range(low=0.01, mid=0.02, high=0.04), half_humid=Range(low=0.005, mid=0.01, high=0.02),
)  # fmt: skip
CELLULOSE = WetPaste(
    water_per_dry=about(2.0, 1.05), density_kg_m3=about(1120, 1.04),
    shrinkage=Range(low=0.08, mid=0.12, high=0.18), half_humid=Range(low=0.05, mid=0.075, high=0.1),
)  # fmt: skip
"""Shrinkage, density and water of either family: common practice, no source."""


def drying(paste: WetPaste = SHELL, wall_mm: float = 4.0, base: bool = False, open_chance: float = 0.0) -> Drying:
    thick = about(wall_mm / 1e3, 1.05)
    return Drying(
        room=Room(temperature_k=plus(293.15, 1.0), humidity=plus(0.5, 0.03), speed_m_s=STILL_M_S),
        paste=paste,
        piece=Piece(wall_m=thick, base_m=thick if base else None),
        bed=Bed(open_chance=open_chance, grips=GRIPS_CLOSED),
    )


def in_room(asked: Drying, **changed: Range) -> Drying:
    return replace(asked, room=replace(asked.room, **changed))


def of_paste(asked: Drying, **changed: object) -> Drying:
    return replace(asked, paste=replace(asked.paste, **changed))
