"""Who drinks the water, and how much room the swollen grains take (per gram of wet paste, volumes in mL)."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .waste import Part, Temper

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Budget:
    """Where mass and room are; (n,) arrays unless said."""

    dry: Array  # (n, parts)
    free: Array  # g water outside the grains
    swollen: Array  # (n, parts) mL of grains with what they drank
    kept: Array  # (n, parts) mL of grains once dried
    volume: Array  # mL of all, without air
    phi: Array  # swollen grains over all
    solids: Array  # mL of dry matter that stays
    salt: Array  # g per 100 g free water


def habit(parts: tuple[Part, ...], name: str) -> Array:
    """One habit of all the parts, in their order."""
    return np.array([getattr(part, name) for part in parts], dtype=float)


def _drunk(dry: Array, water: Array, thirst: Array) -> Array:
    """Grains share what there is: all they want when water is plenty, nearly all of it when it is not."""
    wish = dry * thirst
    total = wish.sum(axis=1) + 1e-12
    given = total * water / (total**5 + water**5) ** 0.2
    return wish * (given / total)[:, None]


def budget(parts: tuple[Part, ...], temper: Temper, recipes: Array) -> Budget:
    """Water, room and salt of each recipe."""
    wet = habit(parts, "moisture")
    dry = recipes * (1.0 - wet)
    water = np.maximum((recipes * wet).sum(axis=1), 1e-6)
    salt = 100.0 * (dry * habit(parts, "salt")).sum(axis=1) / water
    thirst = habit(parts, "drink") / (1.0 + temper.salt_bite * 0.15 * salt[:, None] * (habit(parts, "soft") > 0.19))
    drunk = _drunk(dry, water, thirst)
    free = np.maximum(water - drunk.sum(axis=1), 1e-4)
    grains = habit(parts, "grain_um") > 0.0
    room = dry / habit(parts, "rho")
    swollen = (room + drunk) * grains
    volume = room.sum(axis=1) + water
    return Budget(
        dry=dry,
        free=free,
        swollen=swollen,
        volume=volume,
        phi=swollen.sum(axis=1) / volume,
        salt=salt,
        kept=(room + drunk * (1.0 - habit(parts, "collapse"))) * grains,
        solids=room.sum(axis=1),
    )


def by_room(swollen: Array, values: Array) -> Array:
    """Mean of a habit over the grains, by the room they take."""
    return (swollen @ values) / (swollen.sum(axis=1) + 1e-12)


def grain_um(parts: tuple[Part, ...], swollen: Array) -> Array:
    """Grain that counts for surface: harmonic by room."""
    fine = np.array([1.0 / part.grain_um if part.grain_um > 0 else 0.0 for part in parts])
    return 1.0 / (by_room(swollen, fine) + 1e-9)
