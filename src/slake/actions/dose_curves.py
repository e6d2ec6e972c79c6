"""Curves of a thickener over its dose, from the run-outs of its lots and from the cones of its batches. Reads only."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from slake.bench import gum_run_out
from slake.bench.shelf import all_tests
from slake.campaign.priors import YIELD_STRESS
from slake.ground.evidence import Kind
from slake.ground.problems import Problem
from slake.paste.dose_curve import DoseCurve, different_doses, fit_dose_curve
from slake.paste.ingredients import Ingredient, Role
from slake.paste.recipe import Recipe
from slake.records.models import Batch, Lot, Reading
from slake.records.values import evidence_of, ingredient_of, moisture_of, raw_of, standing_readings, water_demand_of

from .sizes import mixed_recipe

STIFFNESS, USUAL_MIN = "yield_stress_pa", 60.0
PER_WETNESS, PER_WETNESS_SD = YIELD_STRESS.weight("wet")
"""log of yield stress per log of water per water demand, as before any batch (docs/belief.md): a reading at another
water is brought to that of the recipe with it, and counts the less the farther it is brought."""
READY_SHORT = 0.99
LONGEST_LOG_AGE = 0.7
"""How far from an hour (as a log ratio) a cone may be read to count: twice as late or half as soon. Practice."""


@dataclass(frozen=True, kw_only=True)
class Point:
    """One reading over a dose (g dry per 100 g of water), and where it stands."""

    dose_per_100_water: float
    value: float
    sd_log: float
    reading: Reading


def curve_of(points: Sequence[Point], what: str) -> DoseCurve:
    """Raises as `fit_dose_curve`."""
    return fit_dose_curve(
        [point.dose_per_100_water for point in points],
        [point.value for point in points],
        [point.sd_log for point in points],
        what=what,
    )


def run_outs(lots: Iterable[Lot]) -> list[Point]:
    """Run-outs that ran, at two hours or later; of the first lot alone where it has three doses of its own."""
    each = [_run_outs_of(lot) for lot in lots]
    for own in each:
        if different_doses([point.dose_per_100_water for point in own]) >= 3:
            return own
    return [point for own in each for point in own]


def _run_outs_of(lot: Lot) -> list[Point]:
    return [found for row in standing_readings(lot, gum_run_out.TEST.id) if (found := _run_out(lot, row))]


def _run_out(lot: Lot, row: Reading) -> Point | None:
    raw, found = raw_of(row), evidence_of(row)
    if found.kind is not Kind.EXACT or found.low is None:
        return None
    if raw.numbers[gum_run_out.HOURS.name] < READY_SHORT * gum_run_out.READY_S:
        return None
    gum, water, damp = (
        raw.numbers[gum_run_out.GUM.name],
        raw.numbers[gum_run_out.WATER.name],
        moisture_of(lot).value.mid,
    )
    dose = 100 * gum * (1 - damp) / (water + gum * damp)
    return Point(dose_per_100_water=dose, value=found.low, sd_log=found.scatter, reading=row)


def cones(item: Ingredient, like: Recipe, batches: Iterable[Batch]) -> list[Point]:
    """Yield stresses of the batches thickened with this alone, of the same fillers as `like`, brought to its water."""
    lots = {lot.name: lot for lot in Lot.objects.all()}
    wanted, wet = _fillers(like, lots), _wetness(like, lots)
    found = []
    for batch, recipe in _readable(batches):
        thick = {ingredient_of(lots[name]).key for name in recipe.parts if Role(lots[name].role) is Role.THICKENER}
        if thick == {item.key} and _fillers(recipe, lots) == wanted:
            found += _cone(batch, dose_of(recipe, lots, item.key), _wetness(recipe, lots) - wet)
    return found


def _readable(batches: Iterable[Batch]) -> Iterator[tuple[Batch, Recipe]]:
    """Those whose lines still make a recipe."""
    for batch in batches:
        try:
            yield batch, mixed_recipe(batch)
        except Problem:
            continue


def dose_of(recipe: Recipe, lots: dict[str, Lot], key: str) -> float:
    """g dry of all lots of this ingredient per 100 g of all the water."""
    part = math.fsum(
        part for name, part in recipe.parts.items() if name in lots and ingredient_of(lots[name]).key == key
    )
    return 100 * part / recipe.water_per_dry if recipe.water_per_dry > 0 else 0.0


def _cone(batch: Batch, dose: float, wetter: float) -> list[Point]:
    """The reading nearest to an hour after first water, where there is one near it."""
    mine = [row for row in standing_readings(batch) if _of_stiffness(row)]
    rows = [(abs(_log_age(row)), row, evidence_of(row)) for row in mine]
    rows = [each for each in rows if each[2].kind is Kind.EXACT and each[0] <= LONGEST_LOG_AGE]
    if not rows or dose <= 0:
        return []
    _, row, found = min(rows, key=lambda each: (each[0], each[1].pk))
    value = float(found.low or 0.0) * math.exp(-PER_WETNESS * wetter)
    sd = math.hypot(found.scatter, PER_WETNESS_SD * wetter)
    return [Point(dose_per_100_water=dose, value=value, sd_log=sd, reading=row)]


def _of_stiffness(row: Reading) -> bool:
    test = all_tests().get(row.test)
    return test is not None and test.informs == STIFFNESS


def _log_age(row: Reading) -> float:
    return 0.0 if row.age_s is None else math.log(max(row.age_s / 60.0, 1.0) / USUAL_MIN)


def _fillers(recipe: Recipe, lots: dict[str, Lot]) -> set[str]:
    return {
        ingredient_of(lots[name]).key for name in recipe.parts if Role(lots[name].role) in {Role.FILLER, Role.FIBRE}
    }


def _wetness(recipe: Recipe, lots: dict[str, Lot]) -> float:
    """log of all the water per what the dry mass drinks."""
    thirst = math.fsum(part * water_demand_of(lots[name]).value.mid for name, part in recipe.parts.items())
    return math.log(max(recipe.water_per_dry, 1e-6) / max(thirst, 1e-6))
