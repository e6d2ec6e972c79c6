"""A new lot of a known recipe: what to change in it, kept as it was given, and the batch begun from its dry side."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from slake import __version__
from slake.campaign.lot_water import Watered
from slake.campaign.new_lot import Known, LotChange, lot_change
from slake.ground.problems import Problem
from slake.paste.ingredients import HowKnown
from slake.paste.recipe import Recipe
from slake.records import models
from slake.records.models import Batch, Lot, ProposalGiven
from slake.records.values import SIEVE_TEST, grains_of, moisture_of, standing_readings, water_demand_of

from .campaign import Campaign, tell
from .changing import keep_changed
from .entry import Entry, recorded
from .grain_sizes import sizes_um
from .known_recipes import KnownBatch, known_batch, known_of
from .mixing import new_batch
from .proposing import SEED, answer_of, keep_proposal

WATER_MEASURED, MOISTURE_WEIGHED, SIEVED = "water demand", "moisture", "sieve"


def change_for_lot(entry: Entry, lot_id: int, number: int | None) -> ProposalGiven:
    """What to change in the recipe of that batch (the best known one) for this lot; given once for one evidence."""
    told, lot = tell(), Lot.objects.get(pk=lot_id)
    one = known_batch(told, lot, number)
    given = standing_change(told, lot, one)
    if given is not None:
        return given
    known = known_of(told, lot, one)
    found = lot_change(told.book, known, SEED)
    answer = {**answer_of(told, found.proposal), "lot_change": _kept(told, lot, one, found)}
    answer["lot_change"] |= {"was": dict(known.fractions), "swapped": dict(known.swapped)}
    answer["lot_change"]["grains"] = _grains(known, found)
    return keep_proposal(entry, told, (_mark(told, lot, one), {"lot": lot.pk, "known": one.batch.number}), answer)


def standing_change(told: Campaign, lot: Lot, one: KnownBatch) -> ProposalGiven | None:
    """The answer that still holds for today's evidence, if it was worked out already."""
    return ProposalGiven.objects.filter(seen=_mark(told, lot, one), version=__version__).last()


def _mark(told: Campaign, lot: Lot, one: KnownBatch) -> str:
    lots = [*told.lots_now, *(amount.lot for amount in one.batch.amounts.all() if amount.lot)]
    grains = {row.name: [sizes_um(row), grains_of(row).largest_m] for row in lots}
    said = [told.seen, "new lot", lot.pk, one.batch.number, sorted(grains.items())]
    return hashlib.sha256(json.dumps(said).encode()).hexdigest()


def _kept(told: Campaign, lot: Lot, one: KnownBatch, found: LotChange) -> dict[str, Any]:
    return {
        "lot": lot.pk,
        "batch": one.batch.number,
        "carried": {key: part for key, part in found.carried.items() if part > 0},
        "thickener": found.thickener,
        "differ": found.differ,
        "lots_seen": found.lots_seen,
        "watered": _watered(found.watered) if found.watered else None,
        "broken": list(one.broken),
    }


def _grains(known: Known, found: LotChange) -> list[dict[str, Any]]:
    """Of each lot whose sieves tell something: its grains beside those of the lot before it, and what they drink."""
    old = {new: before for before, new in known.swapped.items()}
    return [
        {
            "lot": new,
            "old": old[new],
            "times": known.sieved[new].grain_times,
            "split": known.sieved[new].split,
            "drinks": [drinks.low, drinks.mid, drinks.high],
        }
        for new, drinks in found.drinks.items()
    ]


def _watered(found: Watered) -> dict[str, Any]:
    three = [found.water.low, found.water.mid, found.water.high]
    shows = found.shows_at_start
    return {
        "line": found.line.name,
        "wanted": found.wanted,
        "water": three,
        "start": found.start,
        "shows_at_start": [shows.low, shows.mid, shows.high],
        "then": [[row.reading, row.more_water.low, row.more_water.mid, row.more_water.high] for row in found.then],
    }


def measured(lot: Lot) -> dict[str, bool]:
    """What of the ten minutes' work on a new lot is done: the drip test, the sieve, the oven."""
    return {
        WATER_MEASURED: water_demand_of(lot).how is HowKnown.MEASURED,
        SIEVED: lot.sieve_um is not None or bool(standing_readings(lot, SIEVE_TEST)),
        MOISTURE_WEIGHED: lot.moisture_percent is not None or moisture_of(lot).how is HowKnown.MEASURED,
    }


def begin_with_lot(entry: Entry, given_id: int, dry_g: float) -> Batch:
    """A batch of what was given, a child of the recipe it came from; water is held back so that it starts stiff."""
    with recorded(entry, "begin with new lot", {"proposal": given_id, "dry_g": dry_g}) as log:
        if log.before is not None:
            return Batch.objects.get(pk=log.before["batch"])
        given = ProposalGiven.objects.get(pk=given_id)
        if "lot_change" not in given.answer:
            raise Problem("this proposal was not made for a new lot: open the page of the lot again")
        said = given.answer["lot_change"]
        lots = {lot.name: lot for lot in Lot.objects.filter(name__in=given.answer["parts"])}
        recipe = Recipe(parts=given.answer["parts"], water_per_dry=given.answer["water_per_dry"])
        parent = models.Batch.objects.get(number=said["batch"]).recipe_id
        batch = new_batch(entry, keep_changed(entry, parent, recipe, lots), lots, {"dry_g": f"{dry_g:g}"})
        batch.proposal = given
        batch.note = f"new lot {Lot.objects.get(pk=said['lot']).name}, after batch {said['batch']}"
        hold_back(batch, said["watered"])
        batch.save()
        log.answer = {"batch": batch.pk}
        return batch


def hold_back(batch: Batch, watered: Mapping[str, Any] | None) -> None:
    """Water of the card in two pours: what surely is not too much now, the rest once the stiffness was read."""
    now = batch.amounts.filter(lot=None, held_back=False).first()
    later = batch.amounts.filter(lot=None, held_back=True).first()
    if watered is None or now is None or later is None:
        return
    now.target_g = round(batch.water_g * min(watered["start"], 1.0), 1)
    later.target_g = round(batch.water_g - now.target_g, 4)
    batch.held_back_g = later.target_g
    for amount in (now, later):
        amount.save(update_fields=["target_g"])
