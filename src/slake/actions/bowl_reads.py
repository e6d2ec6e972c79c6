"""Earlier readings of one bowl, each with the water that was in at its time; and what the bowl holds. Reads only."""

from __future__ import annotations

from dataclasses import replace

from slake.bench.against import times_the_aim
from slake.bench.together import Look
from slake.campaign.bowl import BowlRead
from slake.ground.evidence import Range
from slake.ground.problems import Problem
from slake.paste.batch import LotFacts
from slake.paste.ingredients import Role
from slake.records.models import Batch, Lot, Reading, Taken, Weighing
from slake.records.values import context_of, raw_of, standing_readings, test_of, water_demand_of

from .gone_in import gone_in_since
from .sizes import left_in_bowl_g, lot_facts, mixed_recipe

MOST_EARLIER = 2
"""Readings of drier pastes of this bowl that count beside the last one."""


def earlier_reads(batch: Batch, reading: Reading, aim: Look, times: float) -> list[BowlRead]:
    """Readings by the same test before the last water, oldest first; none from before anything but water went in.

    aim: what the aim reads like. times: own scatter of this bench over the declared one.
    """
    rows = [row for row in standing_readings(batch, reading.test) if row.at < reading.at and row.headline_value > 0]
    found: list[BowlRead] = []
    waters: set[float] = set()
    for row in reversed(rows):
        since = gone_in_since(batch, row)
        if any(pour.lot_id is not None for pour in since) or len(found) == MOST_EARLIER:
            break
        water = _water_at(batch, row, since)
        ratio = _ratio(row, aim, times) if since and water not in waters else None
        if ratio is not None:
            waters.add(water)
            found.append(BowlRead(ratio=ratio, water_per_dry=water, age_s=row.age_s))
    return found[::-1]


def _ratio(row: Reading, aim: Look, times: float) -> Range | None:
    try:
        look = Look(called="", test=test_of(row), raw=raw_of(row), context=context_of(row))
        return times_the_aim([replace(look, scatter=times * look.evidence.scatter)], aim)
    except Problem:
        return None


def _water_at(batch: Batch, row: Reading, since: list[Weighing]) -> float:
    """Water per dry when the reading was taken: what went in since is taken out again, last first."""
    left, water = left_in_bowl_g(batch), mixed_recipe(batch).water_per_dry
    later = [*since, *(taken for taken in batch.taken.all() if taken.at > row.at)]
    for event in sorted(later, key=lambda event: (event.at, event.pk), reverse=True):
        if isinstance(event, Taken):
            left += event.grams
            continue
        dry = left / (1 + water)
        left, water = left - event.grams, water - event.grams / dry
    return round(water, 6)


def demand_of(batch: Batch) -> float:
    """g water per g dry that the solids of this batch drink."""
    recipe, lots = mixed_recipe(batch), _lots(batch)
    return sum(part * water_demand_of(lots[name]).value.mid for name, part in recipe.parts.items() if name in lots)


def main_filler(batch: Batch) -> tuple[str, LotFacts] | None:
    """The lot there is most of, to thicken with."""
    recipe, lots = mixed_recipe(batch), _lots(batch)
    fillers = [name for name, lot in lots.items() if Role(lot.role) is Role.FILLER]
    best = max(fillers, key=lambda name: recipe.parts.get(name, 0.0), default=None)
    return None if best is None else (best, lot_facts(lots[best]))


def _lots(batch: Batch) -> dict[str, Lot]:
    return {row.lot.name: row.lot for row in batch.amounts.select_related("lot") if row.lot}
