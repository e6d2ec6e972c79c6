"""A batch of a recipe that was changed: by a lever after cracks, or by an ingredient swapped for another."""

from __future__ import annotations

from collections.abc import Mapping

from django.db.models import Max

from slake.ground.problems import Problem
from slake.paste.recipe import Recipe
from slake.records import models
from slake.records.models import Batch, Lot

from .entry import Entry, recorded
from .mixing import new_batch


def begin_changed(entry: Entry, recipe_id: int, changed: Recipe, why: str, size: Mapping[str, str]) -> Batch:
    """A batch of `changed`, kept as a child of the recipe it came from; nothing is weighed yet. `why` says what was
    changed and is kept with it.
    """
    inputs = {"recipe": recipe_id, "parts": dict(changed.parts), "water_per_dry": changed.water_per_dry, "why": why}
    with recorded(entry, "begin changed", {**inputs, **size}) as log:
        if log.before is not None:
            return Batch.objects.get(pk=log.before["batch"])
        lots = {lot.name: lot for lot in Lot.objects.filter(name__in=changed.parts)}
        for name in changed.parts:
            if name not in lots:
                raise Problem(f"there is no lot called {name[:40]}: say what you have of it first")
        kept = keep_changed(entry, recipe_id, changed, lots)
        batch = new_batch(entry, kept, lots, size)
        batch.note = why
        batch.save(update_fields=["note"])
        log.answer = {"batch": batch.pk}
        return batch


def keep_changed(entry: Entry, recipe_id: int, changed: Recipe, lots: Mapping[str, Lot]) -> models.Recipe:
    """A changed recipe as a child of the one it came from, inside somebody's transaction."""
    number = (models.Recipe.objects.aggregate(top=Max("id"))["top"] or 0) + 1
    return models.Recipe.objects.create(
        name=f"recipe {number}",
        parent_id=recipe_id,
        since=entry.at,
        parts={name: changed.parts[name] for name in lots},
        water_per_dry=changed.water_per_dry,
    )
