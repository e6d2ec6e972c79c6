"""What stands or falls: a stack of layers as it was or will be laid, and the paste it is laid of."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import DoesNotFit, OutsideRange, require_positive
from slake.paste.standing_growing import FIRST_YIELD_PER_YIELD_STRESS
from slake.paste.strength_by_age import Drying, Growing, drying_gain_per_s

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
MOST_LAYERS = 20_000
POSITIVE = ("thickness_m", "wall_m", "contact_m", "plan_m", "radius_m", "area_m2")


@dataclass(frozen=True, kw_only=True)
class Stack:
    """Layers from the bed up, one entry each, (n,). done_s: when the layer is finished, of any clock.

    thickness_m: height of the layer. contact_m: width on which it rests on the one below, at most wall_m. area_m2: of
    the cut through the wall. plan_m: length of the wall in plan; of a closed straight-sided one, of its longest side.
    radius_m: middle radius, infinite where straight. lean_deg: from upright, outward positive. span_m: longest stretch
    with nothing below. wave_m: from middle line to crest of a wall laid in waves.
    """

    thickness_m: Array
    done_s: Array
    wall_m: Array
    contact_m: Array
    area_m2: Array
    plan_m: Array
    radius_m: Array
    lean_deg: Array
    span_m: Array
    closed: Flags
    wave_m: float = 0.0

    def __post_init__(self) -> None:
        count = len(self.thickness_m)
        if not 1 <= count <= MOST_LAYERS:
            raise OutsideRange(
                "layers of the object", got=count, low=1, high=MOST_LAYERS, do="bring a path with layers"
            )
        for name, values in vars(self).items():
            if isinstance(values, np.ndarray) and len(values) != count:
                raise DoesNotFit(f"{name} has {len(values)} entries and there are {count} layers: give one for each")
        for name in POSITIVE:
            if not np.all(getattr(self, name) > 0):
                raise DoesNotFit(f"{name} of a layer is not above zero: look at layer {self._first_bad(name)}")
        if not np.all(np.isfinite(self.done_s)) or np.any(np.diff(self.done_s) < 0):
            raise DoesNotFit("a layer is finished before the one under it: put the layers in the order they are laid")
        if np.any(self.contact_m > self.wall_m * (1 + 1e-9)):
            raise DoesNotFit("a layer rests on more width than the wall has: the contact is at most the wall")
        if not (np.all(np.abs(self.lean_deg) < 89) and np.all(self.span_m >= 0) and 0 <= self.wave_m < math.inf):
            raise DoesNotFit("lean must lie within 89 deg of upright, spans and waves must be zero or more")

    def _first_bad(self, name: str) -> int:
        return int(np.flatnonzero(~(getattr(self, name) > 0))[0]) + 1

    @property
    def top_m(self) -> Array:
        """Height of the top of each layer, (n,)."""
        return np.asarray(np.cumsum(self.thickness_m))

    @property
    def mean_m(self) -> Array:
        """Mean width of each layer over its height, (n,)."""
        return np.asarray(self.area_m2 / self.thickness_m)

    @property
    def step_m(self) -> Array:
        """How far each layer lies outside the one below, (n,); the first on the bed not at all."""
        steps = self.thickness_m * np.tan(np.radians(self.lean_deg))
        steps[0] = 0.0
        return np.asarray(steps)


def bead_area_m2(wall_m: Array, contact_m: Array, thickness_m: Array) -> Array:
    """Cut through a pressed bead: flat where it rests, half an ellipse on each side. Geometry."""
    return np.asarray(thickness_m * (contact_m + math.pi / 4 * (wall_m - contact_m)))


@dataclass(frozen=True, kw_only=True)
class Plain:
    """A wall or ring in plain words: so many layers, so many seconds each. contact_m 0: as wide as the wall.

    radius_m infinite: straight. plan_m: length of the wall, or of the longest side of a closed one.
    """

    layers: int
    layer_height_m: float
    layer_s: float
    wall_m: float
    contact_m: float = 0.0
    plan_m: float = 1.0
    radius_m: float = math.inf
    closed: bool = False
    lean_deg: float = 0.0
    span_m: float = 0.0


def stack_of(plain: Plain) -> Stack:
    """The layers of a plain wall or ring, all alike."""
    require_positive(layer_height_m=plain.layer_height_m, wall_m=plain.wall_m, plan_m=plain.plan_m)
    require_positive(layer_time_s=plain.layer_s)
    if not 1 <= plain.layers <= MOST_LAYERS:
        raise OutsideRange("layers", got=plain.layers, low=1, high=MOST_LAYERS, do="give a whole number of layers")
    if not plain.radius_m > 0:
        raise OutsideRange("radius (m)", got=plain.radius_m, low=1e-6, high=100, do="leave it out for a straight wall")
    count = plain.layers
    each = np.ones(count)
    contact = (plain.contact_m or plain.wall_m) * each
    round_m = 2 * math.pi * plain.radius_m if plain.closed and math.isfinite(plain.radius_m) else plain.plan_m
    return Stack(
        thickness_m=plain.layer_height_m * each,
        done_s=plain.layer_s * np.cumsum(each),
        wall_m=plain.wall_m * each,
        contact_m=contact,
        area_m2=bead_area_m2(plain.wall_m * each, contact, plain.layer_height_m * each),
        plan_m=round_m * each,
        radius_m=plain.radius_m * each,
        lean_deg=plain.lean_deg * each,
        span_m=plain.span_m * each,
        closed=np.full(count, plain.closed),
    )


def _zero() -> Array:
    return np.zeros(1)


@dataclass(frozen=True, kw_only=True)
class Laid:
    """Paste as laid; each array one number per draw, (D,) or (1,). Stresses of plain compression by age since laid.

    first_yield: where it first gives; strength: the most it comes to bear. Drying and heater: growth of ln(all three)
    per second, drying for a wall of dries_wall_m, both counted up to dries_most. water_slope: fall of ln(strength) per
    g/g of water; bleed: liquid per mass of paste under press_pa. 0 where it is not to be counted.
    """

    first_yield: Growing
    strength: Growing
    modulus: Growing
    density_kg_m3: Array
    dries_per_s: Array = field(default_factory=_zero)
    dries_wall_m: float = 1.0
    dries_most: Array = field(default_factory=_zero)
    heater_per_s: Array = field(default_factory=_zero)
    water_slope: Array = field(default_factory=_zero)
    water_per_dry: float = 0.7
    bleed: Array = field(default_factory=_zero)
    press_pa: float = 1e5

    def __post_init__(self) -> None:
        if not np.all((self.density_kg_m3 > 0) & np.isfinite(self.density_kg_m3)):
            raise OutsideRange("density (kg/m3)", got=float(np.min(self.density_kg_m3)), low=1, high=1e4, do="weigh it")
        require_positive(press_pa=self.press_pa, water_per_dry=self.water_per_dry, wall_m=self.dries_wall_m)

    @property
    def draws(self) -> int:
        grown = (self.first_yield.at_laying, self.strength.at_laying, self.modulus.at_laying)
        return max(map(len, (*grown, self.density_kg_m3, self.dries_per_s, self.heater_per_s, self.bleed)))

    def each(self, pick: Callable[[Array], Array]) -> Laid:
        """The same paste with every array of draws changed alike."""
        return replace(
            self,
            first_yield=self.first_yield.each(pick),
            strength=self.strength.each(pick),
            modulus=self.modulus.each(pick),
            density_kg_m3=pick(self.density_kg_m3),
            dries_per_s=pick(self.dries_per_s),
            dries_most=pick(self.dries_most),
            heater_per_s=pick(self.heater_per_s),
            water_slope=pick(self.water_slope),
            bleed=pick(self.bleed),
        )

    def stiffer(self, factor: float) -> Laid:
        """The same paste with strength and stiffness so many times as great."""
        grown = (self.first_yield.times(factor), self.strength.times(factor), self.modulus.times(factor))
        return replace(self, first_yield=grown[0], strength=grown[1], modulus=grown[2])


def laid_of_yield_stress(yield_stress: Growing, modulus_per_yield: Array, density_kg_m3: Array) -> Laid:
    """Paste known by its yield stress in shear alone: pressed freely it yields at sqrt3 of it and bears no more after;
    stiffness by a ratio; all grow alike. Source: roussel2018.
    """
    return Laid(
        first_yield=yield_stress.times(FIRST_YIELD_PER_YIELD_STRESS),
        strength=yield_stress.times(FIRST_YIELD_PER_YIELD_STRESS),
        modulus=yield_stress.times(np.asarray(modulus_per_yield)),
        density_kg_m3=np.asarray(density_kg_m3),
    )


def drying_in(laid: Laid, drying: Drying, wall_m: float, heater_per_s: Array | None = None) -> Laid:
    """The same paste while its wall dries, and with what a heater adds; counted until a fifth of the water is gone."""
    gain = np.array([drying_gain_per_s(drying, wall_m, float(d)) for d in laid.density_kg_m3])
    return replace(
        laid,
        dries_per_s=gain,
        dries_wall_m=wall_m,
        dries_most=np.array([drying.most_gain_log]),
        heater_per_s=_zero() if heater_per_s is None else heater_per_s,
        water_slope=np.array([drying.water_slope]),
        water_per_dry=drying.water_per_dry,
    )


def middle_of(laid: Laid) -> Laid:
    """The paste in the middle of its draws: one draw, every number at its median."""
    return laid.each(lambda values: np.array([np.median(values)]))
