"""What is asked of the stock and nothing changes: the ledger of a lot, what it still makes, how a recipe's lots are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from django.db.models import Sum

from slake.ground.problems import Problem
from slake.ground.units import from_si, to_si
from slake.paste.bases import dry_kg_of_paste, received_kg_from_dry
from slake.paste.recipe import Recipe, composition, facts_of
from slake.paste.stock import LotPlan, bridge_paste_m3, lot_plan
from slake.records import models
from slake.records.models import Amount, Lot, StockMove
from slake.records.values import ingredient_of, moisture_of

from .lots import stock_g
from .sizes import by_ingredient

LAST_BATCHES = 5
USED_UP_G = 1.0
"""Less than this is no stock one can weigh from."""


@dataclass(frozen=True, kw_only=True)
class LedgerLine:
    """One move and what was left after it; None until somebody said how much came in."""

    move: StockMove
    left_g: float | None


def ledger(lot: Lot) -> list[LedgerLine]:
    """All moves of a lot, oldest first, with the running sum."""
    left, counted, lines = 0.0, False, []
    for move in lot.moves.select_related("batch").order_by("id"):
        left += move.grams
        counted = counted or move.why == "came in"
        lines.append(LedgerLine(move=move, left_g=left if counted else None))
    return lines


def ledger_newest(lot: Lot, skip: int, most: int) -> tuple[list[LedgerLine], int]:
    """A stretch of the ledger, newest first, with the running sum all the same; and how many moves there are."""
    rows = list(lot.moves.select_related("batch").order_by("-id")[skip : skip + most])
    counted = lot.moves.filter(why="came in").order_by("id").first()
    left = lot.moves.filter(pk__lte=rows[0].pk).aggregate(all=Sum("grams"))["all"] if rows else 0.0
    lines = []
    for row in rows:
        known = counted is not None and row.pk >= counted.pk
        lines.append(LedgerLine(move=row, left_g=round(left, 6) if known else None))
        left -= row.grams
    return lines, lot.moves.count()


def usual_g(lot: Lot) -> float | None:
    """What a batch usually takes of this lot: the middle of its last five batches; None where it is in none."""
    sums: dict[int, float] = {}
    for row in Amount.objects.filter(lot=lot).order_by("-batch__number")[: 4 * LAST_BATCHES]:
        sums[row.batch_id] = sums.get(row.batch_id, 0.0) + row.target_g
    return median(list(sums.values())[:LAST_BATCHES]) if sums else None


def bridge_g(lot: Lot) -> float | None:
    """Grams of this lot in a batch just large enough for a cone and a bar, by its last recipe; None where there is
    none, or not all of it is on this bench.
    """
    last = Amount.objects.filter(lot=lot).select_related("batch__recipe").order_by("-batch__number").first()
    if last is None or lot.name not in last.batch.recipe.parts:
        return None
    kept = last.batch.recipe
    part = kept.parts[lot.name]
    try:
        dry_g = bridge_dry_g(kept, lots_in(kept))
    except Problem:
        return None
    return received_kg_from_dry(dry_g * part, moisture_of(lot).value.mid)


def lots_in(kept: models.Recipe) -> dict[str, Lot]:
    """The lots a recipe names, by name: those of its last batch, else those of that name."""
    last = kept.batches.last()
    rows = [] if last is None else last.amounts.exclude(lot=None).select_related("lot")
    found = {row.lot.name: row.lot for row in rows}
    return found or {lot.name: lot for lot in Lot.objects.filter(name__in=list(kept.parts))}


def paste_density_kg_m3(kept: models.Recipe, lots: Mapping[str, Lot]) -> float:
    """Density of the recipe's paste without air. Raises Problem where a lot of it is not on this bench."""
    recipe = Recipe(parts=kept.parts, water_per_dry=kept.water_per_dry)
    missing = [name for name in recipe.parts if name not in lots]
    if missing:
        raise Problem(f"{', '.join(missing)} of this recipe is no lot of this bench: mix it once from lots you have")
    named = Recipe(parts=by_ingredient(recipe, lots), water_per_dry=recipe.water_per_dry)
    return composition(named, facts_of(ingredient_of(lot) for lot in lots.values())).paste_density_kg_m3


def bridge_dry_g(kept: models.Recipe, lots: Mapping[str, Lot]) -> float:
    """Dry solids of a batch of this recipe that fills a cone cup and a bar, to the gram."""
    paste_kg = bridge_paste_m3() * paste_density_kg_m3(kept, lots)
    recipe = Recipe(parts=kept.parts, water_per_dry=kept.water_per_dry)
    return float(round(from_si(dry_kg_of_paste(recipe, paste_kg), "g")))


@dataclass(frozen=True, kw_only=True)
class Outlook:
    """What a lot still makes at this size of batch, and what was planned of it."""

    left_g: float
    per_batch_g: float
    planned: int
    plan: LotPlan


def outlook(lot: Lot, per_batch_g: float, planned: int) -> Outlook | None:
    """None where nobody keeps count of the lot."""
    left = stock_g(lot)
    if left is None:
        return None
    keep = bridge_g(lot) or 0.0
    plan = lot_plan(max(to_si(left, "g"), 0.0), to_si(per_batch_g, "g"), planned, to_si(keep, "g"))
    return Outlook(left_g=left, per_batch_g=per_batch_g, planned=planned, plan=plan)


@dataclass(frozen=True, kw_only=True)
class LotNow:
    """One lot of a recipe as it is now, and the newest other lot of its ingredient that is not used up."""

    lot: Lot
    left_g: float | None
    used_up: bool
    newer: Lot | None


def lots_now(kept: models.Recipe) -> list[LotNow]:
    """How the lots of a recipe stand, so that an old one is not begun from without a word."""
    everything = list(Lot.objects.order_by("id"))
    return [_now(lot, everything) for lot in lots_in(kept).values()]


def _now(lot: Lot, everything: Sequence[Lot]) -> LotNow:
    left = stock_g(lot)
    return LotNow(lot=lot, left_g=left, used_up=used_up(left), newer=newer_than(lot, everything))


def used_up(left_g: float | None) -> bool:
    return left_g is not None and left_g < USED_UP_G


def newer_than(lot: Lot, everything: Sequence[Lot]) -> Lot | None:
    """The newest later lot of the same ingredient and role that is not used up."""
    kind = ingredient_of(lot).key
    later = [one for one in everything if one.pk > lot.pk and one.role == lot.role and ingredient_of(one).key == kind]
    return next((one for one in reversed(later) if not used_up(stock_g(one))), None)
