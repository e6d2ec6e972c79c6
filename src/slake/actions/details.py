"""Further fields of a lot, recipe, batch or machine; what a recipe still lacks; a recipe as rows for a file."""

from __future__ import annotations

from django.db.models import Model

from slake.campaign.passport import Field, missing, passport
from slake.ground.problems import Problem
from slake.records.models import Batch, Detail, Lot, Machine, Recipe
from slake.records.values import ingredient_of, moisture_of, water_demand_of

from .entry import Entry, recorded, short_text
from .grain_sizes import nozzle_line, sizes_um

SUBJECTS: dict[str, type[Model]] = {"recipe": Recipe, "lot": Lot, "batch": Batch, "machine": Machine}


def note_detail(entry: Entry, subject: str, subject_id: int, field: str, text: str) -> Detail:
    """Fill in one declared field. The last one noted stands; earlier ones are kept."""
    with recorded(entry, "note detail", {"subject": subject, "id": subject_id, "field": field, "text": text}) as log:
        if log.before is not None:
            return Detail.objects.get(pk=log.before["detail"])
        declared = passport().get((subject, field))
        if declared is None or declared.held:
            raise Problem(f"a {subject[:20]} has no further field “{field[:40]}”: choose one of the list")
        thing = SUBJECTS[subject]._default_manager.get(pk=subject_id)
        kept = short_text(text, declared.words, needed=True)
        detail = Detail.objects.create(
            subject=subject,
            subject_id=thing.pk,
            field=field,
            text=kept,
            value_si=declared.value_si(kept),
            unit=declared.unit,
            at=entry.at,
            person_id=entry.person,
        )
        log.answer = {"detail": detail.pk}
        return detail


def details_of(subject: str, subject_id: int) -> dict[str, Detail]:
    """The detail that stands for each filled field."""
    return {d.field: d for d in Detail.objects.filter(subject=subject, subject_id=subject_id)}


def missing_fields(recipe: Recipe) -> list[tuple[str, Field]]:
    """What another bench would still ask of a recipe: (what it is of, field)."""
    lacks = [("recipe", f) for f in missing("recipe", set(details_of("recipe", recipe.pk)))]
    for lot in lots_of(recipe):
        lacks += [(lot.name, f) for f in missing("lot", {*details_of("lot", lot.pk), *sizes_um(lot)})]
    batch = recipe.batches.last()
    if batch is not None:
        lacks += [(str(batch), f) for f in missing("batch", set(details_of("batch", batch.pk)))]
        if batch.machine is not None:
            name = batch.machine.name
            lacks += [(name, f) for f in missing("machine", set(details_of("machine", batch.machine.pk)))]
    return lacks


def lots_of(recipe: Recipe) -> list[Lot]:
    return list(Lot.objects.filter(amount__batch__recipe=recipe).distinct())


def recipe_rows(recipe: Recipe) -> list[dict[str, object]]:
    """A recipe as flat rows: of what, field, value, unit, basis. For CSV and JSON; missing fields are rows too."""
    rows = [_row("recipe", "name", recipe.name), _row("recipe", "id", recipe.pk)]
    rows.append(_row("recipe", "parent", recipe.parent.name if recipe.parent else "none"))
    rows.append(_row("recipe", "made", recipe.since.isoformat()))
    rows.append(_row("recipe", "water per dry solids", recipe.water_per_dry, "g/g", "all water, on dry mass"))
    rows += [_row(name, "part", part, "g/g", "dry mass of all dry mass") for name, part in recipe.parts.items()]
    for lot in lots_of(recipe):
        rows += _lot_rows(lot)
    for batch in recipe.batches.all():
        rows += [_row(str(batch), "outcome", o.words) for o in batch.outcomes.filter(strike__isnull=True)]
        rows += [
            _row(str(batch), r.headline_name, r.headline_value, r.headline_unit, "as read")
            for r in batch.readings.filter(strike__isnull=True)
        ]
    rows += [_row("recipe", d.field, d.text, d.unit) for d in details_of("recipe", recipe.pk).values()]
    rows += [_row(of, field.words, "missing", field.unit) for of, field in missing_fields(recipe)]
    return rows


def _lot_rows(lot: Lot) -> list[dict[str, object]]:
    moist, drinks = moisture_of(lot), water_demand_of(lot)
    rows = [_row(lot.name, "ingredient", ingredient_of(lot).name), _row(lot.name, "role", lot.role)]
    if lot.sieve_um is not None:
        rows.append(_row(lot.name, "sieve", lot.sieve_um, "um", "opening it passed"))
    for words, size in sizes_um(lot).items():
        rows.append(_row(lot.name, words, size, "um", "by mass, as sieved"))
    if line := nozzle_line(lot):
        rows.append(_row(lot.name, "nozzle", line))
    for words, known, basis in (("moisture", moist, "wet basis"), ("water demand", drinks, "on dry mass")):
        value = known.value
        rows.append(_row(lot.name, words, value.mid, "g/g", f"{basis}, {known.how.value}"))
        rows.append(_row(lot.name, f"{words}, 80 % range", f"{value.low:g} to {value.high:g}", "g/g", basis))
    rows += [_row(lot.name, d.field, d.text, d.unit) for d in details_of("lot", lot.pk).values()]
    return rows


def _row(of: str, field: str, value: object, unit: str = "", basis: str = "") -> dict[str, object]:
    return {"of": of, "field": field, "value": value, "unit": unit, "basis": basis}
