"""What a made-up waste consists of: its powders, its gums, the printer and the habits of its paste."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

Window = tuple[float | None, float | None]


@dataclass(frozen=True, kw_only=True)
class Filler:
    """A ground, dried waste. Moisture is the truth, which nobody in the kitchen knows."""

    key: str
    kitchen_name: str
    density: float  # g/ml of dry solid
    moisture: float  # share of the powder as received
    drinks: float  # g water held inside 1 g dry grain once soaked
    drink_minutes: float  # time constant of soaking
    swell: float  # ml of grain growth per ml drunk
    packs: float  # densest volume share of the swollen grains
    fibre: float  # 0 round grains .. 1 fibres
    grain_um: float  # coarse grain size
    mineral: float  # 0 cell wall .. 1 mineral
    clings: float  # MPa the dry powder holds by itself


@dataclass(frozen=True, kw_only=True)
class Gum:
    """A thickener or a binder: what it makes of the free water."""

    key: str
    kitchen_name: str
    role: str
    moisture: float
    stiffens_pa: float  # yield of the free water at the dose `dose`
    dose: float  # g dry gum per 100 g free water
    power: float  # steepness below the dose
    hydrate_minutes: float
    stringy: float  # elasticity of the gel
    glue: float  # MPa given to the dried piece at the dose
    calcium: float = 0.0  # gels with mineral filler over time


@dataclass(frozen=True, kw_only=True)
class Waste:
    """One campaign: materials, printer, hidden habits of the paste, and what is asked of it."""

    number: int
    kind: str
    family: str  # "grains" or "felt"
    fillers: tuple[Filler, ...]
    gums: tuple[Gum, ...]
    force_limit_n: float
    nozzle_mm: float
    cap_layers: int
    object_layers: int
    habits: Mapping[str, float]
    told_moisture: Mapping[str, float | None]
    told_demand: Mapping[str, float | None] = field(default_factory=dict)
    told_grain_um: Mapping[str, float | None] = field(default_factory=dict)
    bounds: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    brief: Mapping[str, Window] = field(default_factory=dict)

    @property
    def names(self) -> tuple[str, ...]:
        return (*(f.key for f in self.fillers), *(g.key for g in self.gums), "water")

    @property
    def kitchen(self) -> Mapping[str, str]:
        return {part.key: part.kitchen_name for part in (*self.fillers, *self.gums)} | {"water": "water"}

    @property
    def roles(self) -> Mapping[str, str]:
        fillers, gums = dict.fromkeys((f.key for f in self.fillers), "filler"), {g.key: g.role for g in self.gums}
        return {**fillers, **gums, "water": "liquid"}
