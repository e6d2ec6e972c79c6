"""What was given for a new lot, in grams at the person's own batch size. Reads only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from slake.ground.evidence import Range
from slake.ground.numbers import Limits, read_optional
from slake.paste.ingredients import Role
from slake.paste.recipe import WATER
from slake.records.models import Batch, Lot, ProposalGiven
from slake.records.values import moisture_of

from .sizes import received_g

PASTE = Limits(low=20, high=100_000, unit="g", do="give the wet paste of one batch of your recipe")
FILLS = (Role.FILLER.value, Role.FIBRE.value)


@dataclass(frozen=True, kw_only=True)
class Changed:
    """One ingredient: grams as received in the recipe as it was and as it should be now. before: its earlier lot."""

    name: str
    before: str
    was_g: float
    now_g: float

    @property
    def more_g(self) -> float:
        return self.now_g - self.was_g


@dataclass(frozen=True, kw_only=True)
class Then:
    """What the stiffness test shows at the start, and the water to add then."""

    reading: float
    more_g: Range

    @property
    def start_g(self) -> float:
        """The careful end; nothing where the start is soft enough already."""
        return max(self.more_g.low, self.more_g.mid / 2 if self.more_g.mid > 0 else 0.0)


@dataclass(frozen=True, kw_only=True)
class Grams:
    """paste_g: of the recipe as it was. water: all the water to add, with its range; start_g: to weigh in first."""

    paste_g: float
    dry_g: float
    rows: tuple[Changed, ...]
    water: Range | None
    start_g: float
    then: tuple[Then, ...]

    @property
    def water_change(self) -> Range | None:
        """Against the water of the recipe as it was."""
        was = next(row.was_g for row in self.rows if row.name == WATER)
        return None if self.water is None else _shifted(self.water, -was)

    @property
    def held_g(self) -> float:
        now = next(row.now_g for row in self.rows if row.name == WATER)
        return max(now - self.start_g, 0.0)


def _shifted(value: Range, by: float) -> Range:
    return Range(low=value.low + by, mid=value.mid + by, high=value.high + by)


def usual_paste_g(given: ProposalGiven) -> float:
    """The batch the recipe is known from."""
    return sum(received_g(Batch.objects.get(number=given.answer["lot_change"]["batch"])).values())


def grams_of(given: ProposalGiven, typed: Mapping[str, str]) -> Grams:
    """At the size asked for, else that of the batch it is known from: the filler weighs what it weighed there, dry."""
    asked = read_optional(typed.get("paste_g"), "paste of one batch", PASTE)
    paste_g = usual_paste_g(given) if asked is None else asked
    said, parts = given.answer["lot_change"], given.answer["fractions"]
    lots = {lot.name: lot for lot in Lot.objects.filter(name__in={*parts, *said["was"]})}
    filler = [name for name, lot in lots.items() if lot.role in FILLS] or list(lots)
    times = paste_g * _sum(said["carried"], filler) / _sum(parts, filler)
    now = {name: part * times for name, part in parts.items()}
    dry_g = sum(grams * (1 - moisture_of(lots[name]).value.mid) for name, grams in now.items() if name != WATER)
    watered = said["watered"]
    return Grams(
        paste_g=paste_g,
        dry_g=dry_g,
        rows=_rows(said, paste_g, now),
        water=_times(watered["water"], now[WATER]) if watered else None,
        start_g=now[WATER] * min(watered["start"], 1.0) if watered else now[WATER],
        then=_then(watered, now[WATER]) if watered else (),
    )


def then_in_bowl(batch: Batch) -> tuple[Then, ...]:
    """Of a batch begun for a new lot: what to add by what it shows once its first water is in, in grams of this batch.

    Nothing for any other batch, and where its brief has no line of stiffness.
    """
    said = (batch.proposal.answer.get("lot_change") if batch.proposal else None) or {}
    first = batch.amounts.filter(lot=None, held_back=False).first()
    if not said.get("watered") or first is None:
        return ()
    return _then(said["watered"], first.target_g / said["watered"]["start"])


def _sum(parts: Mapping[str, float], names: list[str]) -> float:
    return sum(parts.get(name, 0.0) for name in names)


def _rows(said: Mapping[str, Mapping[str, float]], paste_g: float, now: Mapping[str, float]) -> tuple[Changed, ...]:
    old = {new: before for before, new in said["swapped"].items()}
    names = [*(name for name in now if name != WATER), WATER]
    return tuple(
        Changed(
            name=name,
            before=str(old.get(name, "")),
            was_g=paste_g * said["was"].get(str(old.get(name, name)), 0.0),
            now_g=now[name],
        )
        for name in names
    )


def _times(three: list[float], grams: float) -> Range:
    low, mid, high = (value * grams for value in three)
    return Range(low=low, mid=mid, high=high)


def _then(watered: Mapping[str, list[list[float]] | float], water_g: float) -> tuple[Then, ...]:
    rows, start = watered["then"], watered["start"]
    assert isinstance(rows, list) and isinstance(start, float)
    return tuple(Then(reading=reading, more_g=_times(three, water_g * start)) for reading, *three in rows)
