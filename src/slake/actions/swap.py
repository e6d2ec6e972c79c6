"""One ingredient of a recipe for another: how much of it, what else changes, or which test would tell. Reads only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slake.campaign.swap import (
    Changes,
    Matched,
    Telling,
    may_replace,
    ratio,
    what_else,
    would_tell,
    would_tell_of_fillers,
)
from slake.ground.evidence import Range
from slake.ground.problems import Problem
from slake.paste.dose_curve import equivalent_dose
from slake.paste.ingredients import HowKnown, Ingredient, Known, Role, catalogue
from slake.paste.mix import MixWarning
from slake.paste.recipe import IngredientFacts, Recipe, composition, facts_of
from slake.paste.swapping import swapped_filler, swapped_thickener
from slake.records import models
from slake.records.models import Lot
from slake.records.struck import standing_batches
from slake.records.values import SIEVE_TEST, ingredient_of, moisture_of, standing_readings, water_demand_of

from .dose_curves import Point, cones, curve_of, run_outs
from .lots import stock_g
from .mixes import warnings_of_parts
from .swap_grains import grain_words

RUN_OUT, CONES = "run-out of both gums in water", "cones of batches with either"
GUMS = (Role.THICKENER, Role.BINDER)


@dataclass(frozen=True, kw_only=True)
class Choice:
    """What may stand in: a lot of this bench, or an ingredient of the list there is no lot of."""

    value: str
    words: str
    item: Ingredient
    lot: Lot | None


@dataclass(frozen=True, kw_only=True)
class Swap:
    """The answer. `matched`: the equivalent dose of a gum; `recipe`: the recipe afterwards, None where it is not known
    or there is no lot of it. `telling`: the test that would tell. `orientation`: usual doses, a guess. `troubles`: why
    what was read does not say it.
    """

    old: Lot
    new: Choice
    matched: Matched | None
    recipe: Recipe | None
    water_per_dry: Range | None
    telling: Telling | None
    orientation: Range | None
    troubles: tuple[str, ...]
    changes: tuple[Changes, ...]
    gained: tuple[MixWarning, ...]
    lost: tuple[MixWarning, ...]
    volumes: tuple[float, float] | None = None
    points: tuple[tuple[str, Point], ...] = ()

    @property
    def old_item(self) -> Ingredient:
        return ingredient_of(self.old)


def choices(kept: models.Recipe, out: Lot) -> list[Choice]:
    """Lots first, then ingredients of the list there is no lot of; of the same kind of work, none of the same kind."""
    old = ingredient_of(out)
    lots = [lot for lot in Lot.objects.order_by("name") if _stands_in(old, lot)]
    found = [Choice(value=str(lot.pk), words=lot.name, item=ingredient_of(lot), lot=lot) for lot in lots]
    here = {choice.item.key for choice in found} | {old.key}
    rest = [item for item in catalogue().values() if item.key not in here and may_replace(old, item)]
    return found + [
        Choice(value=item.key, words=f"{item.name} (no lot of it here)", item=item, lot=None) for item in rest
    ]


def _stands_in(old: Ingredient, lot: Lot) -> bool:
    left, item = stock_g(lot), ingredient_of(lot)
    return item.key != old.key and may_replace(old, item) and (left is None or left > 0)


def swap(kept: models.Recipe, out: Lot, new: Choice) -> Swap:
    """Raises Problem where the recipe holds none of it."""
    if kept.parts.get(out.name, 0.0) <= 0:
        raise Problem(f"this recipe holds no {out.name}: choose one of its lots")
    if not may_replace(ingredient_of(out), new.item):
        raise Problem(f"{new.item.name} does other work than {out.name}: choose one of the same kind")
    return _gum(kept, out, new) if ingredient_of(out).role in GUMS else _filler(kept, out, new)


def _recipe(kept: models.Recipe) -> Recipe:
    return Recipe(parts=kept.parts, water_per_dry=kept.water_per_dry)


def _gum(kept: models.Recipe, out: Lot, new: Choice) -> Swap:
    recipe, old = _recipe(kept), ingredient_of(out)
    dose = 100 * recipe.parts[out.name] / recipe.water_per_dry
    matched, troubles, points = _matched(recipe, (out, old), new, dose)
    changed = None
    if matched is not None and new.lot is not None:
        changed = swapped_thickener(recipe, out.name, new.lot.name, matched.dose_per_100_water.mid)
    usual = [item.dose_per_100_water.value if item.dose_per_100_water else None for item in (old, new.item)]
    orientation = ratio(*(one for one in usual if one is not None)) if None not in usual else None
    telling = None
    if matched is None:
        guess = dose * (orientation.mid if orientation else 1.0)
        telling = would_tell((old.name, dose), (new.item.name, guess))
    return _answer(
        kept, (out, new), changed, matched=matched, telling=telling, orientation=orientation, troubles=troubles,
        points=points, water_per_dry=None,
    )  # fmt: skip


Said = tuple[Matched | None, tuple[str, ...], tuple[tuple[str, Point], ...]]


def _matched(recipe: Recipe, old: tuple[Lot, Ingredient], new: Choice, dose: float) -> Said:
    """From run-outs, else from cones; what stood in the way of each; and every reading used."""
    out, item = old
    both = [
        (RUN_OUT, run_outs(_lots_of(item, out)), run_outs(_lots_of(new.item, new.lot))),
        (CONES, *(cones(one, recipe, standing_batches()) for one in (item, new.item))),
    ]
    troubles: list[str] = []
    points: list[tuple[str, Point]] = []
    for by, *each in both:
        names = (item.name, new.item.name)
        points += [(name, point) for name, found in zip(names, each, strict=True) for point in found]
        try:
            return _crossed(by, names, each, dose), tuple(troubles), tuple(points)
        except Problem as problem:
            troubles.append(str(problem))
    return None, tuple(troubles), tuple(points)


def _crossed(by: str, names: tuple[str, str], points: Sequence[Sequence[Point]], dose: float) -> Matched:
    old, new = (curve_of(each, f"the curve of {name}, {by},") for name, each in zip(names, points, strict=True))
    found = equivalent_dose(old, new, dose)
    note = _reaches(found, new.least, new.most)
    return Matched(dose_per_100_water=found, old_dose_per_100_water=dose, by=by, old=old, new=new, note=note)


def _reaches(found: Range, least: float, most: float) -> str:
    if least <= found.low and found.high <= most:
        return ""
    return "the range reaches past the doses read: read one there before you trust that end"


def _lots_of(item: Ingredient, first: Lot | None) -> list[Lot]:
    """The lot itself first, then others of the ingredient, newest first."""
    others = [lot for lot in Lot.objects.order_by("-pk") if ingredient_of(lot).key == item.key and lot != first]
    return ([first] if first is not None else []) + others


def _filler(kept: models.Recipe, out: Lot, new: Choice) -> Swap:
    """By the room it takes and the water it drinks; the less is measured, the wider."""
    recipe = _recipe(kept)
    lots = {lot.name: lot for lot in Lot.objects.filter(name__in=list(kept.parts))}
    name = new.lot.name if new.lot else new.item.name
    facts = {key: _facts(lot) for key, lot in lots.items()} | {
        name: _facts(new.lot) if new.lot else facts_of([new.item])[new.item.key]
    }
    drinks = _demand(new.item, new.lot)
    found = swapped_filler(recipe, facts, out.name, name, drinks.value)
    unread = [label for label, lot in ((out.name, out), (name, new.lot)) if not _read(lot)]
    volumes = tuple(composition(one, facts).swollen_volume_fraction for one in (recipe, found.recipe))
    return _answer(
        kept, (out, new), found.recipe if new.lot else None, matched=None, orientation=None, troubles=(),
        telling=would_tell_of_fillers(out.name, name, unread), water_per_dry=found.water_per_dry,
        volumes=(volumes[0], volumes[1]),
    )  # fmt: skip


def _facts(lot: Lot) -> IngredientFacts:
    item = ingredient_of(lot)
    listed = facts_of([item])[item.key]
    return IngredientFacts(
        role=listed.role,
        density_kg_m3=listed.density_kg_m3,
        water_demand=water_demand_of(lot).value.mid,
        dose_mid=listed.dose_mid,
    )


def _demand(item: Ingredient, lot: Lot | None) -> Known:
    return water_demand_of(lot) if lot is not None else item.water_demand


def _read(lot: Lot | None) -> bool:
    if lot is None:
        return False
    return water_demand_of(lot).how is HowKnown.MEASURED and bool(standing_readings(lot, SIEVE_TEST))


def _answer(kept: models.Recipe, pair: tuple[Lot, Choice], changed: Recipe | None, **more: object) -> Swap:
    (out, new) = pair
    changes = (*what_else(ingredient_of(out), new.item, _known(out, new)), *grain_words(out, new.lot))
    before = warnings_of_parts(kept.parts, kept.water_per_dry)
    after = _warnings(kept, out, new, changed)
    return Swap(
        old=out,
        new=new,
        recipe=changed,
        changes=changes,
        gained=tuple(one for one in after if one.rule not in {each.rule for each in before}),
        lost=tuple(one for one in before if one.rule not in {each.rule for each in after}) if changed else (),
        **more,  # type: ignore[arg-type]
    )


def _warnings(kept: models.Recipe, out: Lot, new: Choice, changed: Recipe | None) -> Sequence[MixWarning]:
    """What the new one does with the rest; its own dose is only judged where it is known."""
    if changed is not None:
        return warnings_of_parts(changed.parts, changed.water_per_dry)
    rest: Mapping[str, float] = {name: part for name, part in kept.parts.items() if name != out.name}
    if new.lot is None:
        return ()
    return warnings_of_parts({**rest, new.lot.name: kept.parts[out.name]}, None)


def _known(out: Lot, new: Choice) -> dict[str, tuple[Known, Known]]:
    """Values of both as this bench has them."""
    old = ingredient_of(out)
    moist = moisture_of(new.lot) if new.lot else new.item.moisture
    found = {
        "moisture as received": (moisture_of(out), moist),
        "density of the dry solid": (old.density_kg_m3, new.item.density_kg_m3),
    }
    if old.role not in GUMS:
        found["water it drinks"] = (water_demand_of(out), _demand(new.item, new.lot))
        if old.linear_shrinkage and new.item.linear_shrinkage:
            found["drying shrinkage, and cracks with it"] = (old.linear_shrinkage, new.item.linear_shrinkage)
    return found
