"""What is read of a lot before it becomes paste: its moisture, and whether its heating meets a stated rule."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from slake.ground.evidence import Range, linear_range
from slake.ground.problems import DoesNotFit, OutsideRange
from slake.ground.units import from_si

from .bases import check_moisture
from .ingredients import HowKnown, Ingredient, Known

CONSTANT_MASS_SHARE = 0.005
"""Two last weighings that differ by less than this share of the dry mass count as constant: common practice."""


def moisture_wet_basis(tare_kg: float, wet_kg: float, dry_kg: float) -> float:
    """Water per wet mass; all three weighings are gross, on one scale. Source: iso18134 (form, memory).

    Holds when the sample is dry to constant mass at 103 to 105 C; what boils off besides water counts as water.
    Raises DoesNotFit where the masses do not fall in the order wet, dry, tare.
    """
    for name, kg in (("tare", tare_kg), ("wet sample with its tare", wet_kg), ("dry sample with its tare", dry_kg)):
        if not 0 <= kg < math.inf:
            raise OutsideRange(f"{name} (g)", got=from_si(kg, "g"), low=0, high=1e5, do="weigh it again")
    if not tare_kg < dry_kg <= wet_kg:
        grams = [from_si(kg, "g") for kg in (tare_kg, wet_kg, dry_kg)]
        raise DoesNotFit(
            f"tare {grams[0]:.2f} g, wet {grams[1]:.2f} g and dry {grams[2]:.2f} g do not go together: the dry "
            "weighing must lie above the tare and not above the wet one; weigh all three gross on one scale"
        )
    return (wet_kg - dry_kg) / (wet_kg - tare_kg)


@dataclass(frozen=True, kw_only=True)
class OvenMoisture:
    """Moisture from a series of weighings. Not `constant`: the sample still loses water, so this is a lower bound."""

    wet_basis: float
    constant: bool


def oven_moisture(tare_kg: float, wet_kg: float, later_kg: Sequence[float]) -> OvenMoisture:
    """Moisture from the last weighing; constant when the last two differ by less than 0.5 % of the dry mass.

    Weighings about half an hour or more apart. The limit is common practice, no source.
    """
    if not later_kg:
        raise DoesNotFit("an oven moisture needs at least one weighing after drying: weigh the dish again")
    wet_basis = moisture_wet_basis(tare_kg, wet_kg, later_kg[-1])
    for before, after in zip([wet_kg, *later_kg], later_kg, strict=False):
        if after > before + CONSTANT_MASS_SHARE * (wet_kg - tare_kg):
            raise DoesNotFit(
                f"the dish grew from {from_si(before, 'g'):.2f} to {from_si(after, 'g'):.2f} g in the oven: "
                "weigh it again, hot dishes read wrong, so let it cool under a lid"
            )
    last_step = abs(later_kg[-2] - later_kg[-1]) if len(later_kg) > 1 else math.inf
    return OvenMoisture(wet_basis=wet_basis, constant=last_step < CONSTANT_MASS_SHARE * (later_kg[-1] - tare_kg))


def moisture_dry_basis(wet_basis: float) -> float:
    """Water per DRY mass from water per wet mass. Definition."""
    if not 0 <= wet_basis < 1:
        raise OutsideRange("moisture (wet basis)", got=wet_basis, low=0, high=0.99, do="weigh the sample again")
    return wet_basis / (1 - wet_basis)


def moisture_from_dry_basis(dry_basis: float) -> float:
    if not 0 <= dry_basis < math.inf:
        raise OutsideRange("moisture (dry basis)", got=dry_basis, low=0, high=100, do="weigh the sample again")
    return dry_basis / (1 + dry_basis)


def prints_from_lot(wet_kg: float, wet_basis: float, dry_kg_per_print: float) -> float:
    """How many prints' dry mass a delivery holds, not rounded. Bookkeeping."""
    if not 0 < dry_kg_per_print < math.inf:
        raise OutsideRange(
            "dry mass per print (kg)", got=dry_kg_per_print, low=0.001, high=100, do="give it above zero"
        )
    return wet_kg * (1 - wet_basis) / dry_kg_per_print


STATED_MOISTURE_SD = 0.005


def stated_moisture(wet_basis: float) -> Known:
    """A moisture the person says they know: taken at its word, give or take half a point (80 %: 0.64 points)."""
    check_moisture(wet_basis)
    around = linear_range(wet_basis, STATED_MOISTURE_SD)
    return Known(
        value=Range(low=max(0.0, around.low), mid=wet_basis, high=min(0.99, around.high)), how=HowKnown.MEASURED
    )


def usual_moisture(item: Ingredient, dried: bool | None) -> Known:
    """Typical moisture of a lot nobody measured: as bought or prepared, or as it comes where it was not dried."""
    return item.fresh_moisture if dried is False and item.fresh_moisture is not None else item.moisture


def measured_moisture(around: Range) -> Known:
    """A moisture as an oven reading gives it, its 80 % range kept between bone dry and 99 %."""
    low, high = max(0.0, around.low), min(0.99, around.high)
    return Known(value=Range(low=low, mid=min(max(around.mid, low), high), high=high), how=HowKnown.MEASURED)


def at_least(moisture: Known, wet_basis: float) -> Known:
    """What is known of a moisture once a sample not yet dry had lost `wet_basis` of its mass: the range below it goes.

    Where all of it goes, the lower bound stands with a range as wide as before above it. Ours, no source.
    """
    thought = moisture.value
    if wet_basis <= thought.low:
        return moisture
    high = thought.high if wet_basis < thought.high else min(0.99, wet_basis + thought.high - thought.low)
    mid = thought.mid if wet_basis < thought.mid else (wet_basis + high) / 2
    return replace(moisture, value=Range(low=min(wet_basis, high), mid=min(mid, high), high=high))


OVEN_READING_SD = 0.003
"""One oven reading of a lot, wet basis: two samples agree to 0.2 to 0.5 points. Common practice, no source."""


def after_one_weighing(moisture: Known) -> Range:
    """What would be known of a moisture (wet basis) once it was weighed before and after the oven, if it comes out
    in the middle of what is thought now. 80 %.
    """
    around = linear_range(moisture.value.mid, OVEN_READING_SD)
    return Range(low=max(0.0, around.low), mid=moisture.value.mid, high=min(0.99, around.high))
