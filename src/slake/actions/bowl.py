"""The named bowl of a batch, and what leaves it: for a test, into a cartridge, spilled, thrown away, put right."""

from __future__ import annotations

from dataclasses import dataclass

from slake.bench.declaration import Context
from slake.bench.shelf import all_tests
from slake.ground.numbers import Limits, read_number
from slake.ground.problems import DoesNotFit, Problem
from slake.ground.units import from_si, to_si
from slake.paste.recipe import Recipe, composition, facts_of
from slake.records.models import Action, Batch, Instrument, Lot, Reading, Taken, Weighing
from slake.records.models.bowl import TAKEN_WHY
from slake.records.values import ingredient_of

from .entry import Entry, recorded, short_text
from .instruments import facts_of as facts_of_kind
from .lots import take_out
from .mixing import NET
from .sizes import by_ingredient, left_in_bowl_g, recipe_of

PUT_RIGHT = "put right"
IN = Limits(low=0.01, high=1e5, unit="g", do="weigh what was kneaded in")
OUT = Limits(low=0.01, high=1e5, unit="g", do="weigh what was taken out")
RIGHT = Limits(low=-1e5, high=1e5, unit="g", do="give the difference, with a minus where more is left than said")
ON_SCALE = Limits(low=0, high=1e5, unit="g", do="put bowl and paste on the scale and read it again")


@dataclass(frozen=True, kw_only=True)
class Sample:
    """What the test just read usually takes out of the bowl."""

    title: str
    grams: float


def pick_bowl(entry: Entry, batch_id: int, instrument_id: int) -> Batch:
    """The bowl a batch is mixed in; its empty mass is kept with the batch as it is now."""
    with recorded(entry, "pick bowl", {"batch": batch_id, "bowl": instrument_id}) as log:
        batch = Batch.objects.get(pk=batch_id)
        if log.before is not None:
            return batch
        bowl = Instrument.objects.get(pk=instrument_id)
        tare = tare_g(bowl)
        batch.bowl, batch.bowl_tare_g = bowl, tare
        batch.revision += 1
        batch.save()
        return batch


def tare_g(bowl: Instrument) -> float | None:
    """Empty mass; None where nobody said it. Raises Problem for what is no bowl."""
    if bowl.kind != "bowl":
        raise Problem(f"“{bowl.name}” is a {bowl.kind}: pick a bowl")
    text = bowl.facts.get("tare_g")
    if not text:
        return None
    read = facts_of_kind("bowl")["tare_g"].read(text)
    return from_si(float(read), "g")


def take_paste(entry: Entry, batch_id: int, grams: str, why: str, note: str = "") -> Taken:
    """Paste that left the bowl. Put right: the difference, with a minus where more is left than slake says."""
    inputs = {"batch": batch_id, "grams": grams, "why": why, "note": note}
    with recorded(entry, "take paste", inputs) as log:
        if log.before is not None:
            return Taken.objects.get(pk=log.before["taken"])
        if why not in TAKEN_WHY:
            raise Problem(f"paste left the bowl for “{why[:20]}”: choose one of {', '.join(TAKEN_WHY)}")
        batch = Batch.objects.get(pk=batch_id)
        out = read_number(grams, "paste taken out", RIGHT if why == PUT_RIGHT else OUT)
        left = left_in_bowl_g(batch)
        if out > left + 0.05:
            raise DoesNotFit(
                f"{out:.1f} g were to leave the bowl of {batch} and only {left:.1f} g are left in it: weigh again, or "
                "put right what is left"
            )
        row = _taken(entry, batch, out, why, (grams, note))
        log.answer = {"taken": row.pk}
        return row


def weigh_bowl(entry: Entry, batch_id: int, shown: str) -> Taken:
    """Bowl and paste on the scale: what is left is put right to what the scale shows less the bowl."""
    with recorded(entry, "weigh bowl", {"batch": batch_id, "shown": shown}) as log:
        if log.before is not None:
            return Taken.objects.get(pk=log.before["taken"])
        batch = Batch.objects.get(pk=batch_id)
        if batch.bowl_tare_g is None:
            raise Problem(f"the empty mass of the bowl of {batch} is not known: pick its bowl first")
        total = read_number(shown, "bowl and paste on the scale", ON_SCALE)
        if total < batch.bowl_tare_g:
            raise DoesNotFit(
                f"the scale shows {total:.1f} g, but the bowl alone is {batch.bowl_tare_g:.1f} g: read it again, or "
                "pick the bowl it is"
            )
        out = round(left_in_bowl_g(batch) - (total - batch.bowl_tare_g), 4)
        row = _taken(entry, batch, out, PUT_RIGHT, (shown, "bowl and paste weighed"))
        log.answer = {"taken": row.pk}
        return row


def knead_in(entry: Entry, batch_id: int, grams: str, lot_id: int | None = None) -> Weighing:
    """Grams kneaded in beside the card, as the advice after a reading asks: of a lot of this batch, else of water."""
    with recorded(entry, "knead in", {"batch": batch_id, "grams": grams, "lot": lot_id}) as log:
        if log.before is not None:
            return Weighing.objects.get(pk=log.before["weighing"])
        batch = Batch.objects.get(pk=batch_id)
        lot = None if lot_id is None else Lot.objects.get(pk=lot_id)
        if lot is not None and not batch.amounts.filter(lot=lot).exists():
            raise Problem(f"{lot.name} is not in {batch}: knead in what the recipe holds, or begin a batch with it")
        added = read_number(grams, "kneaded in", IN)
        if lot is not None:
            take_out(lot, added, entry, "weighed out", batch=batch)
        row = Weighing.objects.create(
            batch=batch,
            lot=lot,
            grams=added,
            typed=grams.strip()[:80],
            at=entry.at,
            person_id=entry.person,
            entry=entry.id,
        )
        log.answer = {"weighing": row.pk}
        return row


def _taken(entry: Entry, batch: Batch, grams: float, why: str, said: tuple[str, str]) -> Taken:
    typed, note = said
    return Taken.objects.create(
        batch=batch,
        grams=grams,
        why=why,
        note=short_text(note, "the note"),
        typed=typed.strip()[:80],
        at=entry.at,
        person_id=entry.person,
        entry=entry.id,
    )


def shows_last() -> str:
    """How the last pour on this bench was read off the scale: net or total. What was chosen is chosen again."""
    last = Weighing.objects.order_by("-id").values_list("entry", flat=True).first()
    action = Action.objects.filter(entry=last).first() if last else None
    return NET if action is None else str(action.inputs.get("shows", NET))


def density_kg_m3(batch: Batch) -> float:
    """Paste of this recipe without air; the usual density where it cannot be worked out."""
    lots = {row.lot.name: row.lot for row in batch.amounts.select_related("lot") if row.lot}
    try:
        recipe = recipe_of(batch)
        named = Recipe(parts=by_ingredient(recipe, lots), water_per_dry=recipe.water_per_dry)
        return composition(named, facts_of(ingredient_of(lot) for lot in lots.values())).paste_density_kg_m3
    except (Problem, KeyError):
        return Context().density_kg_m3


def sample_of(batch: Batch, reading: Reading | None, title: str) -> Sample | None:
    """The usual sample of the test just read, in grams of this paste. None where the test has no fixed sample."""
    test = all_tests().get(reading.test) if reading is not None else None
    if test is None or test.sample_ml == 0:
        return None
    kg = to_si(test.sample_ml, "mL") * density_kg_m3(batch)
    return Sample(title=title, grams=round(from_si(kg, "g")))


def cartridge_g(batch: Batch) -> float | None:
    """Grams one cartridge of the batch's machine holds. None where its volume is not known."""
    volume = batch.machine.cartridge_ml if batch.machine else None
    return None if volume is None else round(from_si(to_si(volume, "mL") * density_kg_m3(batch), "g"))
