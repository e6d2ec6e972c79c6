"""What is known of one batch's paste, as a verdict takes it: from its readings, its lots and its recipe. Reads only."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

from slake.bench.together import Look, together
from slake.campaign.verdict import Paste, practice
from slake.campaign.verdict.spread import READ, Spread, between, known
from slake.ground.evidence import Kind
from slake.ground.problems import Problem
from slake.ground.units import from_si
from slake.paste.air import air_from_density
from slake.paste.ingredients import Role
from slake.paste.recipe import Recipe, composition, facts_of
from slake.paste.standing import height_from_layers_m, modulus_from_folding_pa
from slake.paste.traits import Trait
from slake.records.models import Batch, Lot, Reading
from slake.records.values import context_of, evidence_of, grains_of, ingredient_of, raw_of, test_of

from .agreeing import looks_of
from .readings_told import of_the_last_paste
from .sizes import mixed_recipe

STIFFNESS, DENSITY, BLEED, RATE = "yield_stress_pa", "density_kg_m3", "bleed_share", "stiffening_rate_per_s"
LEAST_SD_LOG = 0.03
COMPUTED_DENSITY_SD_LOG = 0.05
FOLD_SD_LOG = 0.35
"""A folded wall gives the modulus to about this: three times the relative error of a height known to a layer."""
SIEVE_SD_LOG, SPLIT_SD_LOG, FIBRE_SD_LOG = 0.25, 0.12, 0.2
"""Long grains pass a mesh end on: the largest may be half as large again as the opening. Practice, no source."""
MINERAL, PLANT = between(8.0, 15.0), between(1.5, 5.0)
"""Fall of ln(yield stress) per g of water per g dry: shell pastes, cellulose pastes. Practice, no source."""
MOSTLY = 0.7


def lots_of(batch: Batch) -> dict[str, Lot]:
    return {row.lot.name: row.lot for row in batch.amounts.select_related("lot") if row.lot}


def paste_of(batch: Batch, wall_m: float) -> tuple[Paste, float, float | None]:
    """The paste, the sd of the calibration its stiffness was read with, and the paste age of that reading in seconds.

    wall_m: thickness of a wall of it that may have folded, where the reading does not say.
    """
    stress, calibration_sd, age_s = stiffness(looks_of(batch))
    recipe, lots = _recipe(batch), lots_of(batch)
    density = _density(batch, recipe, lots)
    ratio = _modulus_per_yield(batch, stress, density, wall_m)
    paste = Paste(
        yield_stress_pa=stress,
        density_kg_m3=density,
        stiffening_per_s=_read(batch, RATE) or practice.STIFFENING,
        modulus_per_yield=ratio or practice.MODULUS_PER_YIELD,
        modulus_on_reading=ratio is not None,
        air_fraction=_air(batch, recipe, lots),
        bleed=_read(batch, BLEED) or practice.BLEED,
        largest_grain_m=grain(lots.values()),
        longest_fibre_m=fibre(lots.values()),
        water_slope=water_slope(recipe, lots),
    )
    return paste, calibration_sd, age_s


def stiffness(looks: Sequence[Look]) -> tuple[Spread, float, float | None]:
    """Yield stress from the last readings of one age, its calibration's sd apart, and their paste age.

    A reading that only says above or below leaves the usual paste, wide.
    """
    read = [look for look in looks if look.evidence.informs == STIFFNESS and look.evidence.kind is Kind.EXACT]
    if not read:
        return practice.YIELD_STRESS, practice.CONE_SD_LOG, None
    last = [look for look in read if look.context.age_s == read[-1].context.age_s] or read[-1:]
    found = together(last).range80
    shared = math.sqrt(sum(sd**2 for sd in last[-1].evidence.shared.values()))
    scatter = max(last[-1].evidence.scatter / math.sqrt(len(last)), LEAST_SD_LOG)
    assert found is not None
    return known(found.mid, scatter, f"{last[-1].called}, {READ}"), shared, last[-1].context.age_s


def _recipe(batch: Batch) -> Recipe | None:
    try:
        return mixed_recipe(batch)
    except Problem:
        return None


def air_free_density(recipe: Recipe | None, lots: dict[str, Lot]) -> float | None:
    """kg/m3 of the paste without any air, from its recipe; None where the recipe is not known."""
    if recipe is None or not lots:
        return None
    facts = {name: facts_of([ingredient_of(lot)])[ingredient_of(lot).key] for name, lot in lots.items()}
    try:
        return composition(recipe, facts).paste_density_kg_m3
    except Problem:
        return None


def _density(batch: Batch, recipe: Recipe | None, lots: dict[str, Lot]) -> Spread:
    computed = air_free_density(recipe, lots)
    usual = (
        practice.DENSITY if computed is None else known(computed, COMPUTED_DENSITY_SD_LOG, "worked out from the recipe")
    )
    return _read(batch, DENSITY) or usual


def _read(batch: Batch, informs: str) -> Spread | None:
    """The last reading of a property, where it is positive and two-sided."""
    for row in reversed(of_the_last_paste(batch)):
        if test_of(row).informs == informs:
            found = evidence_of(row)
            if found.kind is Kind.EXACT and found.low is not None and found.low > 0:
                sd = found.total_sd if found.on_log else found.total_sd / found.low
                return known(found.low, max(sd, LEAST_SD_LOG), f"{test_of(row).title}, {READ}")
    return None


def _air(batch: Batch, recipe: Recipe | None, lots: dict[str, Lot]) -> Spread:
    """From a weighed density against the air-free one; where that is finer than both are known, the usual air."""
    read, computed = _read(batch, DENSITY), air_free_density(recipe, lots)
    if read is None or computed is None:
        return practice.AIR
    air = air_from_density(read.mid, computed)
    sd = math.hypot(read.sd_log, COMPUTED_DENSITY_SD_LOG)
    return practice.AIR if air <= sd else known(air, sd / air, "weighed density against the recipe's own")


def _modulus_per_yield(batch: Batch, stress: Spread, density: Spread, wall_m: float) -> Spread | None:
    """From a wall of this paste that folded: its modulus over the yield stress as the same cone read it."""
    for row in reversed([row for row in of_the_last_paste(batch) if row.test == "layers_stood"]):
        raw = raw_of(row)
        if raw.words.get("how") == "folded" and not stress.guessed and wall_m > 0:
            layers = test_of(row).bench_value(raw)
            laid = raw.numbers.get("layer_height_mm") or context_of(row).layer_height_m
            height_m = height_from_layers_m(layers, laid)
            modulus = modulus_from_folding_pa(height_m, density.mid, wall_m)
            return known(modulus / stress.mid, FOLD_SD_LOG, "this paste's own folded wall")
    return None


def grain(lots: Collection[Lot]) -> Spread:
    """The largest grain of all fillers: by sieve split, else by the coarsest sieve any of them went through."""
    fillers = [lot for lot in lots if Role(lot.role) in {Role.FILLER, Role.FIBRE}]
    told = [found for lot in fillers if (found := grains_of(lot)).largest_m is not None]
    if not told:
        return practice.GRAIN
    largest = max(told, key=lambda found: found.largest_m or 0.0)
    largest_m = largest.largest_m or 0.0
    if len(told) < len(fillers):
        return Spread(mid=max(largest_m, practice.GRAIN.mid), sd_log=practice.GRAIN.sd_log)
    if largest.read:
        return known(largest_m, SPLIT_SD_LOG, f"sieve split, {READ}")
    return known(largest_m, SIEVE_SD_LOG, "the coarsest sieve its lots went through")


def fibre(lots: Collection[Lot]) -> Spread:
    """As seen in the lots; none in mineral powders; where nobody looked, what plant waste usually holds."""
    plants = [lot for lot in lots if Trait.CELLULOSE_RICH in ingredient_of(lot).traits]
    if not plants:
        return Spread(mid=0.0, sd_log=0.0, basis="none: mineral powders only")
    seen = [grains_of(lot).fibre_m for lot in plants]
    if any(length is None for length in seen):
        return practice.FIBRE_OF_PLANTS
    return known(max(length for length in seen if length is not None), FIBRE_SD_LOG, f"longest one seen, {READ}")


def water_slope(recipe: Recipe | None, lots: dict[str, Lot]) -> Spread:
    if recipe is None:
        return practice.WATER_SLOPE
    plant = sum(
        recipe.parts.get(n, 0.0) for n, lot in lots.items() if Trait.CELLULOSE_RICH in ingredient_of(lot).traits
    )
    if plant >= MOSTLY:
        return PLANT
    return MINERAL if plant <= 1 - MOSTLY else practice.WATER_SLOPE


def minutes(age_s: float | None) -> float | None:
    return None if age_s is None else from_si(age_s, "min")


def pushed_at(row: Reading) -> Spread | None:
    """The stiffness of the paste a push was read of, the reading nearest to it in time; None where there is none."""
    assert row.batch is not None
    looks = [look for look in looks_of(row.batch, own={}) if look.evidence.informs == STIFFNESS]
    if row.age_s is not None and any(look.context.age_s is not None for look in looks):
        at = row.age_s
        aged = [look.context.age_s for look in looks if look.context.age_s is not None]
        nearest = min(aged, key=lambda age: abs(age - at))
        looks = [look for look in looks if look.context.age_s == nearest]
    stress, _, _ = stiffness(looks)
    return None if stress.guessed else stress
