"""From rows to the wet arithmetic and back: what a batch is planned to be, what is in the bowl, how large it is."""

from __future__ import annotations

from collections.abc import Mapping

from slake.ground.numbers import Limits, read_number, read_optional
from slake.ground.problems import Problem
from slake.ground.units import from_si, to_si
from slake.paste.amounts import HELD_BACK
from slake.paste.amounts import Amount as PlannedAmount
from slake.paste.bases import dry_kg_of_paste, recipe_from_received
from slake.paste.batch import USUAL_RESOLUTION_KG, LotFacts, Plan
from slake.paste.cartridges import USUAL_RESIDUE_M3, Cartridge, paste_for_cartridges
from slake.paste.ingredients import Role
from slake.paste.recipe import WATER, Recipe, composition, facts_of
from slake.records.models import Amount, Batch, Lot, Machine, Taken, Weighing
from slake.records.values import ingredient_of, moisture_of, standing

from .lots import stock_g

USUAL_DRY_G = "300"
DRY = Limits(low=1, high=100_000, unit="g", do="choose how much to mix")


def lot_facts(lot: Lot, ahead_kg: float = 0.0) -> LotFacts:
    """What weighing needs of a lot; `ahead_kg` is what this batch already took from its stock."""
    left = stock_g(lot)
    return LotFacts(
        role=Role(lot.role),
        moisture_wet_basis=moisture_of(lot).value.mid,
        ingredient=ingredient_of(lot).key,
        stock_kg=None if left is None else to_si(left, "g") + ahead_kg,
    )


def dry_kg_wanted(recipe: Recipe, lots: Mapping[str, Lot], size: Mapping[str, str], machine: Machine | None) -> float:
    """Dry mass of a batch said as dry grams, paste grams or cartridges; 300 g dry when nothing is said."""
    if size.get("cartridges", "").strip():
        return dry_kg_of_paste(recipe, _cartridge_paste_kg(recipe, lots, size, machine))
    if size.get("paste_g", "").strip():
        return dry_kg_of_paste(recipe, to_si(read_number(size["paste_g"], "paste", DRY), "g"))
    return to_si(read_number(size.get("dry_g", "").strip() or USUAL_DRY_G, "dry solids", DRY), "g")


def _cartridge_paste_kg(
    recipe: Recipe, lots: Mapping[str, Lot], size: Mapping[str, str], machine: Machine | None
) -> float:
    count = read_number(size["cartridges"], "cartridges", Limits(low=1, high=50, do="count the cartridges to fill"))
    volume = read_optional(size.get("cartridge_ml"), "cartridge volume", Limits(low=1, high=20000, unit="mL"))
    volume = volume if volume is not None else (machine.cartridge_ml if machine else None)
    if volume is None or count != int(count):
        raise Problem("to mix by cartridges, give a whole number of them and how many mL one holds")
    litres = to_si(volume, "mL")
    cartridge = Cartridge(volume_m3=litres, residue_m3=min(USUAL_RESIDUE_M3, litres / 10))
    facts = facts_of(ingredient_of(lot) for lot in lots.values())
    named = Recipe(parts=by_ingredient(recipe, lots), water_per_dry=recipe.water_per_dry)
    return paste_for_cartridges(cartridge, int(count)) * composition(named, facts).paste_density_kg_m3


def by_ingredient(recipe: Recipe, lots: Mapping[str, Lot]) -> dict[str, float]:
    parts: dict[str, float] = {}
    for name, part in recipe.parts.items():
        key = ingredient_of(lots[name]).key
        parts[key] = parts.get(key, 0.0) + part
    return parts


def key_of(amount: Amount) -> str:
    return amount.lot.name if amount.lot else (HELD_BACK if amount.held_back else WATER)


def plan_of(batch: Batch) -> Plan:
    """The weigh card as it stands, as a plan of the wet arithmetic."""
    amounts = tuple(
        PlannedAmount(
            key=key_of(row),
            role=Role(row.lot.role) if row.lot else Role.LIQUID,
            kg=to_si(row.target_g, "g"),
            moisture_wet_basis=moisture_of(row.lot).value.mid if row.lot else 1.0,
            ingredient=ingredient_of(row.lot).key if row.lot else "",
            resolution_kg=USUAL_RESOLUTION_KG,
            do=row.step,
        )
        for row in batch.amounts.select_related("lot")
    )
    return Plan(asked=recipe_of(batch), amounts=amounts)


def recipe_of(batch: Batch) -> Recipe:
    return Recipe(parts=batch.recipe.parts, water_per_dry=batch.recipe.water_per_dry)


def weighed_kg(batch: Batch) -> dict[str, float]:
    """What of the card is in the bowl by key, struck lines left out; an amount nobody weighed yet is not in it, nor is
    what was kneaded in afterwards.
    """
    sums: dict[str, float] = {}
    for row in standing(batch, "weighings"):
        if row.amount is not None:
            key = key_of(row.amount)
            sums[key] = sums.get(key, 0.0) + to_si(row.grams, "g")
    return sums


def kneaded_in(batch: Batch) -> list[Weighing]:
    """What was kneaded in after mixing: beside the card, such as a top-up, and water held back; struck lines left
    out.
    """
    rows = standing(batch, "weighings")
    return [row for row in rows if row.amount is None or row.amount.held_back]


def held_left_g(batch: Batch) -> float:
    """Water held back that is still beside the bowl."""
    wanted = sum(row.target_g for row in batch.amounts.all() if row.held_back)
    poured = [row.grams for row in standing(batch, "weighings") if row.amount is not None and row.amount.held_back]
    return max(wanted - sum(poured), 0.0)


def _of_card_g(batch: Batch) -> dict[str, float]:
    """Grams of each lot and of water as the card has them: weighed where weighed, else its amounts. Water held back
    counts among what was kneaded in later.
    """
    weighed = weighed_kg(batch)
    out = {key: from_si(kg, "g") for key, kg in weighed.items() if key != HELD_BACK}
    for row in batch.amounts.all():
        key = key_of(row)
        if key not in weighed and not (weighed and row.held_back):
            name = WATER if row.held_back else key
            out[name] = out.get(name, 0.0) + row.target_g
    return out


def received_g(batch: Batch) -> dict[str, float]:
    """Grams of each lot and of water as they went in: weighed where weighed, else the card's amounts.

    What was kneaded into a bowl that was no longer full counts as much more as the bowl was emptier, so that the
    shares are those of the paste in it.
    """
    out, added = _of_card_g(batch), kneaded_in(batch)
    if not added:
        return out
    whole = left = sum(out.values())
    for row in sorted([*added, *batch.taken.all()], key=lambda row: (row.at, row.pk)):
        if isinstance(row, Taken):
            left -= row.grams
            continue
        counts = row.grams * whole / left if left > 0 else row.grams
        name = row.lot.name if row.lot else WATER
        out[name] = out.get(name, 0.0) + counts
        whole, left = whole + counts, left + row.grams
    return out


def mixed_recipe(batch: Batch) -> Recipe:
    """The recipe as it really is in the bowl."""
    received = received_g(batch)
    moisture = {row.lot.name: moisture_of(row.lot).value.mid for row in batch.amounts.select_related("lot") if row.lot}
    return recipe_from_received(received, moisture)


def taken_g(batch: Batch) -> float:
    """Paste that left the bowl again; what was put right counts with its sign."""
    return sum(row.grams for row in batch.taken.all())


def in_bowl_g(batch: Batch) -> float:
    """What was weighed in and not taken out: what a scale under the bowl shows above its tare."""
    return sum(row.grams for row in standing(batch, "weighings")) - taken_g(batch)


def left_in_bowl_g(batch: Batch) -> float:
    """Paste left in the bowl: weighed (the card's amount where nobody weighed) less what was taken out."""
    weighed = sum(_of_card_g(batch).values()) + sum(row.grams for row in kneaded_in(batch))
    return max(weighed - taken_g(batch), 0.0)
