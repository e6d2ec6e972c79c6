"""What is said of a new lot, in words and rows for its page. Numbers come from the answer as given."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from slake.actions.grain_sizes import nozzle_line
from slake.actions.lot_change import MOISTURE_WEIGHED, SIEVED, WATER_MEASURED
from slake.actions.lot_grams import FILLS, Grams, Then
from slake.bench.shelf import test_of_reading
from slake.paste.ingredients import HowKnown
from slake.records.models import Lot
from slake.records.values import DEMAND_TEST, MOISTURE_TEST, SIEVE_TEST, ingredient_of, moisture_of, water_demand_of

from .words import figures

WORK = {
    WATER_MEASURED: (DEMAND_TEST, "water it drinks: 10 g and a dripper, ten minutes' hands-on"),
    SIEVED: (SIEVE_TEST, "sieve: what stays on it and what falls through, ten minutes' hands-on"),
    MOISTURE_WEIGHED: (MOISTURE_TEST, "moisture: ten minutes' hands-on, the oven works overnight; may follow tomorrow"),
}


@dataclass(frozen=True, kw_only=True)
class Work:
    """One of the ten-minute looks at a new lot."""

    test: str
    words: str
    done: bool


@dataclass(frozen=True, kw_only=True)
class ThenRow:
    """If the stiffness test shows this at the start, that much water more."""

    reading: str
    start: str
    likely: str
    up_to: str
    enough: bool


@dataclass(frozen=True, kw_only=True)
class Kin:
    """A lot of the same material, and what is known of it."""

    lot: Lot
    drinks: str
    moisture: str
    mixed: int


def to_do(measured: Mapping[str, bool]) -> list[Work]:
    return [Work(test=WORK[what][0], words=WORK[what][1], done=done) for what, done in measured.items()]


def ingredient_lots(lot: Lot) -> list[Kin]:
    """Every lot of this material, oldest first."""
    kind = ingredient_of(lot).key
    rows = [one for one in Lot.objects.filter(role=lot.role) if ingredient_of(one).key == kind]
    return [_kin(row) for row in rows]


def _kin(row: Lot) -> Kin:
    demand, moisture = water_demand_of(row), moisture_of(row)
    return Kin(
        lot=row,
        drinks=f"{demand.value.mid:.2f} g/g dry ({demand.how.value})",
        moisture=f"{100 * moisture.value.mid:.1f} % ({moisture.how.value})",
        mixed=row.amount_set.values("batch").distinct().count(),
    )


def grain_lines(answer: Mapping[str, Any], lot: Lot) -> list[str]:
    """What sieves said of the new lots, a sentence each; where they cannot, that they cannot. Fillers only."""
    rows = answer["lot_change"].get("grains", [])
    found = [_grain_line(row) for row in rows]
    if lot.role in FILLS and lot.name not in {row["lot"] for row in rows}:
        found.append(
            f"The sieve changes no number yet: {lot.name} and the lot before it both need a sieve split, or the sieve "
            "they passed. Finer drinks more and clogs less; coarser the other way."
        )
    nozzle = nozzle_line(lot)
    return [*found, f"{nozzle[0].upper()}{nozzle[1:]}."] if nozzle else found


def _grain_line(row: Mapping[str, Any]) -> str:
    low, mid, high = (f"{value:.2f}" for value in row["drinks"])
    by = "by sieve splits of both" if row["split"] else "at their largest, by the sieves both passed"
    return (
        f"Grains of {row['lot']} are {row['times']:.2f} times as large as those of {row['old']} {by}: it is expected "
        f"to drink {mid} times what it would else ({low} to {high}, 8 times in 10; common practice, no source)"
        f"{_held_in_drip(row)}. What grains do to force, standing and clogging is not reckoned."
    )


def _held_in_drip(row: Mapping[str, Any]) -> str:
    dripped = water_demand_of(Lot.objects.get(name=row["lot"])).how is HowKnown.MEASURED
    return ", for its drip test holds most of that already" if dripped else ""


def water_words(grams: Grams) -> str:
    """The one sentence: how much water more or less than the recipe has."""
    change = grams.water_change
    if change is None:
        return "The brief has no line of stiffness, so no range of water can be given."
    return f"Water: {_signed(change.mid)} g (8 times in 10: {_signed(change.low)} to {_signed(change.high)} g)"


def _signed(value: float) -> str:
    return f"{value:+.1f}".replace("-", "−")


def _unit(answer: Mapping[str, Any]) -> str:
    test = test_of_reading(answer["lot_change"]["watered"]["line"])
    return test.notebook_unit if test else ""


def shown_at_start(answer: Mapping[str, Any]) -> str:
    """What the stiffness test should show once the first water is in."""
    watered = answer["lot_change"]["watered"]
    if not watered:
        return ""
    unit = _unit(answer)
    low, mid, high = (figures(value, unit) for value in watered["shows_at_start"])
    return f"{mid} {unit} ({low} to {high} {unit}, 8 times in 10)"


def range_words(answer: Mapping[str, Any], then: Sequence[Then]) -> list[ThenRow]:
    """The table of what to add once the start was read."""
    if not then:
        return []
    unit = _unit(answer)
    return [
        ThenRow(
            reading=f"{figures(row.reading, unit)} {unit}",
            start=f"{row.start_g:.1f}",
            likely=f"{max(row.more_g.mid, 0):.1f}",
            up_to=f"{max(row.more_g.high, 0):.1f}",
            enough=row.more_g.mid <= 0.05,
        )
        for row in then
    ]
