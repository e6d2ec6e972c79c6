"""What machine and batch on record say of a print to come. Reads only, records nothing."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from slake.bench.shrinkage_bar import UPRIGHT
from slake.campaign.verdict import Paste, Question, practice
from slake.ground.problems import Problem
from slake.ground.units import to_si
from slake.path.checked import Loaded
from slake.path.shrinking import Bars, Today, bars_of, nearest_bars
from slake.records.models import Batch, Machine, Reading
from slake.records.struck import standing_batches
from slake.records.values import raw_of

from .check_question import FromRows, loaded_of
from .sizes import mixed_recipe
from .verdict_asked import in_hand_s
from .verdict_paste import paste_of
from .verdict_press import bead_width_m, law_of, press_of

SHRINKAGE = "shrinkage_bar"
NO_WALL = 0.0
MOST_BARS = 200
"""Readings of bars that are looked through, the newest first."""


def loaded_for(
    typed: Mapping[str, str], batch: Batch | None, machine: Machine | None, now: datetime | None = None
) -> Loaded:
    """Paste and machine for a check: typed, else on record, else usual. Raises Problem."""
    return loaded_of(typed, from_rows(batch, machine, now))


def from_rows(batch: Batch | None, machine: Machine | None, now: datetime | None = None) -> FromRows:
    """Without a machine only what is known of the batch."""
    today = _today(batch)
    bars = nearest_bars(_all_bars(), today)
    if machine is None:
        paste = None if batch is None else paste_of(batch, NO_WALL)[0]
        return FromRows(paste=paste, bars=bars if batch is not None else None, today=today)
    paste, cone_sd, age_s = Paste(), practice.CONE_SD_LOG, None
    if batch is not None:
        paste, cone_sd, age_s = paste_of(batch, bead_width_m(machine))
    question = Question(paste=paste, press=press_of(machine), law=law_of(machine, cone_sd, batch))
    return FromRows(
        question=question,
        cartridge_m3=None if machine.cartridge_ml is None else to_si(machine.cartridge_ml, "mL"),
        bead_m=bead_width_m(machine),
        layer_height_m=None if machine.layer_height_mm is None else to_si(machine.layer_height_mm, "mm"),
        aged_s=in_hand_s(batch, age_s, now),
        bars=bars if batch is not None else None,
        today=today,
    )


def _today(batch: Batch | None) -> Today:
    if batch is None:
        return Today(batch="this paste")
    return Today(batch=f"batch {batch.number}", water_per_dry=_water(batch))


def _water(batch: Batch) -> float | None:
    try:
        return mixed_recipe(batch).water_per_dry
    except Problem:
        return None


def _all_bars() -> list[Bars]:
    """Bars measured dry, by batch."""
    rows = Reading.objects.filter(test=SHRINKAGE, batch__in=standing_batches(), strike__isnull=True)
    by_batch: dict[int, list[Reading]] = {}
    for row in rows.select_related("batch__recipe", "instrument").order_by("-at", "-id")[:MOST_BARS]:
        by_batch.setdefault(row.batch_id, []).append(row)
    found = [_bars(rows) for rows in by_batch.values()]
    return [bars for bars in found if bars is not None]


def _bars(rows: list[Reading]) -> Bars | None:
    batch = rows[0].batch
    assert batch is not None
    try:
        raws = [raw_of(row) for row in rows]
        heights = [one.get(UPRIGHT[0].name, 0.0) for raw in raws for one in raw.rows]
        wall_m = max(heights, default=0.0) or None
        found = bars_of(raws, Today(batch=f"batch {batch.number}", water_per_dry=_water(batch), wall_m=wall_m))
    except Problem:
        return None
    return found if found.mean else None
