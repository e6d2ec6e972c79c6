"""The machine before a print: what was said of it, and what stands in for what was not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from slake.actions.check_question import USUAL_LAYER_SHARE, FromRows, loaded_of
from slake.campaign.verdict import Paste, Press, Question, practice
from slake.campaign.verdict.law import Law
from slake.campaign.verdict.spread import Spread
from slake.ground.problems import DoesNotFit
from slake.ground.units import to_si
from slake.paste.ram import Barrel
from slake.path.checked import Loaded
from slake.path.checked_words import short
from slake.path.shrinking import Bars, Today
from slake.path.sizes import Bed

from .print_paste import force_of
from .printing_options import MM_BARREL, MM_BORE, USUAL_NOZZLE_MM, Bounds, bed_of, number

USUAL_BARREL_M = to_si(60, "mm")
"""Only so that a path can be followed where nobody said the bore: what depends on it is then not told."""
SAID = "as said"
MILLILITRES = Bounds(low=1, high=20_000, unit="mL")


@dataclass(frozen=True, kw_only=True)
class PrintMachine:
    """Sizes in SI; None where nobody said. bead_m, layer_height_m: as said, else the usual share of the nozzle."""

    nozzle_m: float
    nozzle_said: bool
    barrel_m: float | None
    cartridge_m3: float | None
    bead_m: float
    layer_height_m: float
    force_n: Spread
    bed: Bed | None

    @property
    def pushes(self) -> bool:
        """Whether both bores are known, so that force, ooze and cartridges can be told."""
        return self.barrel_m is not None and self.nozzle_said

    def loaded(self, paste: tuple[Paste, Law], bars: Bars | None = None) -> Loaded:
        """With this paste in it. bars: shrinkage as it was said."""
        barrel = Barrel(barrel_m=self.barrel_m or max(USUAL_BARREL_M, 2 * self.nozzle_m), nozzle_m=self.nozzle_m)
        question = Question(paste=paste[0], press=Press(barrel=barrel, force_n=self.force_n), law=paste[1])
        rows = FromRows(
            question=question,
            cartridge_m3=self.cartridge_m3,
            bead_m=self.bead_m,
            layer_height_m=self.layer_height_m,
            bars=bars,
            today=Today(batch=SAID),
        )
        return loaded_of({}, rows)


def machine_of(typed: Mapping[str, str]) -> PrintMachine:
    """The machine as typed, every option by its name. Raises Problem for what cannot be."""
    nozzle = number(typed["nozzle_mm"], "the nozzle", MM_BORE)
    barrel = number(typed["barrel_mm"], "the barrel", MM_BARREL)
    bore = nozzle or to_si(USUAL_NOZZLE_MM, "mm")
    if barrel is not None and bore >= barrel:
        sizes = f"{short(bore, 'mm')} mm and the barrel {short(barrel, 'mm')} mm"
        raise DoesNotFit(f"the nozzle has {sizes}, but it must be narrower: look at both")
    return PrintMachine(
        nozzle_m=bore,
        nozzle_said=nozzle is not None,
        barrel_m=barrel,
        cartridge_m3=number(typed.get("cartridge_ml", ""), "the cartridge", MILLILITRES),
        bead_m=number(typed["bead_mm"], "the bead", MM_BORE) or practice.BEAD_PER_NOZZLE * bore,
        layer_height_m=number(typed["layer_mm"], "the layer", MM_BORE) or USUAL_LAYER_SHARE * bore,
        force_n=force_of(typed.get("force_n", "")),
        bed=bed_of(typed["bed"]),
    )
