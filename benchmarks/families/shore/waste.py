"""What one made-up waste is: its parts with hidden habits, its hidden temper, the bench, and what the kitchen sees."""

from collections.abc import Mapping
from dataclasses import dataclass

Window = tuple[float | None, float | None]


@dataclass(frozen=True, kw_only=True)
class Part:
    """One ingredient with the habits that nobody is told."""

    name: str
    kitchen: str
    role: str
    moisture: float = 0.0  # g water per g as weighed
    rho: float = 1.5  # dry, g/mL
    want: float = 0.0  # g water per g dry at which it alone works as a paste
    drink: float = 0.0  # g water per g dry held inside the grain
    grain_um: float = 0.0
    aspect: float = 1.0
    soft: float = 0.05  # how far grains give way when jammed
    collapse: float = 1.0  # share of drunk water whose volume is lost on drying
    overlap: float = 0.0  # g per 100 g water where coils touch; 0 = no polymer
    pull: float = 0.0  # Pa at overlap
    power: float = 2.0  # growth of stiffness above overlap
    springy: float = 0.0
    glue: float = 0.0
    gels: float = 0.0  # share of it that calcium ties
    leach: float = 0.0  # g anionic gum given off per g dry
    salt: float = 0.0
    acid: float = 0.0
    calcium: float = 0.0
    oil: float = 0.0
    charged: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Temper:
    """Hidden habits of the paste as a whole."""

    law: str  # "jam" | "net" | "gel"
    skeleton_pa: float
    jam_phi: float
    jam_power: float
    onset: float
    net_power: float
    contacts: float
    gel_power: float
    bridging: float
    synergy: float
    tie_rate: float
    tie_pa: float
    salt_bite: float
    fines_bonus: float
    grain_power: float
    cone_k: float
    slip: float
    wall_mu: float
    oring_n: float
    stand_gain: float
    fold_ratio: float
    air: float
    spring_gain: float
    fines_share: float
    dry_pack: float
    draw_in: float
    crack_strain: float
    crack_power: float
    tough_fibre: float
    tough_soft: float
    strength_mpa: float
    pore_loss: float
    cover_g: float
    ageing: float


@dataclass(frozen=True, kw_only=True)
class Bench:
    """The kitchen's machine and how well its people read."""

    bore_mm: float
    walls: float
    weighing: float
    cone: float
    force: float
    spring: float
    layers: float
    shrink: float
    grade: float
    strength: float
    density: float


@dataclass(frozen=True, kw_only=True)
class Waste:
    """A waste about ready to use, with what the kitchen knows and asks of it."""

    number: int
    kind: str
    names: tuple[str, ...]
    kitchen: Mapping[str, str]
    roles: Mapping[str, str]
    told_moisture: Mapping[str, float | None]
    told_demand: Mapping[str, float | None]
    told_grain_um: Mapping[str, float | None]
    bounds: Mapping[str, tuple[float, float]]
    brief: Mapping[str, Window]
    force_limit_n: float
    nozzle_mm: float
    cap_layers: int
    object_layers: int
    parts: tuple[Part, ...]
    temper: Temper
    bench: Bench
    lot: int = 0


@dataclass(frozen=True, kw_only=True)
class Mixed:
    """One kitchen batch as the notebook has it."""

    fractions: Mapping[str, float]
    outcome: str
    readings: Mapping[str, tuple[float, float]]
    reached_cap: bool
