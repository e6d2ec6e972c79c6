"""A batch is begun, its clock started, its ingredients weighed; an overshoot is rescued."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Max

from slake.ground.numbers import Limits, read_number
from slake.ground.problems import Problem
from slake.ground.units import from_si
from slake.paste.batch import HELD_BACK, USUAL_RESOLUTION_KG, Plan, plan_batch
from slake.paste.recipe import Recipe
from slake.paste.rescue import accept_overshoot, rescale_after_overshoot
from slake.records import models
from slake.records.models import Amount, Batch, Lot, Machine, ProposalGiven, Room, Weighing

from .entry import Entry, recorded, refuse_if_moved
from .lots import take_out
from .sizes import dry_kg_wanted, in_bowl_g, lot_facts, plan_of, recipe_of, weighed_kg

NET, TOTAL = "net", "total"
HALF_STEP_G = from_si(USUAL_RESOLUTION_KG, "g") / 2
POUR = Limits(low=0, high=1e5, unit="g", do="read the scale again")


@dataclass(frozen=True, kw_only=True)
class Overshoot:
    """What is over its amount, what rescaling the rest does, and what accepting it makes of the recipe."""

    key: str
    over_g: float
    factor: float
    asked: Recipe
    accepted: Recipe


def begin_batch(entry: Entry, proposal_id: int, size: Mapping[str, str]) -> Batch:
    """A batch of a proposal as given, from the lots it names; nothing is weighed yet."""
    with recorded(entry, "begin batch", {"proposal": proposal_id, **size}) as log:
        if log.before is not None:
            return Batch.objects.get(pk=log.before["batch"])
        given = ProposalGiven.objects.get(pk=proposal_id)
        lots = {lot.name: lot for lot in Lot.objects.filter(name__in=given.answer["parts"])}
        recipe = Recipe(parts=given.answer["parts"], water_per_dry=given.answer["water_per_dry"])
        batch = new_batch(entry, _keep_recipe(entry, recipe, lots), lots, size)
        batch.proposal = given
        batch.save(update_fields=["proposal"])
        log.answer = {"batch": batch.pk}
        return batch


def begin_from_recipe(entry: Entry, recipe_id: int, size: Mapping[str, str]) -> Batch:
    """The same recipe once more, from the lots its last batch was taken from."""
    with recorded(entry, "repeat recipe", {"recipe": recipe_id, **size}) as log:
        if log.before is not None:
            return Batch.objects.get(pk=log.before["batch"])
        kept = models.Recipe.objects.get(pk=recipe_id)
        last = kept.batches.last()
        if last is None:
            raise Problem("this recipe was never mixed here: begin from a proposal, or take in its line first")
        lots = {a.lot.name: a.lot for a in last.amounts.exclude(lot=None).select_related("lot")}
        batch = new_batch(entry, kept, lots, size)
        log.answer = {"batch": batch.pk}
        return batch


def _keep_recipe(entry: Entry, recipe: Recipe, lots: Mapping[str, Lot]) -> models.Recipe:
    number = (models.Recipe.objects.aggregate(top=Max("id"))["top"] or 0) + 1
    return models.Recipe.objects.create(
        name=f"recipe {number}",
        since=entry.at,
        parts={name: recipe.parts[name] for name in lots},
        water_per_dry=recipe.water_per_dry,
    )


def next_number() -> int:
    return (Batch.objects.aggregate(top=Max("number"))["top"] or 0) + 1


def new_batch(entry: Entry, kept: models.Recipe, lots: Mapping[str, Lot], size: Mapping[str, str]) -> Batch:
    """A batch of a recipe as kept, from these lots by name, inside somebody's transaction; nothing is weighed yet."""
    recipe = Recipe(parts=kept.parts, water_per_dry=kept.water_per_dry)
    machine, room = Machine.objects.last(), Room.objects.last()
    facts = {name: lot_facts(lot) for name, lot in lots.items()}
    plan = plan_batch(recipe, facts, dry_kg_wanted(recipe, lots, size, machine))
    held = sum(a.kg for a in plan.amounts if a.key == HELD_BACK)
    batch = Batch.objects.create(
        number=next_number(),
        recipe=kept,
        machine=machine,
        since=entry.at,
        temperature_c=room.temperature_c if room else None,
        humidity_percent=room.humidity_percent if room else None,
        water_g=from_si(plan.water_to_add_kg, "g"),
        held_back_g=from_si(held, "g"),
    )
    _write_amounts(batch, plan, lots)
    return batch


def _write_amounts(batch: Batch, plan: Plan, lots: Mapping[str, Lot]) -> None:
    for order, amount in enumerate(plan.amounts, 1):
        Amount.objects.update_or_create(
            batch=batch,
            order=order,
            defaults={
                "lot": lots.get(amount.key),
                "target_g": round(from_si(amount.kg, "g"), 4),
                "step": f"{amount.do} {amount.why}".strip(),
                "held_back": amount.key == HELD_BACK,
            },
        )


def start_clock(entry: Entry, batch_id: int) -> Batch:
    """First water met the powder at entry.at: from now on every reading has a paste age."""
    with recorded(entry, "start clock", {"batch": batch_id}) as log:
        batch = Batch.objects.get(pk=batch_id)
        if log.before is not None:
            return batch
        if batch.first_water_at is not None:
            raise Problem(f"the clock of {batch} already runs since {batch.first_water_at:%H:%M}: nothing was changed")
        batch.first_water_at = entry.at
        room = Room.objects.last()
        if room is not None and batch.temperature_c is None and batch.humidity_percent is None:
            batch.temperature_c, batch.humidity_percent = room.temperature_c, room.humidity_percent
        batch.revision += 1
        batch.save()
        return batch


def weigh(entry: Entry, batch_id: int, order: int, typed: str, shows: str = NET) -> Weighing:
    """Grams of one amount that went into the bowl (several pours add up); they leave the lot's stock.

    `shows`: NET grams of this pour, or the TOTAL on the scale with the batch's named bowl and what is in it.
    """
    with recorded(entry, "weigh", {"batch": batch_id, "order": order, "typed": typed, "shows": shows}) as log:
        if log.before is not None:
            return Weighing.objects.get(pk=log.before["weighing"])
        batch = Batch.objects.get(pk=batch_id)
        amount = batch.amounts.filter(order=order).select_related("lot").first()
        if amount is None:
            raise Problem(f"{batch} has no amount number {order}: load the page again")
        what = amount.lot.name if amount.lot else "water"
        read = read_number(typed, what, POUR)
        grams = poured_g(batch, what, read) if shows == TOTAL else read
        if amount.lot is not None and grams > 0:
            take_out(amount.lot, grams, entry, "weighed out", batch=batch)
        row = Weighing.objects.create(
            batch=batch,
            lot=amount.lot,
            amount=amount,
            grams=grams,
            typed=f"{typed.strip()} with bowl"[:80] if shows == TOTAL else typed.strip()[:80],
            at=entry.at,
            person_id=entry.person,
            entry=entry.id,
        )
        log.answer = {"weighing": row.pk}
        return row


def poured_g(batch: Batch, what: str, total_g: float) -> float:
    """What went in last, from the scale's total with bowl. Raises Problem where the bowl or the total do not fit."""
    if batch.bowl_tare_g is None:
        raise Problem(f"the scale shows a total, but the empty mass of the bowl of {batch} is not known: pick its bowl")
    before = batch.bowl_tare_g + in_bowl_g(batch)
    if total_g < before - HALF_STEP_G:
        raise Problem(
            f"the scale shows {total_g:.1f} g with {what}, but bowl and contents were already {before:.1f} g: read the "
            "scale again, or put right what left the bowl"
        )
    return round(max(total_g - before, 0.0), 4)


def overshoot(batch: Batch) -> Overshoot | None:
    """The worst overshoot on the card, or None. What is within half a step of the scale is no overshoot."""
    plan, weighed = plan_of(batch), weighed_kg(batch)
    over = {
        a.key: weighed[a.key] / a.kg
        for a in plan.whole
        if a.kg > 0 and weighed.get(a.key, 0.0) > a.kg + a.resolution_kg / 2
    }
    if not over:
        return None
    worst = max(over, key=lambda key: over[key])
    return Overshoot(
        key=worst,
        over_g=from_si(weighed[worst] - plan.amount(worst).kg, "g"),
        factor=over[worst],
        asked=recipe_of(batch),
        accepted=accept_overshoot(plan, weighed),
    )


def rescale_rest(entry: Entry, batch_id: int, revision: int | None = None) -> Batch:
    """New amounts so that what was overshot fits the recipe after all."""
    with recorded(entry, "rescale rest", {"batch": batch_id}) as log:
        batch = Batch.objects.get(pk=batch_id)
        if log.before is not None:
            return batch
        refuse_if_moved(str(batch), batch.revision, revision)
        lots = {a.lot.name: a.lot for a in batch.amounts.exclude(lot=None).select_related("lot")}
        weighed = weighed_kg(batch)
        facts = {name: lot_facts(lot, ahead_kg=weighed.get(name, 0.0)) for name, lot in lots.items()}
        rescaled = rescale_after_overshoot(plan_of(batch), weighed, facts)
        for amount, grown in zip(batch.amounts.all(), rescaled.plan.amounts, strict=True):
            amount.target_g = round(from_si(grown.kg, "g"), 4)
            amount.save(update_fields=["target_g"])
        batch.water_g = from_si(rescaled.plan.water_to_add_kg, "g")
        batch.revision += 1
        batch.save()
        return batch


def weigh_out(given: ProposalGiven, size: Mapping[str, str]) -> Plan:
    """What the card of a proposal would say at this size; nothing is begun."""
    lots = {lot.name: lot for lot in Lot.objects.filter(name__in=given.answer["parts"])}
    recipe = Recipe(parts=given.answer["parts"], water_per_dry=given.answer["water_per_dry"])
    facts = {name: lot_facts(lot) for name, lot in lots.items()}
    return plan_batch(recipe, facts, dry_kg_wanted(recipe, lots, size, Machine.objects.last()))
