"""What to change after a print that cracked, from everything this bench knows. Reads only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from slake.campaign.lever_practice import Part
from slake.campaign.lever_recipes import water_in
from slake.campaign.levers import Asked, Levers, Way, levers
from slake.campaign.machine import USUAL_NOZZLE_MM
from slake.campaign.outcomes import Ending, read_outcome
from slake.ground.numbers import Limits, read_optional
from slake.ground.problems import NotEnoughEvidence, Problem
from slake.ground.units import to_si
from slake.paste.bases import recipe_from_paste
from slake.paste.ingredients import Role
from slake.paste.recipe import WATER, Recipe
from slake.records.models import Batch, Brief, Lot
from slake.records.struck import standing_batches
from slake.records.values import grains_of, ingredient_of, moisture_of, standing_readings, windows_of

from .campaign import Campaign, last_outcome, tell
from .lots import YES_NO, stock_g
from .sizes import received_g

CRACK = "crack_grade"
CRACKED_FROM = 2.0
"""Grade from which a part is called cracked where the brief does not say: common practice, no source."""
WALL = Limits(low=0.4, high=100, unit="mm", do="measure a printed wall, two beads are usual")
OF_LATE = 8
"""Batches the page of the next one looks back over."""
SPECK = 2e-4
"""As for a proposal: less than this part of the paste no kitchen scale shows."""


@dataclass(frozen=True, kw_only=True)
class Amount:
    """One lot of a changed recipe at the dry mass of the batch: grams as received, how much more than then, and what
    is left of it (None: not counted).
    """

    name: str
    grams: float
    more_g: float
    left_g: float | None

    @property
    def short(self) -> bool:
        return self.left_g is not None and self.grams > self.left_g


@dataclass(frozen=True, kw_only=True)
class Said:
    """The levers of one batch, with what they were worked out from."""

    batch: Batch
    levers: Levers
    part: Part
    cracked: bool
    words: Mapping[str, str]
    moved: Mapping[str, str]
    """Lot of the batch -> the newer lot of its kind that is taken instead."""
    campaign: Campaign

    def recipe(self, way: Way) -> Recipe:
        fractions = weighable(way.fractions)
        return recipe_from_paste(fractions, _moisture(fractions))

    def amounts(self, way: Way) -> list[Amount]:
        """Grams for the dry mass the batch had."""
        then, now = received_g(self.batch), weighable(way.fractions)
        before = {self.moved.get(name, name): grams for name, grams in then.items()}
        times = _dry(before, _moisture(before)) / _dry(now, _moisture(now))
        lots = {lot.name: lot for lot in Lot.objects.filter(name__in={*now, *before})}
        return [
            Amount(
                name=name,
                grams=now.get(name, 0.0) * times,
                more_g=now.get(name, 0.0) * times - before.get(name, 0.0),
                left_g=stock_g(lots[name]) if name in lots else None,
            )
            for name in dict.fromkeys((*before, *now))
        ]


def levers_of(number: int, typed: Mapping[str, str], told: Campaign | None = None) -> Said:
    """Raises NotEnoughEvidence for a batch nothing is known of, and Problem for a wall that cannot be."""
    told = told or tell()
    place = next((n for n, batch in enumerate(told.batches) if batch.number == number), None)
    if place is None:
        do = f"read batch {number} or say how it ended first; a batch struck through is left out"
        raise NotEnoughEvidence("what to change", have=0, need=1, do=do)
    row, moved = _on_the_shelf(told, told.book.batches[place].fractions)
    asked = asked_of(told, _part(told, row, typed))
    return Said(
        batch=told.batches[place],
        levers=levers(asked, row),
        part=asked.part,
        cracked=number in cracked(told),
        words={line.name: line.words for line in told.book.brief.lines},
        moved=moved,
        campaign=told,
    )


def asked_of(told: Campaign, part: Part) -> Asked:
    """What this bench knows, as levers ask for it."""
    return Asked(
        belief=told.book.belief(),
        aim=told.book.aim(),
        brief=told.book.brief,
        keys=told.book.keys,
        allowed=frozenset(lot.name for lot in told.lots_now),
        part=part,
    )


def cracked(told: Campaign) -> list[int]:
    """Numbers of the batches that cracked: more than the brief bears, else visibly, else said so. Oldest first."""
    line = told.book.brief.line(CRACK)
    most = line.high if line is not None and line.high is not None else CRACKED_FROM - 0.5
    found = []
    read = (one.mixed for one in told.book.batches[: len(told.batches)])
    for batch, mixed in zip(told.batches, read, strict=True):
        grades = [seen.value for seen in mixed.readings if seen.gauge.name == CRACK]
        if grades[-1] > most if grades else mixed.outcome.has(Ending.CRACKED):
            found.append(batch.number)
    return found


def has_cracked(batch: Batch) -> bool:
    """The same of one batch alone, without telling a notebook anything."""
    rows = standing_readings(batch, CRACK)
    if rows:
        most = windows_of(Brief.objects.last()).get(CRACK, (None, None))[1]
        return rows[-1].headline_value > (CRACKED_FROM - 0.5 if most is None else most)
    words = last_outcome(batch)
    return words is not None and read_outcome(words.words).has(Ending.CRACKED)


def last_cracked() -> int | None:
    """The newest batch that cracked, of those of late."""
    late = standing_batches().order_by("-number")[:OF_LATE]
    return next((batch.number for batch in late if has_cracked(batch)), None)


def weighable(fractions: Mapping[str, float]) -> dict[str, float]:
    kept = {name: part for name, part in fractions.items() if name == WATER or part >= SPECK}
    whole = sum(kept.values())
    return {name: part / whole for name, part in kept.items()}


def _moisture(parts: Mapping[str, float]) -> dict[str, float]:
    return {lot.name: moisture_of(lot).value.mid for lot in Lot.objects.filter(name__in=list(parts))}


def _dry(parts: Mapping[str, float], moisture: Mapping[str, float]) -> float:
    return sum(part * (1 - moisture.get(name, 1.0)) for name, part in parts.items())


def _on_the_shelf(told: Campaign, row: tuple[float, ...]) -> tuple[tuple[float, ...], dict[str, str]]:
    """The recipe from the lots there are today: what is used up or old gives way to the newest of its kind."""
    names = {lot.name: ingredient_of(lot).key for lot in Lot.objects.filter(name__in=list(told.book.keys))}
    newest = {ingredient_of(lot).key: lot.name for lot in told.lots_now}
    parts, moved = dict.fromkeys(told.book.keys, 0.0), {}
    for name, part in zip(told.book.keys, row, strict=True):
        now = newest.get(names.get(name, ""), name)
        if part > 0 and now != name:
            moved[name] = now
        parts[now] += part
    return tuple(parts.values()), moved


def _part(told: Campaign, row: tuple[float, ...], typed: Mapping[str, str]) -> Part:
    wall = read_optional(typed.get("wall_mm"), "Thickness of the wall", WALL)
    covered = typed.get("covered", "").strip()
    if covered not in YES_NO:
        raise Problem("dried under a cover is yes, no, or left open")
    machine = told.book.machine
    return Part(
        nozzle_m=to_si(machine.nozzle_mm if machine else USUAL_NOZZLE_MM, "mm"),
        water_kg_m3=water_in(told.book.space, np.array(row)),
        wall_m=None if wall is None else to_si(wall, "mm"),
        largest_grain_m=_coarsest(told, row),
        covered=YES_NO[covered],
    )


def _coarsest(told: Campaign, row: tuple[float, ...]) -> float | None:
    """Largest grain among the fillers of the recipe; None where one of them is not known."""
    used = [name for name, part in zip(told.book.keys, row, strict=True) if part > 0 and name != WATER]
    lots = [lot for lot in Lot.objects.filter(name__in=used) if Role(lot.role) in {Role.FILLER, Role.FIBRE}]
    sizes = [grains_of(lot).largest_m for lot in lots]
    return None if None in sizes or not sizes else max(size for size in sizes if size is not None)
