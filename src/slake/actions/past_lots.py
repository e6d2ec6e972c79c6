"""Which lot each ingredient column of a sheet means: one of the bench, or a new one that is still to be made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from slake.campaign.past.headings import split_heading
from slake.campaign.past.meanings import Column, Means, Settled
from slake.campaign.past.rows import MixRow
from slake.ground.numbers import read_optional
from slake.ground.problems import Problem
from slake.ground.units import to_si
from slake.paste.ingredients import Role, find, typical_of_role
from slake.paste.lot import usual_moisture
from slake.records.models import Lot
from slake.records.values import ingredient_of, moisture_of

from .entry import Entry
from .lots import LOT_LIMITS, MOST_LOTS, take_lots

NEW = "new:"
AS_KNOWN = "new:as slake knows it"
MOST_LABELS = 200
LONGEST_LOT = 70
Picks = Mapping[str, Mapping[str, str]]
"""By column number: {"pick": a lot's number, or "new:" and a role; "moisture": wet basis in %, or ""}."""


@dataclass(frozen=True, kw_only=True)
class Planned:
    """A lot as the rows will name it. `made_of` is what take_lots needs, for one that is still to be made."""

    key: str
    moisture_wet_basis: float
    lot: Lot | None = None
    made_of: Mapping[str, str] | None = None


class LotPlan:
    """Finds the planned lot of a column and a label; the same pair is the same lot."""

    def __init__(self, settled: Settled, picks: Picks) -> None:
        """Raises Problem where a column's lot is not said, or is not on this bench."""
        self.lots = {lot.pk: lot for lot in Lot.objects.all()}
        self.by_name = {lot.name.casefold(): lot for lot in self.lots.values()}
        self.picks = picks
        self.columns = {column.at: column for column in settled.of(Means.AMOUNT)}
        self.found = {(at, ""): self._unlabelled(column) for at, column in self.columns.items()}

    def of(self, at: int, label: str) -> Planned:
        pair = (at, label.casefold())
        if pair not in self.found:
            if len(self.found) > MOST_LABELS:
                raise Problem(f"there are more than {MOST_LABELS} different lots: is the label's column the right one?")
            self.found[pair] = self._labelled(self.columns[at], label)
        return self.found[pair]

    def _unlabelled(self, column: Column) -> Planned:
        pick = self.picks.get(str(column.at), {}).get("pick", "")
        if pick.isascii() and pick.isdigit():
            lot = self.lots.get(int(pick))
            if lot is None:
                raise Problem(f"the lot picked for {column.words} is not on this bench: pick one that is")
            return _there(lot)
        if not pick.startswith(NEW):
            raise Problem(f"say which lot {column.words} means: one of the bench, or a new one")
        return self._to_make(column, pick, word_of(column))

    def _labelled(self, column: Column, label: str) -> Planned:
        name = f"{word_of(column)} {label}"
        known = self.by_name.get(label.casefold()) or self.by_name.get(name.casefold())
        if known is not None:
            return _there(known)
        plain = self.found[(column.at, "")]
        if plain.lot is not None:
            role = NEW + plain.lot.role
            return self._to_make(column, role, name, ingredient=plain.lot.ingredient)
        return self._to_make(column, self.picks[str(column.at)]["pick"], name)

    def _to_make(self, column: Column, pick: str, name: str, ingredient: str = "") -> Planned:
        role = "" if pick == AS_KNOWN else pick.removeprefix(NEW)
        word = ingredient or word_of(column)
        item = find(word) or typical_of_role(word, _role(role, column))
        what, limits = LOT_LIMITS["moisture_percent"]
        typed = self.picks.get(str(column.at), {}).get("moisture", "")
        stated = read_optional(typed, f"{what} of {word}", limits)
        moisture = usual_moisture(item, None).value.mid if stated is None else to_si(stated, "%")
        row = {"ingredient": word, "name": name, "role": role, "moisture_percent": typed, "note": "made from a sheet"}
        return Planned(key=f"new {column.at} {name}", moisture_wet_basis=moisture, made_of=row)


def word_of(column: Column) -> str:
    """What an ingredient is called by its heading, without the unit."""
    return split_heading(column.heading)[0][: LONGEST_LOT // 2].strip() or f"column {column.at + 1}"


def _role(role: str, column: Column) -> Role:
    try:
        return Role(role)
    except ValueError:
        raise Problem(f"{column.words} is not in slake's list: say what it is there for, such as filler") from None


def _there(lot: Lot) -> Planned:
    return Planned(key=f"lot {lot.pk}", moisture_wet_basis=moisture_of(lot).value.mid, lot=lot)


def made_lots(entry: Entry, planned: Iterable[Planned]) -> dict[str, Lot]:
    """Every planned lot by key, the missing ones made now, inside somebody's transaction."""
    wanted = {one.key: one for one in planned}
    lots = {key: one.lot for key, one in wanted.items() if one.lot is not None}
    rows = [(key, one.made_of) for key, one in wanted.items() if one.made_of is not None]
    for start in range(0, len(rows), MOST_LOTS):
        some = rows[start : start + MOST_LOTS]
        part = Entry(id=entry.part(f"lots{start}"), at=entry.at, person=entry.person)
        made = take_lots(part, [row for _, row in some])
        lots |= {key: lot for (key, _), lot in zip(some, made, strict=True)}
    return lots


def suggested(column: Column, lots: Sequence[Lot]) -> str:
    """The pick that suits a heading: the newest lot of that name or ingredient, else a new one where slake knows it."""
    word = word_of(column)
    meant = find(word)
    newest = sorted(lots, key=lambda lot: -lot.pk)
    named = next((lot for lot in newest if word.casefold() in {lot.name.casefold(), lot.ingredient.casefold()}), None)
    alike = next((lot for lot in newest if meant is not None and ingredient_of(lot).key == meant.key), None)
    found = named or alike
    if found is not None:
        return str(found.pk)
    return AS_KNOWN if meant is not None else ""


def received(plan: LotPlan, row: MixRow) -> dict[str, tuple[Planned, float]]:
    """Amounts of a row by the lot they came from; two columns of one lot are added."""
    found: dict[str, tuple[Planned, float]] = {}
    for at, amount in row.amounts.items():
        planned = plan.of(at, row.labels.get(at, ""))
        found[planned.key] = (planned, amount + found.get(planned.key, (planned, 0.0))[1])
    return found
