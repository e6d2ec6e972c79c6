"""One thing to weigh, and several portions of one thing put together again."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from .ingredients import Role
from .recipe import WATER

HELD_BACK = "water_held_back"


@dataclass(frozen=True, kw_only=True)
class Amount:
    """One thing to weigh: kg as received, the dry mass and the water in it, what to do with it and why.

    Several amounts of one key are portions of it, each weighed at its own time.
    """

    key: str
    role: Role
    kg: float
    moisture_wet_basis: float
    resolution_kg: float
    ingredient: str = ""
    do: str = ""
    why: str = ""

    @property
    def kind(self) -> str:
        """Key of the catalogue the rules of order go by."""
        return self.ingredient or self.key

    @property
    def dry_kg(self) -> float:
        return self.kg * (1 - self.moisture_wet_basis)

    @property
    def water_kg(self) -> float:
        return self.kg - self.dry_kg


def received_of(amounts: tuple[Amount, ...]) -> tuple[dict[str, float], dict[str, float]]:
    """As-received masses (all water under one key) and moistures, as the bases want them."""
    received: dict[str, float] = {}
    for a in amounts:
        key = WATER if a.key == HELD_BACK else a.key
        received[key] = received.get(key, 0.0) + a.kg
    return received, {a.key: a.moisture_wet_basis for a in amounts if a.key not in {WATER, HELD_BACK}}


def rounded(kg: float, resolution_kg: float) -> float:
    """To the nearest step a scale can show, free of binary dust."""
    return round(round(kg / resolution_kg) * resolution_kg, 9)


def whole(amounts: Sequence[Amount]) -> tuple[Amount, ...]:
    """Each key once, its portions together, in the order first met."""
    portions: dict[str, list[Amount]] = {}
    for a in amounts:
        portions.setdefault(a.key, []).append(a)
    return tuple(replace(found[0], kg=round(math.fsum(a.kg for a in found), 9)) for found in portions.values())
