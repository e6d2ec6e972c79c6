"""The campaign of this bench: its rows as the notebook of the science rooms. Reads only."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from slake.campaign import Lot as CampaignLot
from slake.campaign import Machine as CampaignMachine
from slake.campaign import Notebook
from slake.campaign.lots import MOST_INGREDIENTS
from slake.campaign.pending import DRYING, LATELY
from slake.ground.evidence import Z80
from slake.ground.problems import DoesNotFit, NotEnoughEvidence
from slake.paste.ingredients import HowKnown, Ingredient, Role, find
from slake.paste.recipe import WATER
from slake.records.models import Batch, Brief, Lot, Machine, Outcome
from slake.records.struck import standing_batches
from slake.records.values import (
    ingredient_of,
    moisture_of,
    standing,
    water_demand_of,
    windows_of,
)

from .bounds import bounds_of
from .drying import begun_unread, words_told
from .lots import stock_g
from .readings_told import MOST_TOLD, Instruments, instruments, own_repeatability, readings_told, scatter_times
from .sizes import received_g

LEAST_STOCK_G = 1.0
READ_AT_MIN = 60
LEAST_DEMAND_SD_LOG = 0.05
"""Parents' demands add up to no better than this: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Campaign:
    """The notebook as told by this bench's rows. `batches`: rows in the order told. `seen`: checksum of all of it.

    `left_out`: older batches, where there are more batches or more lots than a notebook takes. `begun`: mixed, and
    nothing of it read or said; told last, after `batches`.
    """

    book: Notebook
    batches: tuple[Batch, ...]
    lots_now: tuple[Lot, ...]
    seen: str
    left_out: int = 0
    begun: tuple[Batch, ...] = ()


def tell(of: Sequence[int] | None = None) -> Campaign:
    """All that this bench knows, told to a notebook; with `of` only the batches of these numbers, to look back at them.

    Raises NotEnoughEvidence where there is no lot yet.
    """
    lots = list(Lot.objects.exclude(role=Role.COAT.value).prefetch_related("readings__strike", "moves"))
    if not lots:
        raise NotEnoughEvidence("the next batch", have=0, need=1, do="first say what waste and gums you have")
    last, in_use = _batches(of), lots_to_use(lots)
    told = _told_apart(lots, in_use, last)
    now = [lot for lot in in_use if lot in told]
    batches = tuple(batch for batch in last if {row.lot for row in batch.amounts.all() if row.lot} <= set(told))
    machine, windows = campaign_machine(Machine.objects.last()), windows_of(Brief.objects.last())
    with_what = instruments(batches, windows)
    told_of, begun = _lines(batches, with_what)
    lines = [*told_of, *(begun if of is None else [])]
    book = Notebook(
        lots={lot.name: campaign_lot(lot) for lot in told},
        brief=dict(windows) or None,
        bounds=bounds_of(told, now, [line["fractions"] for _, line in lines]) or None,
        machine=machine,
        instruments=with_what,
    )
    book.scatter_times.update(scatters := scatter_times(own_repeatability(batches)))
    book.add_all(_as_added(line) for _, line in lines)
    seen = _checksum([*_inputs(told, now, machine), with_what, scatters], lines)
    kept, left_out = tuple(batch for batch, _ in told_of), standing_batches().count() - len(batches)
    waiting = tuple(batch for batch, _ in lines[len(told_of) :])
    return Campaign(book=book, batches=kept, lots_now=tuple(now), seen=seen, left_out=left_out, begun=waiting)


def _as_added(line: dict[str, Any]) -> dict[str, Any]:
    return {**line["more"], **{key: line[key] for key in ("fractions", "outcome", "readings")}}


Told = list[tuple[Batch, dict[str, Any]]]


def _lines(batches: tuple[Batch, ...], with_what: Instruments) -> tuple[Told, Told]:
    """What a notebook is told of each batch; and of those that were mixed and nothing is known of but the recipe."""
    lately = set(batches[-LATELY:])
    told = [(b, line) for b in batches if (line := batch_line(b, with_what, lately=b in lately)) is not None]
    return told, [(batch, nothing_read(batch)) for batch in begun_unread(batches, [b for b, _ in told])]


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


FETCHED = (
    "amounts__lot",
    "weighings__strike",
    "weighings__lot",
    "weighings__amount__lot",
    "readings__strike",
    "readings__instrument",
    "taken",
)


def _batches(of: Sequence[int] | None) -> tuple[Batch, ...]:
    """Those a notebook is told of, else the last, none struck; with all that is theirs, in a handful of queries."""
    fetched = standing_batches().prefetch_related(*FETCHED, "outcomes__strike").select_related("machine", "recipe")
    wanted = fetched if of is None else fetched.filter(number__in=of)
    return tuple(reversed(wanted.order_by("-number")[:MOST_TOLD]))


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
        water_demand=_demand_of(lot, item),
        dose_per_100_water=item.dose_per_100_water.value.mid if item.dose_per_100_water else None,
    )


def _demand_of(lot: Lot, item: Ingredient) -> float | tuple[float, float] | None:
    """What the person weighed or stated; of a blend what its parents drink, as wide as that is known, where the list of
    ingredients says something else or does not know it.
    """
    drinks = water_demand_of(lot)
    if drinks.how is HowKnown.MEASURED:
        return drinks.value.mid
    as_listed = find(lot.ingredient) is not None and drinks.value == item.water_demand.value
    if drinks.how is not HowKnown.PARENTS or as_listed or drinks.value.low <= 0:
        return None
    sd_log = math.log(drinks.value.high / drinks.value.low) / (2 * Z80)
    return drinks.value.mid, max(sd_log, LEAST_DEMAND_SD_LOG)


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


def batch_line(batch: Batch, with_what: Instruments, *, lately: bool = False) -> dict[str, Any] | None:
    """One batch as a notebook takes it, its readings as the instruments in use show them; None while nothing is
    known of how it went. `lately`: whether more may still be read of it.
    """
    outcome = last_outcome(batch)
    told = readings_told(batch, with_what)
    if outcome is None and not told:
        return None
    words = words_told(batch, outcome, lately=lately)
    return {"fractions": _fractions(batch), "outcome": words, "readings": told, "more": _with_machine(batch)}


def nothing_read(batch: Batch) -> dict[str, Any]:
    """A batch that was mixed and of which nothing is known yet but its recipe."""
    return {"fractions": _fractions(batch), "outcome": DRYING.text, "readings": {}, "more": _with_machine(batch)}


def _with_machine(batch: Batch) -> dict[str, object]:
    machine = campaign_machine(batch.machine)
    return {} if machine is None else {"machine": machine}


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
