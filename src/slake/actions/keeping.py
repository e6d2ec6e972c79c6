"""How long the paste of a batch keeps, raw food waste told apart. Reads only."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from slake.paste.keeping import keeping_times
from slake.records.models import Batch, Lot
from slake.records.values import ingredient_of, parents_of

from .heating import heat_words


@dataclass(frozen=True, kw_only=True)
class Deadlines:
    """Times on the label. Print-by is the middle of the usual pot life; discard as kept cold and covered; mould_from is
    when it is usual in a warm tub.
    """

    print_by: datetime
    discard_by: datetime
    discard_warm_by: datetime
    mould_from: datetime
    words: str


def is_raw(lot: Lot) -> bool:
    """Waste from food counts as raw until its logged heat meets the stated rule; a blend, while one parent does."""
    if not ingredient_of(lot).raw_food_waste:
        return False
    verdict = heat_words(lot)
    if verdict is not None and verdict.meets:
        return False
    parents = parents_of(lot)
    return any(is_raw(row.parent) for row in parents) if parents else True


def deadlines(batch: Batch) -> Deadlines | None:
    """None until water has met the powder."""
    if batch.first_water_at is None:
        return None
    kept = keeping_times(raw_food_waste=any(is_raw(lot) for lot in _lots(batch)))
    start = batch.first_water_at
    return Deadlines(
        print_by=start + timedelta(seconds=kept.print_within.mid),
        discard_by=start + timedelta(seconds=kept.discard_cold_s),
        discard_warm_by=start + timedelta(seconds=kept.discard_warm_s),
        mould_from=start + timedelta(seconds=kept.mould_from_s),
        words=kept.words,
    )


def _lots(batch: Batch) -> list[Lot]:
    return [row.lot for row in batch.amounts.select_related("lot") if row.lot]
