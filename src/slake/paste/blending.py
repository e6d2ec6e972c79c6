"""What is known of a blend from what is known of the lots it was made of, by their masses."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit, OutsideRange
from slake.ground.units import from_si

from .ingredients import HowKnown, Ingredient, Known, Role, typical_of_role
from .mix import sentences

Part = tuple[float, Range]
"""Mass of one parent in the blend (kg), and what is known of it per that mass."""


def blended(parts: Sequence[Part]) -> Range:
    """The mean by mass, of the lows, middles and highs alike: as wide as if all parents err the same way, as typical
    values of one ingredient do. Raises DoesNotFit for no part, OutsideRange for a mass that is not above zero.
    """
    if not parts:
        raise DoesNotFit("a blend needs at least one parent: say which lots went in")
    for kg, _ in parts:
        if not 0 < kg < math.inf:
            raise OutsideRange("a part of the blend (g)", got=from_si(kg, "g"), low=0.1, high=1e6, do="weigh it again")
    total = math.fsum(kg for kg, _ in parts)

    def mean(values: Sequence[float]) -> float:
        found = math.fsum(kg * value for (kg, _), value in zip(parts, values, strict=True)) / total
        return min(max(found, min(values)), max(values))

    return Range(
        low=mean([r.low for _, r in parts]), mid=mean([r.mid for _, r in parts]), high=mean([r.high for _, r in parts])
    )


def blended_moisture(parts: Sequence[Part]) -> Known:
    """Moisture, wet basis, of lots mixed as received: water adds up, so the mean is by mass as received."""
    return Known(value=blended(parts), how=HowKnown.PARENTS)


def blended_water_demand(parts: Sequence[Part]) -> Known:
    """Water drunk per dry mass: the mean by DRY mass. Holds where the powders drink side by side; common practice."""
    return Known(value=blended(parts), how=HowKnown.PARENTS)


def coarsest_m(openings_m: Sequence[float | None]) -> float | None:
    """The sieve everything in the blend has passed: the coarsest of the parents'; not known where one is not known."""
    known = [opening for opening in openings_m if opening is not None]
    return max(known) if known and len(known) == len(openings_m) else None


def blended_ingredient(name: str, role: Role, parents: Sequence[tuple[float, Ingredient]]) -> Ingredient:
    """A blend of unlike ingredients as one: cautions, allergens, traits and "raw food waste" of every parent stay.

    Mean by dry mass of what parents of drinking kind have; volumes add, so the density is the harmonic mean.
    """
    base = typical_of_role(name, role)
    if not parents:
        return base
    items = [item for _, item in parents]
    lightness = blended([(kg, _turned(item.density_kg_m3.value)) for kg, item in parents])
    return replace(
        base,
        density_kg_m3=Known(value=_turned(lightness), how=HowKnown.PARENTS),
        water_demand=blended_water_demand([(kg, item.water_demand.value) for kg, item in parents]),
        raw_food_waste=any(item.raw_food_waste for item in items),
        allergens=tuple(dict.fromkeys(word for item in items for word in item.allergens)),
        hazards=_hazards(items),
        traits=frozenset(trait for item in items for trait in item.traits),
    )


def _turned(value: Range) -> Range:
    return Range(low=1 / value.high, mid=1 / value.mid, high=1 / value.low)


def _hazards(items: Sequence[Ingredient]) -> dict[str, str]:
    """Every sentence of every parent, each once."""
    said: dict[str, dict[str, None]] = {}
    for item in items:
        for stage, caution in item.hazards.items():
            said.setdefault(stage, {}).update(dict.fromkeys(sentences(caution)))
    return {stage: " ".join(sentences) for stage, sentences in said.items()}
