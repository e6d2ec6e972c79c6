"""What everything read so far says of a recipe with one ingredient swapped. Reads only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from slake.campaign.belief import forecast
from slake.campaign.chances import all_hold, of_the_recipe
from slake.campaign.changed import Effect, effects
from slake.campaign.layout import table
from slake.campaign.proposal import predicted
from slake.ground.evidence import Range
from slake.ground.problems import Problem
from slake.paste.bases import paste_fractions
from slake.paste.recipe import WATER, Recipe
from slake.records.models import Lot
from slake.records.values import moisture_of

from .campaign import Campaign, tell

SHOWN = ("yield_stress", "ram_force", "layers", "springback", "shrinkage", "cracks", "strength")


@dataclass(frozen=True, kw_only=True)
class Foreseen:
    """Effects of the swap, the chance that every line holds then, and the next reading of each line, by its words."""

    effects: tuple[Effect, ...]
    chance: float
    readings: Mapping[str, Range]


def foreseen(before: Recipe, after: Recipe) -> Foreseen | None:
    """None where a lot of either is not among those a notebook is told of, or the lots carry too much water."""
    try:
        told = tell()
        rows = np.array([_row(told, recipe) for recipe in (before, after)])
    except Problem:
        return None
    belief, aim = told.book.belief(), told.book.aim()
    both = table(belief.layout, rows)
    view = forecast(belief, both, aim.looks)
    meant = of_the_recipe(view)
    words = {line.name: line.words for line in told.book.brief.lines}
    readings = predicted(told.book.brief, belief, view, 1)
    return Foreseen(
        effects=effects(belief, both, aim.looks[0], SHOWN),
        chance=float(all_hold(meant.mean, meant.cov, aim.windows)[1]),
        readings={words[name]: value for name, value in readings.items()},
    )


def _row(told: Campaign, recipe: Recipe) -> list[float]:
    """Raises Problem for a lot the notebook does not know."""
    if not set(recipe.parts) <= set(told.book.keys):
        raise Problem("a lot of this recipe is not among those told apart")
    lots = Lot.objects.filter(name__in=list(recipe.parts))
    fractions = paste_fractions(recipe, {lot.name: moisture_of(lot).value.mid for lot in lots})
    return [fractions.get(key, 0.0) for key in told.book.keys if key != WATER] + [fractions[WATER]]
