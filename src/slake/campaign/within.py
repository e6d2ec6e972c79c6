"""What there is to work with today: grams of each lot, the size of a batch, how many batches, and days to wait."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import DoesNotFit, OutsideRange, plain
from slake.ground.units import from_si

from .brief import Brief
from .choose import Aim
from .priors import CRACKS, SHRINKAGE, STRENGTH

Array = NDArray[np.float64]
Box = tuple[Array, Array]
MOST_AT_ONCE = 3
DRY_FROM_DAYS, DRY_TO_DAYS = 3.0, 7.0
"""Printed pieces dry in air in three to seven days: common practice, no source."""
READ_DRY = {SHRINKAGE.name, CRACKS.name, STRENGTH.name}
NOT_READ_SD = 1e3
LEAST_PASTE_KG, MOST_PASTE_KG = 0.005, 100.0


@dataclass(frozen=True, kw_only=True)
class Today:
    """count: batches that can be mixed now. paste_kg: wet paste of each, None where it does not matter.

    stock_kg: ingredient -> what is left of it as received; what is not named is not counted. days: until the recipe
    is needed, None where there is time.
    """

    count: int = 1
    paste_kg: float | None = None
    stock_kg: Mapping[str, float] = field(default_factory=dict)
    days: float | None = None

    def __post_init__(self) -> None:
        if not 1 <= self.count <= MOST_AT_ONCE:
            do = "mix three now, and ask again with their wet readings"
            raise OutsideRange("batches to mix now", got=self.count, low=1, high=MOST_AT_ONCE, do=do)
        if self.paste_kg is not None and not LEAST_PASTE_KG <= self.paste_kg <= MOST_PASTE_KG:
            do = "give the grams of wet paste of one batch"
            raise OutsideRange(
                "paste of one batch (kg)", got=self.paste_kg, low=LEAST_PASTE_KG, high=MOST_PASTE_KG, do=do
            )
        if self.days is not None and not 0 <= self.days <= 3650:
            raise OutsideRange("days until it is needed", got=self.days, low=0, high=3650, do="leave it open")

    @property
    def dries(self) -> bool:
        """Whether a piece printed today can be read dry in time."""
        return self.days is None or self.days >= DRY_FROM_DAYS

    def less(self, keys: Sequence[str], fractions: Array) -> Today:
        """What is left after one batch of these fractions."""
        taken = dict(zip(keys, map(float, fractions), strict=True))
        left = {key: kg - taken.get(key, 0.0) * (self.paste_kg or 0.0) for key, kg in self.stock_kg.items()}
        return replace(self, stock_kg={key: max(kg, 0.0) for key, kg in left.items()})


def dried_lines(brief: Brief) -> list[str]:
    """Names of the lines that are read of the dried piece."""
    return [line.name for line in brief.lines if line.gauge.channel.name in READ_DRY]


def readable_in_time(aim: Aim, today: Today) -> Aim:
    """The aim where only what can be read in time teaches: what is read dry does not, when there is no time."""
    if today.dries:
        return aim
    dry = np.array([look.channel in READ_DRY for look in aim.looks])
    return replace(aim, reading_sd=np.where(dry, NOT_READ_SD, aim.reading_sd))


def in_stock(box: Box, keys: Sequence[str], today: Today) -> Box:
    """Bounds in which every recipe of this size can be weighed. Raises DoesNotFit with the lots that run out."""
    if today.paste_kg is None or not today.stock_kg:
        return box
    low, high = box
    most = np.minimum(high, _there(keys, today) / today.paste_kg)
    short = [key for key, least, now in zip(keys, low, most, strict=True) if now < least - 1e-12]
    if short or most.sum() < 1 - 1e-9:
        scarce = short or [key for key, now, was in zip(keys, most, high, strict=True) if now < was]
        raise DoesNotFit(_too_much(box, keys, today, scarce))
    return low, most


def _there(keys: Sequence[str], today: Today) -> Array:
    return np.array([today.stock_kg.get(key, np.inf) for key in keys])


def _too_much(box: Box, keys: Sequence[str], today: Today, scarce: Sequence[str]) -> str:
    left = ", ".join(f"{plain(round(from_si(today.stock_kg[key], 'g'), 1))} g of {key}" for key in scarce)
    wanted, most = from_si(today.paste_kg or 0.0, "g"), from_si(largest_paste_kg(box, keys, today), "g")
    do = f"mix {plain(float(np.floor(most)))} g or less" if most >= from_si(LEAST_PASTE_KG, "g") else "get more of it"
    return f"{plain(wanted)} g of paste cannot be weighed within the bounds: there are {left} left: {do}"


def largest_paste_kg(box: Box, keys: Sequence[str], today: Today) -> float:
    """The largest batch of which some recipe within the bounds can still be weighed."""
    low, high = box
    there = _there(keys, today)

    def fits(kg: float) -> bool:
        most = np.minimum(high, there / kg)
        return bool((most >= low - 1e-12).all() and most.sum() >= 1 - 1e-9)

    small, large = 0.0, MOST_PASTE_KG
    for _ in range(50):
        middle = (small + large) / 2
        small, large = (middle, large) if fits(middle) else (small, middle)
    return small


def batches_left(fractions: Mapping[str, float], today: Today) -> tuple[int, str] | None:
    """How many batches of a recipe the stock makes, and what runs out first; None where nothing is counted."""
    if today.paste_kg is None:
        return None
    counts = {
        key: today.stock_kg[key] / (part * today.paste_kg)
        for key, part in fractions.items()
        if part > 0 and key in today.stock_kg
    }
    if not counts:
        return None
    first = min(counts, key=lambda key: counts[key])
    return int(counts[first] + 1e-9), first


def waiting_words(brief: Brief, today: Today) -> str:
    """What the days there are let one read, in a sentence; "" where there is time for all."""
    dry = [line.gauge.words for line in brief.lines if line.name in dried_lines(brief)]
    if today.days is None or not dry or today.days >= DRY_TO_DAYS:
        return ""
    wet = [line.gauge.words for line in brief.lines if line.name not in dried_lines(brief)]
    span = f"printed pieces dry in {DRY_FROM_DAYS:.0f} to {DRY_TO_DAYS:.0f} days (common practice, no source)"
    if today.dries:
        return f"In {plain(today.days)} days {', '.join(dry)} may or may not be read: {span}."
    settled = (
        f"only wet readings can settle anything by then: {', '.join(wet)}" if wet else "nothing is settled by then"
    )
    return f"In {plain(today.days)} days nothing is dry enough for {', '.join(dry)}: {span}; {settled}."
