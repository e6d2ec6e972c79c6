"""Doses outside their limits, what is not cooked yet, and coats that were put into the paste. Common practice where the
dose itself is not tagged otherwise.
"""

from __future__ import annotations

from collections.abc import Iterator

from slake.ground.problems import plain

from .ingredients import Basis, Dose, HowKnown, Ingredient, Role
from .mix import Effect, Mix, MixWarning, Severity, capital
from .traits import Trait

COOK_C, COOK_MIN = 80, 10


def dose_given(mix: Mix, item: Ingredient) -> float | None:
    """How much of it is in the mix, in the unit of its dose; None where that cannot be said.

    Per water: 100 x part / water per dry, all the water counted. Per dry: 100 x part.
    """
    part = next((mix.parts[key] for key, each in mix.ingredients.items() if each is item and key in mix.parts), None)
    if part is None or item.dose is None or item.dose.basis is Basis.AREA:
        return None
    if item.dose.basis is Basis.DRY:
        return 100 * part
    return 100 * part / mix.water_per_dry if mix.water_per_dry else None


def doses_outside(mix: Mix) -> Iterator[MixWarning]:
    """One warning for each dose below its least or above its most."""
    for item in mix.within:
        given = dose_given(mix, item)
        if given is None or item.dose is None:
            continue
        if given > item.dose.limits.high:
            yield _dose(item, item.dose, given, f"more than the {plain(item.dose.limits.high)} slake expects to work")
        elif given < item.dose.limits.low:
            yield _dose(item, item.dose, given, f"less than the {plain(item.dose.limits.low)} that does anything")


def _dose(item: Ingredient, dose: Dose, given: float, why: str) -> MixWarning:
    usual = f"{plain(dose.usual.low)} to {plain(dose.usual.high)}"
    return MixWarning(
        rule="dose",
        effect=Effect.DOSE,
        severity=Severity.CARE if given > dose.limits.high else Severity.NOTE,
        what=f"{capital(item.name)}: {plain(given)} {dose.basis.value} is {why}.",
        when="from the start",
        do=f"Usual is {usual} {dose.basis.value}: weigh again, or make 20 g first.",
        about=(item.name,),
        how=dose.how,
        source=dose.source,
    )


def uncooked(mix: Mix) -> Iterator[MixWarning]:
    """What binds only after it was heated wet. Source of the 75 to 85 C for 10 min: waxy_starch2019."""
    for item in mix.within:
        if Trait.COOKED in item.traits and item.key not in mix.cooked:
            starchy = Trait.STARCHY in item.traits
            yield MixWarning(
                rule="uncooked",
                effect=Effect.UNCOOKED,
                severity=Severity.CARE,
                what=f"{capital(item.name)} must be cooked: stirred in cold it binds nothing.",
                when="from the start",
                do=f"Heat it in part of the water, {COOK_C} C for {COOK_MIN} min, stirring; weigh the pan before and "
                "after and put back the water that boiled off.",
                about=(item.name,),
                how=HowKnown.READ if starchy else HowKnown.PRACTICE,
                source="waxy_starch2019" if starchy else "",
            )


def coats_within(mix: Mix) -> Iterator[MixWarning]:
    """Coats have no place in a wet paste."""
    for item in mix.within:
        if item.role is Role.COAT:
            yield MixWarning(
                rule="coat",
                effect=Effect.COAT,
                severity=Severity.STOP,
                what=f"{capital(item.name)} is a coat: it goes onto the dried part, never into the paste.",
                when="after drying to constant mass",
                do="Take it out of the recipe.",
                about=(item.name,),
                how=HowKnown.PRACTICE,
            )
