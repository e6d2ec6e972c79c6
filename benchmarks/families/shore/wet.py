"""Readings on the wet paste: cone, slump, push on the ram, spring-back, bleed, density, layers that stand."""

from dataclasses import dataclass

import numpy as np

from .liquid import Liquid
from .skeleton import Crowd
from .waste import Temper, Waste
from .water import Array, Budget

GRAVITY = 9.81
CONE_KG = 0.030
CUP_MM = 40.0
LAND_MM = 15.0
FILL_BORES = 2.5  # length of the filled barrel in bores
PRESS_PA, PRESS_S = 90e3, 300.0


@dataclass(frozen=True, kw_only=True)
class Paste:
    """One set of pastes at an hour; (n,) arrays."""

    at: Budget
    between: Liquid
    packed: Crowd
    pa: Array
    gum_pa: Array
    air: Array  # share of volume

    @property
    def density(self) -> Array:
        """g/mL with the air kneaded in."""
        return (1.0 - self.air) / self.at.volume


def cone_mm(paste: Paste, temper: Temper) -> Array:
    """Depth at which weight and stiffness balance; the cup has a bottom."""
    depth = 1e3 * np.sqrt(temper.cone_k * CONE_KG * GRAVITY / paste.pa)
    return depth / (1.0 + (depth / CUP_MM) ** 12) ** (1 / 12)


def slump_mm(paste: Paste) -> Array:
    """Height lost by a 50 mm cylinder: what lies below the level that yields."""
    level = np.clip(paste.pa / (paste.density * 1e3 * GRAVITY * 0.05), 1e-4, 0.5)
    return 50.0 * (1.0 - 2.0 * level * (1.0 - np.log(2.0 * level)))


def _wall_pa(paste: Paste, temper: Temper) -> Array:
    """Stress on the wall: sliding on a film of gum solution, never more than the paste itself bears."""
    film = 0.15 * paste.between.pa + 25.0 * paste.between.pa_s**0.3
    return np.minimum(temper.slip * paste.pa + film, paste.pa)


def ram_n(paste: Paste, waste: Waste) -> Array:
    """Push at which the ram moves: squeeze into the nozzle, land, and a plug that leans on the barrel."""
    temper, nozzle, bore = waste.temper, waste.nozzle_mm, waste.bench.bore_mm
    arching = 1.0 + (2.5 * paste.packed.grain * 1e-3 * np.sqrt(paste.packed.aspect) / nozzle) ** 2
    moving = paste.pa + 1.5 * paste.between.pa
    wall = _wall_pa(paste, temper)
    entry = 2.0 * np.sqrt(3.0) * moving * np.log(bore / nozzle) * arching + 4.0 * wall * LAND_MM / nozzle
    filled = np.minimum(paste.packed.phi / paste.packed.jam_phi, 1.25)
    lean = np.clip(4.0 * FILL_BORES * temper.wall_mu * filled**6, 1e-3, 4.0)
    plug = entry * np.exp(lean) + 4.0 * wall * FILL_BORES * np.expm1(lean) / lean
    return plug * np.pi * (bore * 1e-3) ** 2 / 4.0 + temper.oring_n


def spring_percent(paste: Paste, temper: Temper) -> Array:
    """Give-back of a closed syringe: what the gum stores, what bent fibres store, and the air."""
    carried = paste.gum_pa / (paste.pa + paste.gum_pa)
    bent = 0.05 * np.log(paste.packed.aspect) * (1.0 - carried)
    return temper.spring_gain * (2.0 * carried * paste.between.springy + bent) + 35.0 * paste.air


def bleed_g(paste: Paste, temper: Temper) -> Array:
    """Liquid pressed out in five minutes per 100 g: a filter of fines against gum, never more than is free."""
    hole = paste.packed.grain * 1e-6 * temper.fines_share
    phi = np.minimum(paste.packed.phi, 0.9)
    leak = hole**2 * (1.0 - phi) ** 3 / (180.0 * phi**2)
    flowing = 1e-3 * (paste.between.pa_s / 1e-3) ** 0.6
    depth_cm = 100.0 * np.sqrt(2.0 * leak * PRESS_PA * PRESS_S / flowing)
    pressed = 100.0 * depth_cm * 5.6 / 10.0 * paste.at.volume
    loose = 50.0 * paste.at.free
    return pressed * loose / (pressed + loose)


def fold_and_bulge_mm(paste: Paste, waste: Waste) -> tuple[Array, Array]:
    """Height at which a straight wall folds under itself, and at which its foot yields."""
    pa = paste.pa * waste.temper.stand_gain
    weight = paste.density * 1e3 * GRAVITY
    wall = 1.2e-3 * waste.nozzle_mm * waste.bench.walls
    fold = (7.84 * waste.temper.fold_ratio * pa * wall**2 / (12.0 * weight)) ** (1 / 3)
    return 1e3 * fold, 1e3 * np.sqrt(3.0) * pa / weight


def layers(paste: Paste, waste: Waste) -> Array:
    """Layers that stand, whichever end comes first; the test stops at the cap."""
    fold, bulge = fold_and_bulge_mm(paste, waste)
    height = (fold**-6.0 + bulge**-6.0) ** (-1 / 6)
    return np.minimum(height / (0.55 * waste.nozzle_mm), float(waste.cap_layers))
