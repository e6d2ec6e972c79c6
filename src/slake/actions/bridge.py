"""A recipe from other lots than its own: mixed with the newest, or as a bridge, one small batch of each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Max

from slake.ground.problems import DoesNotFit, Problem
from slake.records import models
from slake.records.models import Batch, Lot

from .entry import Entry, recorded
from .mixing import new_batch
from .stock import bridge_dry_g, lots_in

Swaps = Mapping[str, str]
"""{name of a lot of the recipe: row number of the lot to take instead}, as typed."""


@dataclass(frozen=True, kw_only=True)
class Bridge:
    """Two batches of one recipe and one size: the old lot's and the new lot's."""

    old: Batch
    new: Batch


def begin_from_lots(entry: Entry, recipe_id: int, swaps: Swaps, size: Mapping[str, str]) -> Batch:
    """A batch of this recipe, parts and water as they are, taken from the lots chosen; a changed lot makes a child."""
    inputs = {"recipe": recipe_id, "lots": dict(swaps), **size}
    with recorded(entry, "begin from lots", inputs) as log:
        if log.before is not None:
            return Batch.objects.get(pk=log.before["batch"])
        kept = models.Recipe.objects.get(pk=recipe_id)
        batch = _mixed(entry, kept, _chosen(kept, swaps), size)
        log.answer = {"batch": batch.pk}
        return batch


def begin_bridge(entry: Entry, recipe_id: int, old_name: str, new_id: str, size: Mapping[str, str]) -> Bridge:
    """Two weigh cards: this recipe with the old lot and with the new one, all else alike, both or none."""
    inputs = {"recipe": recipe_id, "old": old_name, "new": new_id, **size}
    with recorded(entry, "begin bridge", inputs) as log:
        if log.before is not None:
            rows = Batch.objects.in_bulk([log.before["old"], log.before["new"]])
            return Bridge(old=rows[log.before["old"]], new=rows[log.before["new"]])
        kept = models.Recipe.objects.get(pk=recipe_id)
        if not any(size.get(name, "").strip() for name in ("dry_g", "paste_g", "cartridges")):
            size = {"dry_g": f"{bridge_dry_g(kept, lots_in(kept)):g}"}
        lots = _chosen(kept, {old_name: new_id})
        if lots[old_name].name == old_name:
            raise DoesNotFit(f"{old_name} is both the old and the new lot: choose another lot as the new one")
        old = _mixed(entry, kept, _chosen(kept, {}), size)
        new = _mixed(entry, kept, lots, size)
        log.answer = {"old": old.pk, "new": new.pk}
        return Bridge(old=old, new=new)


def _chosen(kept: models.Recipe, swaps: Swaps) -> dict[str, Lot]:
    """The lot to weigh each part of the recipe from, by the recipe's own names."""
    lots = lots_in(kept)
    missing = [name for name in kept.parts if name not in lots]
    unknown = [name for name in swaps if name not in lots]
    if missing or unknown:
        raise Problem(
            f"{', '.join(missing or unknown)[:80]} is no lot of this recipe on this bench: load the page again"
        )
    return {
        name: _lot(swaps[name], name, lots[name]) if swaps.get(name, "").strip() else lots[name] for name in kept.parts
    }


def _lot(number: str, name: str, was: Lot) -> Lot:
    found = (
        Lot.objects.filter(pk=int(number)).first()
        if number.isascii() and number.isdigit() and len(number) < 10
        else None
    )
    if found is None:
        raise Problem(f"the lot to take instead of {name} is not on this bench: choose one from the list")
    if found.role != was.role:
        raise DoesNotFit(f"{found.name} is a {found.role} and {name} a {was.role}: choose a lot of the same kind")
    return found


def _mixed(entry: Entry, kept: models.Recipe, chosen: Mapping[str, Lot], size: Mapping[str, str]) -> Batch:
    lots = {lot.name: lot for lot in chosen.values()}
    return new_batch(entry, _recipe_with(entry, kept, chosen), lots, size)


def _recipe_with(entry: Entry, kept: models.Recipe, chosen: Mapping[str, Lot]) -> models.Recipe:
    """The recipe by the names of the chosen lots: itself, a child it has already, or a new child."""
    parts: dict[str, float] = {}
    for name, lot in chosen.items():
        parts[lot.name] = parts.get(lot.name, 0.0) + kept.parts[name]
    if parts == kept.parts:
        return kept
    alike = [row for row in kept.children.all() if row.parts == parts and row.water_per_dry == kept.water_per_dry]
    if alike:
        return alike[0]
    number = (models.Recipe.objects.aggregate(top=Max("id"))["top"] or 0) + 1
    return models.Recipe.objects.create(
        name=f"recipe {number}", parent=kept, since=entry.at, parts=parts, water_per_dry=kept.water_per_dry
    )
