"""Numbers a page of buckets, stock, packs and cartridges takes from its address, read and handed on. Reads only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, time, timedelta, tzinfo

from slake.ground.numbers import Limits, is_open, read_number, read_optional
from slake.ground.problems import NotANumber, Problem
from slake.ground.units import to_si
from slake.paste.bucket import USUAL_DRY_KG_PER_PRINT
from slake.paste.cartridges import (
    USUAL_PURGE,
    USUAL_RESIDUE_M3,
    Cartridge,
    bead_flow_m3_s,
    cartridges_from_paste,
    two_ways,
)
from slake.paste.packs import USUAL_PACK_DRY_KG, USUAL_SPARE_SHARE
from slake.records import models
from slake.records.models import Batch, Lot, Machine

from .packing import Filling, Packing, filling, packing
from .sizes import left_in_bowl_g
from .stock import Outlook, lots_in, outlook, paste_density_kg_m3, usual_g

USUAL_PACKS = "10"
MORE_THAN_THERE_IS = 1
PER_PRINT = Limits(low=1, high=100_000, unit="g", do="weigh a dry print, 150 g is usual here")
PER_BATCH = Limits(low=0.1, high=100_000, unit="g", do="say what one batch takes of this lot")
PLANNED = Limits(low=0, high=10_000, do="count the batches you still want")
PACKS = Limits(low=1, high=200, do="count the people or bowls")
PACK_DRY = Limits(low=1, high=10_000, unit="g", do="120 g is usual")
SPARE = Limits(low=0, high=100, unit="%", do="20 is usual")
PARTS = Limits(low=0.1, high=1e6, unit="mL", do="take it from the slicer")
CARTRIDGE = Limits(low=1, high=20_000, unit="mL", do="measure how much water one holds")
PURGE = Limits(low=0, high=90, unit="%", do="8 is usual")
BEAD = Limits(low=0.05, high=50, unit="mm", do="measure one printed bead")
SPEED = Limits(low=0.01, high=1000, unit="mm/s", do="take it from the slicer")


def per_print_kg_asked(typed: str) -> float:
    """Dry mass of one print; 150 g where it is left open."""
    grams = read_optional(typed, "Dry mass of one print", PER_PRINT)
    return USUAL_DRY_KG_PER_PRINT if grams is None else to_si(grams, "g")


def outlook_asked(lot: Lot, typed: Mapping[str, str]) -> Outlook | None:
    """What a lot still makes. No batch size said: as its last batches; no plan said: one batch more than it carries,
    so that the bridge is told. None where the lot is not counted or no size is known.
    """
    per_batch = read_optional(typed.get("per_batch_g"), "Grams a batch takes of it", PER_BATCH)
    planned = read_optional(typed.get("planned"), "Batches still planned", PLANNED)
    if planned is not None and planned != int(planned):
        raise NotANumber("Batches still planned", typed=typed["planned"], do="give a whole number of batches")
    size = usual_g(lot) if per_batch is None else per_batch
    if not size:
        return None
    if planned is not None:
        return outlook(lot, size, int(planned))
    first = outlook(lot, size, 0)
    return None if first is None else outlook(lot, size, first.plan.batches + MORE_THAN_THERE_IS)


def packs_asked(kept: models.Recipe, typed: Mapping[str, str]) -> Packing:
    """The packs of a workshop as the address asks for them."""
    text = typed.get("packs", "").strip() or USUAL_PACKS
    asked = read_number(text, "Packs", PACKS)
    if asked != int(asked):
        raise NotANumber("Packs", typed=text, do="give a whole number of packs")
    dry = read_optional(typed.get("pack_dry_g"), "Dry mass of one pack", PACK_DRY)
    spare = read_optional(typed.get("spare"), "Packs to spare", SPARE)
    return packing(
        kept,
        int(asked),
        USUAL_PACK_DRY_KG if dry is None else to_si(dry, "g"),
        USUAL_SPARE_SHARE if spare is None else to_si(spare, "%"),
    )


def start_asked(typed: str, now: datetime, zone: tzinfo | None) -> datetime | None:
    """When a workshop starts: a day with a time, or a time alone, which is the next one that leaves a day to get ready.
    None where it is left open.
    """
    text = typed.strip()
    if is_open(text):
        return None
    try:
        if ":" in text and len(text) <= 5:
            return _next_at(time.fromisoformat(text.zfill(5)), now.astimezone(zone))
        found = datetime.fromisoformat(text[:16])
        return found.replace(tzinfo=zone) if zone else found.astimezone()
    except (ValueError, OverflowError):
        raise Problem(
            f"the start is “{text[:20]}”: give a day and a time such as 2026-11-28 14:00, or a time such as 14:00"
        ) from None


def _next_at(clock: time, now: datetime) -> datetime:
    """The next such time that is a day away or more."""
    today = now.replace(hour=clock.hour, minute=clock.minute, second=0, microsecond=0)
    return next(at for days in range(3) if (at := today + timedelta(days=days)) - now >= timedelta(days=1))


def usual_cartridge_ml() -> float | None:
    machine = Machine.objects.last()
    return None if machine is None else machine.cartridge_ml


def filling_asked(kept: models.Recipe, typed: Mapping[str, str]) -> Filling | None:
    """Cartridges for the printed volume of the address; None while it says no volume."""
    parts = read_optional(typed.get("parts_ml"), "Printed volume", PARTS)
    volume = read_optional(typed.get("cartridge_ml"), "One cartridge holds", CARTRIDGE)
    purge = read_optional(typed.get("purge"), "Purged, of what is printed", PURGE)
    flow = _flow(typed)
    if parts is None:
        return None
    volume = usual_cartridge_ml() if volume is None else volume
    if volume is None:
        raise Problem("how much one cartridge holds is not known: give it here in mL, or at the machine")
    cartridge = _cartridge(volume)
    share = USUAL_PURGE if purge is None else to_si(purge, "%")
    return filling(kept, cartridge, two_ways(to_si(parts, "mL"), cartridge, share), flow)


@dataclass(frozen=True, kw_only=True)
class BowlFills:
    """What is left in a bowl, and how many cartridges of this volume it fills."""

    left_g: float
    volume_m3: float
    count: float


def bowl_fills(batch: Batch, typed: Mapping[str, str]) -> BowlFills | None:
    """None where nobody said what a cartridge holds. Density of the recipe without air, as for the cartridges."""
    volume = read_optional(typed.get("cartridge_ml"), "One cartridge holds", CARTRIDGE) or usual_cartridge_ml()
    if volume is None:
        return None
    left = left_in_bowl_g(batch)
    paste_m3 = to_si(left, "g") / paste_density_kg_m3(batch.recipe, lots_in(batch.recipe))
    return BowlFills(
        left_g=left, volume_m3=to_si(volume, "mL"), count=cartridges_from_paste(paste_m3, _cartridge(volume))
    )


def _cartridge(volume_ml: float) -> Cartridge:
    holds = to_si(volume_ml, "mL")
    return Cartridge(volume_m3=holds, residue_m3=min(USUAL_RESIDUE_M3, holds / 10))


def _flow(typed: Mapping[str, str]) -> float | None:
    """Paste per second of a running print; None where one of width, height and speed is left open."""
    width = read_optional(typed.get("bead_mm"), "Width of a bead", BEAD)
    height = read_optional(typed.get("layer_mm"), "Height of a layer", BEAD)
    speed = read_optional(typed.get("speed"), "Speed", SPEED)
    if width is None or height is None or speed is None:
        return None
    return bead_flow_m3_s(to_si(width, "mm"), to_si(height, "mm"), to_si(speed, "mm/s"))
