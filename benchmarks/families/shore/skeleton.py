"""The skeleton of grains: three laws (hard grains jam, fibres net, soft gels crowd), and the yield of the paste."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .liquid import Liquid
from .waste import Part, Temper
from .water import Array, Budget, by_room, grain_um, habit


@dataclass(frozen=True, kw_only=True)
class Crowd:
    """How the grains are packed; (n,) arrays."""

    phi: Array
    jam_phi: Array
    aspect: Array
    soft: Array
    grain: Array  # um
    grain_ratio: Array  # main grain over mean grain


def crowd(parts: tuple[Part, ...], temper: Temper, at: Budget) -> Crowd:
    """Packing: a second size fits between the first, long grains jam earlier."""
    share = at.swollen / (at.swollen.sum(axis=1) + 1e-12)[:, None]
    sizes = np.log(np.maximum(habit(parts, "grain_um"), 1.0))
    mean = share @ sizes
    spread = np.sqrt(np.maximum(share @ sizes**2 - mean**2, 0.0))
    aspect = by_room(at.swollen, habit(parts, "aspect"))
    fits = 1.0 + temper.fines_bonus * spread / (1.0 + spread)
    longer = (1.0 + 0.06 * parts[0].aspect) / (1.0 + 0.06 * aspect)
    grain = grain_um(parts, at.swollen)
    return Crowd(
        phi=at.phi,
        jam_phi=np.minimum(temper.jam_phi * fits * longer, 0.97),
        aspect=aspect,
        soft=by_room(at.swollen, habit(parts, "soft")),
        grain=grain,
        grain_ratio=parts[0].grain_um / grain,
    )


def _above(value: Array, width: float) -> Array:
    """Value above nothing, rounded at the corner."""
    return width * np.logaddexp(0.0, value / width)


def jam(packed: Crowd, temper: Temper) -> Array:
    """Hard grains: contacts set in at an onset and stiffness runs away near jamming until the grains give way."""
    filled = packed.phi / packed.jam_phi
    gap = 0.5 * ((1.0 - filled) + np.sqrt((1.0 - filled) ** 2 + 4.0 * packed.soft**2))
    return _above(filled - temper.onset, 0.03) ** 2 / gap**temper.jam_power


def net(packed: Crowd, temper: Temper) -> Array:
    """Fibres: nothing below percolation (contacts over aspect), a power of the excess above."""
    critical = np.minimum(temper.contacts / packed.aspect, 0.45)
    return _above(packed.phi - critical, 0.02) ** temper.net_power


def gel(packed: Crowd, temper: Temper) -> Array:
    """Swollen soft lumps: a loose crowd below contact, pressed facets above."""
    pressed = packed.phi / packed.jam_phi - 1.0
    return 0.02 * packed.phi**3 + _above(pressed, 0.04) ** temper.gel_power


LAWS: dict[str, Callable[[Crowd, Temper], Array]] = {"jam": jam, "net": net, "gel": gel}


def skeleton_pa(packed: Crowd, temper: Temper) -> Array:
    """Stiffness of the grains alone; finer grains touch at more places."""
    finer = packed.grain_ratio**temper.grain_power
    return temper.skeleton_pa * LAWS[temper.law](packed, temper) * finer


def _carried(packed: Crowd) -> Array:
    """How grains in a yielding liquid multiply its yield: the share left, and the strain squeezed into it."""
    filled = np.minimum(packed.phi / packed.jam_phi, 0.93)
    dense = (1.0 - filled) ** (-2.5 * np.minimum(packed.jam_phi, 0.6))
    return np.sqrt(np.maximum(1.0 - packed.phi, 0.07) * dense)


def yield_pa(packed: Crowd, temper: Temper, between: Liquid) -> tuple[Array, Array]:
    """Yield of the paste, and the part of it the gum carries."""
    gum = between.pa * _carried(packed)
    grains = skeleton_pa(packed, temper)
    return grains + gum + temper.bridging * np.sqrt(grains * gum), gum
