"""Recipes a person goes by, when a new lot of one of their ingredients has come in. Reads only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from slake.campaign.lot_grains import Sieved
from slake.campaign.new_lot import Known
from slake.campaign.outcomes import Ending
from slake.ground.problems import DoesNotFit, NotEnoughEvidence
from slake.records.models import Batch, Lot
from slake.records.values import ingredient_of

from .campaign import Campaign
from .grain_sizes import beside


@dataclass(frozen=True, kw_only=True)
class KnownBatch:
    """A batch of a recipe that may be carried over. broken: lines of the brief it is known to have broken."""

    batch: Batch
    place: int
    held: int
    broken: tuple[str, ...]
    good: bool
    old: str

    @property
    def words(self) -> str:
        """As a person tells it from others."""
        said = f"broke {len(self.broken)} of the brief" if self.broken else f"{self.held} lines of the brief held"
        good = ", said to be good" if self.good else ""
        return f"batch {self.batch.number}, {self.batch.recipe.name}, with {self.old}: {said}{good}"


def known_batches(told: Campaign, lot: Lot) -> list[KnownBatch]:
    """Batches with an earlier lot of the same material, those that broke no line first, then the newest."""
    found = []
    for place, batch in enumerate(told.batches):
        old = _old_lot(batch, lot)
        if old is not None:
            found.append(_known(told, place, old))
    return sorted(found, key=lambda k: (bool(k.broken), -k.held, not k.good, -k.batch.number))


def _old_lot(batch: Batch, lot: Lot) -> Lot | None:
    lots = [row.lot for row in batch.amounts.all() if row.lot and row.lot.pk != lot.pk]
    if any(row.lot and row.lot.pk == lot.pk for row in batch.amounts.all()):
        return None
    kind = ingredient_of(lot).key
    return next((one for one in lots if ingredient_of(one).key == kind), None)


def _known(told: Campaign, place: int, old: Lot) -> KnownBatch:
    verdicts = told.book.explain(place)
    ended = told.book.batches[place].mixed.outcome
    return KnownBatch(
        batch=told.batches[place],
        place=place,
        held=sum(v.held is True for v in verdicts),
        broken=tuple(v.line for v in verdicts if v.held is False),
        good=ended.has(Ending.GOOD, Ending.PRINTED_WELL),
        old=old.name,
    )


def known_batch(told: Campaign, lot: Lot, number: int | None) -> KnownBatch:
    """The one of this number, else the best. Raises NotEnoughEvidence where there is none."""
    found = known_batches(told, lot)
    if not found:
        do = f"mix and read a batch with it first; no batch of another lot of {ingredient_of(lot).name} is known"
        raise NotEnoughEvidence("what to change for this lot", have=0, need=1, do=do)
    if number is None:
        return found[0]
    one = next((k for k in found if k.batch.number == number), None)
    if one is None:
        raise DoesNotFit(f"batch {number} holds no earlier lot of {ingredient_of(lot).name}, or nothing is known of it")
    return one


def known_of(told: Campaign, lot: Lot, one: KnownBatch) -> Known:
    """The recipe of one batch with today's lots in the place of those used up; its batches that broke no line held."""
    row = told.book.batches[one.place].fractions
    fractions = {key: part for key, part in zip(told.book.keys, row, strict=True) if part > 0}
    swapped = _swapped(told, lot, one)
    again = [k for k in known_batches(told, lot) if k.batch.recipe_id == one.batch.recipe_id and not k.broken]
    return Known(
        fractions=fractions,
        swapped=swapped,
        batches=tuple(sorted(k.place for k in again)),
        sieved=_sieved(swapped),
    )


def _sieved(swapped: Mapping[str, str]) -> dict[str, Sieved]:
    """Grains of each new lot beside those of the one before it, where sieves tell."""
    lots = {lot.name: lot for lot in Lot.objects.filter(name__in={*swapped, *swapped.values()})}
    found = {new: beside(lots[old], lots[new]) for old, new in swapped.items()}
    return {new: sieved for new, sieved in found.items() if sieved is not None}


def _swapped(told: Campaign, lot: Lot, one: KnownBatch) -> dict[str, str]:
    now = {ingredient_of(row).key: row for row in told.lots_now}
    mine = ingredient_of(lot).key
    if now.get(mine) != lot:
        newer = now[mine].name if mine in now else "none"
        raise DoesNotFit(
            f"{lot.name} is not the lot in use of {ingredient_of(lot).name} (that is {newer}): take the newest that is "
            "not used up"
        )
    swapped = {one.old: lot.name}
    for row in (amount.lot for amount in one.batch.amounts.all() if amount.lot):
        kind = ingredient_of(row).key
        if row.name not in swapped and now.get(kind) != row:
            if kind not in now:
                raise DoesNotFit(f"{row.name} is used up and there is no other {ingredient_of(row).name}: take some in")
            swapped[row.name] = now[kind].name
    return swapped
