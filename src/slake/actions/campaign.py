"""The campaign of this bench: its rows as the notebook of the science rooms. Reads only."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from slake.bench.comparing import as_read_with, instrument_inputs, instrument_of, shows_all
from slake.campaign import Lot as CampaignLot
from slake.campaign import Machine as CampaignMachine
from slake.campaign import Notebook
from slake.campaign.lots import MOST_INGREDIENTS
from slake.ground.evidence import Z80, Kind
from slake.ground.problems import DoesNotFit, NotEnoughEvidence
from slake.ground.units import from_si
from slake.paste.ingredients import Role, find
from slake.paste.recipe import WATER
from slake.records.models import Batch, Brief, Lot, Machine, Outcome, Reading
from slake.records.values import (
    evidence_of,
    ingredient_of,
    moisture_of,
    standing,
    standing_readings,
    test_of,
    windows_of,
)

from .bounds import bounds_of
from .lots import stock_g
from .sizes import received_g

LEAST_STOCK_G = 1.0
READ_AT_MIN = 60
STIFFNESS = "yield_stress_pa"
MOST_TOLD = 80
"""Batches, the last ones: a proposal from more takes too long to wait for."""


@dataclass(frozen=True, kw_only=True)
class Campaign:
    """The notebook as told by this bench's rows. `batches`: rows in the order told. `seen`: checksum of all of it.

    `left_out`: older batches, where there are more batches or more lots than a notebook takes.
    """

    book: Notebook
    batches: tuple[Batch, ...]
    lots_now: tuple[Lot, ...]
    seen: str
    left_out: int = 0


def tell() -> Campaign:
    """All that this bench knows, told to a notebook. Raises NotEnoughEvidence where there is no lot yet."""
    lots = list(Lot.objects.exclude(role=Role.COAT.value).prefetch_related("readings__strike", "moves"))
    if not lots:
        raise NotEnoughEvidence("the next batch", have=0, need=1, do="first say what waste and gums you have")
    every = _all_batches()
    told = _told_apart(lots, lots_to_use(lots), every[-MOST_TOLD:])
    now = [lot for lot in lots_to_use(lots) if lot in told]
    batches = tuple(
        batch for batch in every[-MOST_TOLD:] if {row.lot for row in batch.amounts.all() if row.lot} <= set(told)
    )
    machine, windows = campaign_machine(Machine.objects.last()), windows_of(Brief.objects.last())
    with_what = instruments(batches, windows)
    lines = [(batch, line) for batch in batches if (line := batch_line(batch, with_what)) is not None]
    book = Notebook(
        lots={lot.name: campaign_lot(lot) for lot in told},
        brief=dict(windows) or None,
        bounds=bounds_of(told, now, [line["fractions"] for _, line in lines]) or None,
        machine=machine,
        instruments=with_what,
    )
    for _, line in lines:
        book.add(line["fractions"], outcome=line["outcome"], readings=line["readings"], **line["more"])
    seen = _checksum([*_inputs(told, now, machine), with_what], lines)
    kept = tuple(batch for batch, _ in lines)
    return Campaign(book=book, batches=kept, lots_now=tuple(now), seen=seen, left_out=len(every) - len(batches))


def _checksum(inputs: list[object], lines: list[tuple[Batch, dict[str, Any]]]) -> str:
    """Of everything told: the same evidence has the same one."""
    told = [[b.number, x["fractions"], x["outcome"], x["readings"], str(x["more"])] for b, x in lines]
    return hashlib.sha256(json.dumps([*inputs, *told], sort_keys=True, default=str).encode()).hexdigest()


def _told_apart(lots: list[Lot], now: list[Lot], batches: tuple[Batch, ...]) -> list[Lot]:
    """The lots a notebook can tell apart: those in use, then those used last; in the order they came in."""
    last_use = {row.lot_id: batch.number for batch in batches for row in batch.amounts.all()}
    wanted = [lot for lot in lots if lot in now or lot.pk in last_use]
    ranked = sorted(wanted, key=lambda lot: (lot in now, last_use.get(lot.pk, 0), lot.pk), reverse=True)
    return [lot for lot in wanted if lot in ranked[:MOST_INGREDIENTS]]


FETCHED = ("amounts__lot", "weighings__strike", "weighings__lot", "weighings__amount__lot", "readings__strike")


def _all_batches() -> tuple[Batch, ...]:
    """Every batch with all that was weighed, read and said of it, in a handful of queries."""
    fetched = Batch.objects.prefetch_related(*FETCHED, "outcomes__strike")
    return tuple(fetched.select_related("machine", "recipe"))


Windows = Mapping[str, tuple[float | None, float | None]]


def instruments(batches: tuple[Batch, ...], windows: Windows) -> dict[str, dict[str, str]]:
    """What each reading was last taken with, as typed: the cone's mass and angle, the mould.

    One that could never show what the brief asks for is passed over: its readings are told as another's.
    """
    found: dict[str, dict[str, str]] = {}
    for batch in batches:
        for row in standing_readings(batch):
            test, fields = test_of(row), row.typed.get("fields", {})
            own = [item.name for item in instrument_inputs(test)]
            taken_with = {name: fields[name] for name in own if fields.get(name)}
            if shows_all(test, taken_with, windows.get(test.notebook_name, ())):
                found[test.notebook_name] = taken_with
    return found


def readings_told(batch: Batch) -> dict[str, Reading]:
    """One reading of each test, by its notebook name: the last; of stiffness, which ages, the nearest to an hour.

    What was read before more went into the bowl is of another paste than the one the batch ended as, and is not told.
    """
    poured = [row.at for row in standing(batch, "weighings") if row.grams > 0]
    found: dict[str, Reading] = {}
    for row in standing_readings(batch):
        if not poured or row.at >= max(poured):
            test = test_of(row)
            before = found.get(test.notebook_name)
            ages = before is not None and test.informs == STIFFNESS
            if before is None or not ages or _far_from_usual(row) <= _far_from_usual(before):
                found[test.notebook_name] = row
    return found


def _far_from_usual(row: Reading) -> float:
    """How far from an hour after first water, as a log ratio; a reading without an age is farthest."""
    if row.age_s is None:
        return math.inf
    return abs(math.log(max(from_si(row.age_s, "min"), 1.0) / READ_AT_MIN))


def told_value(row: Reading, with_what: Mapping[str, str]) -> float | None:
    """The reading's number as the instrument in use shows it; None where that one could not have shown it."""
    test, fields = test_of(row), row.typed.get("fields", {})
    if instrument_of(test, fields) == instrument_of(test, with_what):
        return row.headline_value
    return as_read_with(test, evidence_of(row), with_what)


def _inputs(told: list[Lot], now: list[Lot], machine: CampaignMachine | None) -> list[object]:
    brief = Brief.objects.last()
    return [[(lot.name, str(campaign_lot(lot)), lot in now) for lot in told], str(machine), windows_of(brief)]


def lots_to_use(lots: list[Lot]) -> list[Lot]:
    """The newest lot of each ingredient that is not used up: what the next batch is weighed from. Coats are not."""
    newest: dict[str, Lot] = {}
    for lot in lots:
        left = stock_g(lot)
        if Role(lot.role) is not Role.COAT and (left is None or left >= LEAST_STOCK_G):
            newest[ingredient_of(lot).key] = lot
    return list(newest.values())


def campaign_lot(lot: Lot) -> CampaignLot:
    item, moist = ingredient_of(lot), moisture_of(lot).value
    listed = find(lot.ingredient) is not None and item.role is not Role.COAT
    return CampaignLot(
        item.name,
        moisture=(moist.mid, max((moist.high - moist.low) / (2 * Z80), 1e-4)),
        role=None if listed else lot.role,
        water_demand=lot.water_demand,
        dose_per_100_water=item.dose_per_100_water.value.mid if item.dose_per_100_water else None,
    )


def campaign_machine(machine: Machine | None) -> CampaignMachine | None:
    if machine is None:
        return None
    return CampaignMachine(
        nozzle_mm=machine.nozzle_mm,
        barrel_mm=machine.barrel_mm,
        force_n=machine.force_n,
        pushed=machine.pushed_cone_mm,
        stalled=machine.stalled_cone_mm,
    )


def batch_line(batch: Batch, with_what: Mapping[str, Mapping[str, str]]) -> dict[str, Mapping[str, object]] | None:
    """One batch as a notebook takes it, its readings as the instruments in use show them; None while nothing is
    known of how it went.
    """
    outcome = last_outcome(batch)
    readings, capped = {}, False
    for name, row in readings_told(batch).items():
        value = told_value(row, with_what.get(name, {}))
        if value is not None:
            readings[name] = (value, from_si(row.age_s, "min") if row.age_s is not None else None)
            capped = capped or (name == "layers_stood" and evidence_of(row).kind is Kind.ABOVE)
    if outcome is None and not readings:
        return None
    more: dict[str, object] = {"reached_cap": capped}
    machine = campaign_machine(batch.machine)
    if machine is not None:
        more["machine"] = machine
    words = outcome.words if outcome else None
    return {"fractions": _fractions(batch), "outcome": words, "readings": readings, "more": more}


def _fractions(batch: Batch) -> dict[str, float]:
    """Of the wet paste, as received. Raises DoesNotFit for a batch that weighs nothing."""
    grams = received_g(batch)
    total = sum(grams.values())
    if total <= 0:
        raise DoesNotFit(f"{batch} weighs nothing: weigh it in, or strike its lines through")
    return {WATER: 0.0} | {name: g / total for name, g in grams.items()}


def last_outcome(batch: Batch) -> Outcome | None:
    said = standing(batch, "outcomes")
    return said[-1] if said else None
