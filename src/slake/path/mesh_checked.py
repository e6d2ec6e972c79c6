"""How a mesh would be printed, what was found of it, and how much each finding weighs."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from slake.ground.evidence import Range
from slake.ground.problems import require_positive
from slake.paste.cartridges import Cartridge

from .mesh_checks import Soundness
from .other_sides import Side
from .scaling import ROUND_AND_ROUND, Scaled
from .shrinking import Direction
from .sizes import Bed, Fit, MeshPaste, UnitAsked
from .slopes import USUAL_LEAN, Slopes
from .spans import USUAL_SPAN_M, Spans
from .thin_walls import ThinWalls


class Weight(Enum):
    """How much a finding weighs: it stops, it asks the person, it warns."""

    STOPS = "stops"
    ASKS = "asks"
    WARNS = "warns"


@dataclass(frozen=True, kw_only=True)
class Finding:
    weight: Weight
    sentence: str


@dataclass(frozen=True, kw_only=True)
class MeshPrint:
    """How it would be printed; None where it is not known, and what needs it is left out. runs: of x, y and z."""

    bead_m: float
    layer_height_m: float
    bed: Bed | None = None
    density_kg_m3: Range | None = None
    cartridge: Cartridge | None = None
    lean_deg: Range = USUAL_LEAN
    span_m: Range = USUAL_SPAN_M
    runs: tuple[Direction, ...] = ROUND_AND_ROUND

    def __post_init__(self) -> None:
        require_positive(bead_m=self.bead_m, layer_height_m=self.layer_height_m)


@dataclass(frozen=True, kw_only=True)
class MeshChecked:
    """What is known of a mesh. None: it needs a closed body, or something of the print that is not known.

    better_side: how to stand it so that far less leans out, where that helps. overlap_m3: what bodies have in common,
    as drawn. as_drawn: paste of the full body. one_wall: paste of one bead run round its outline, with no floor.
    """

    soundness: Soundness
    unit: UnitAsked | None
    scaled: Scaled
    fit: Fit | None
    slopes: Slopes
    better_side: Side | None
    spans: Spans | None
    thin: ThinWalls | None
    overlap_m3: float
    as_drawn: MeshPaste | None
    one_wall: MeshPaste | None
    findings: tuple[Finding, ...] = field(default=())
