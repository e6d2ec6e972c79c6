"""Lots come in, are described, weighed in and out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.db.models import Count, Q, Sum

from slake.ground.numbers import Limits, read_in_units, read_number, read_optional
from slake.ground.problems import DoesNotFit, Problem, plain
from slake.paste.batch import HELD_BACK
from slake.paste.ingredients import Role, close_to, find
from slake.paste.recipe import WATER
from slake.records.models import Lot, StockMove
from slake.records.models.materials import STOCK_WHY

from .entry import Entry, recorded, refuse_if_moved, short_name, short_text

MOST_LOTS = 30
GRAMS = Limits(low=0.001, high=1e6, unit="g", do="weigh it again")
MOVED = Limits(low=-1e6, high=1e6, unit="g")
LOT_LIMITS = {
    "sieve_um": ("sieve opening", Limits(low=1, high=20000, unit="um")),
    "moisture_percent": ("moisture (wet basis)", Limits(low=0, high=99, unit="%")),
    "water_demand": ("water demand", Limits(low=0, high=20, unit="g/g")),
}
YES_NO = {"yes": True, "no": False, "": None, "don't know": None}


def take_lots(entry: Entry, rows: Sequence[Mapping[str, str]]) -> list[Lot]:
    """New lots, all or none. Only the ingredient is needed; a lot without a name is called after it."""
    with recorded(entry, "take lots", {"rows": [dict(row) for row in rows]}) as log:
        if log.before is not None:
            return list(Lot.objects.filter(pk__in=log.before["lots"]))
        filled = [row for row in rows if any(str(text).strip() for text in row.values())]
        if not 0 < len(filled) <= MOST_LOTS:
            raise Problem(f"there are {len(filled)} lots, but 1 to {MOST_LOTS} fit in one go: fill in at least one")
        lots = [_new_lot(entry, number, row) for number, row in enumerate(filled, 1)]
        log.answer = {"lots": [lot.pk for lot in lots]}
        return lots


def _new_lot(entry: Entry, number: int, row: Mapping[str, str]) -> Lot:
    typed = short_name(row.get("ingredient"), f"the ingredient of lot {number}")
    known = find(typed)
    name = short_text(row.get("name"), "the name of the lot", 70) or (known.name if known else typed)
    _refuse_water(known.key if known else typed, name)
    lot = Lot.objects.create(
        name=free_name(name),
        ingredient=known.key if known else typed,
        role=_role(row.get("role", ""), known.role if known else None, typed),
        since=entry.at,
        note=short_text(row.get("note"), "the note"),
        dried=_yes_no(row.get("dried", "")),
        **{key: _read(row.get(key), key, f" of {typed}") for key in LOT_LIMITS},
    )
    grams = read_optional(row.get("grams"), f"grams of {typed}", GRAMS)
    if grams is not None:
        StockMove.objects.create(lot=lot, grams=grams, why="came in", at=entry.at, entry=entry.part(f"stock{number}"))
    return lot


def _read(typed: str | None, key: str, of: str = "") -> float | None:
    """A number of a lot; a sieve opening may be said in mm too."""
    what, limits = LOT_LIMITS[key]
    return read_in_units(typed, f"{what}{of}", limits, ("mm",) if limits.unit == "um" else ())


def _refuse_water(ingredient: str, name: str) -> None:
    """Water comes from the tap into every batch: a lot called so would be taken for it."""
    if {ingredient.casefold(), name.casefold()} & {WATER, HELD_BACK}:
        raise Problem("water is always there and is no lot: leave it out, or give the lot another name")


def free_name(wanted: str) -> str:
    """The name wanted, with a number behind it where a lot has it already."""
    taken = set(Lot.objects.values_list("name", flat=True))
    return next(name for n in range(1, 10_000) if (name := wanted if n == 1 else f"{wanted} {n}") not in taken)


def _role(typed: str, known: Role | None, ingredient: str) -> str:
    if typed.strip():
        try:
            return Role(typed.strip().lower()).value
        except ValueError:
            roles = ", ".join(role.value for role in Role)
            raise Problem(f"the role of {ingredient} is “{typed[:30]}”: choose one of {roles}") from None
    if known is None:
        alike = close_to(ingredient)
        meant = f"if it is {alike.name}, type that; if not, " if alike else ""
        raise Problem(
            f"{ingredient[:40]} is not in slake's list: {meant}open More and say what it is there for, "
            "such as filler, thickener or binder"
        )
    return known.value


def _yes_no(typed: str) -> bool | None:
    word = typed.strip().lower()
    if word not in YES_NO:
        raise Problem(f"dried is “{typed[:20]}”: say yes, no or leave it open")
    return YES_NO[word]


def describe_lot(entry: Entry, lot_id: int, typed: Mapping[str, str], revision: int | None = None) -> Lot:
    """Say more of a lot, or say it better. Readings stay as they are and outrank what is said here."""
    with recorded(entry, "describe lot", {"lot": lot_id, **typed}) as log:
        lot = Lot.objects.get(pk=lot_id)
        if log.before is not None:
            return lot
        refuse_if_moved(lot.name, lot.revision, revision)
        for key in LOT_LIMITS:
            if key in typed:
                setattr(lot, key, _read(typed[key], key))
        if "dried" in typed:
            lot.dried = _yes_no(typed["dried"])
        if "note" in typed:
            lot.note = short_text(typed["note"], "the note")
        lot.revision += 1
        lot.save()
        return lot


def stock_g(lot: Lot) -> float | None:
    """Grams left as received; None where nobody ever said how much there was."""
    if "moves" in getattr(lot, "_prefetched_objects_cache", {}):
        moves = lot.moves.all()
        return sum(move.grams for move in moves) if any(move.why == "came in" for move in moves) else None
    found = lot.moves.aggregate(all=Sum("grams"), counted=Count("pk", filter=Q(why="came in")))
    return found["all"] if found["counted"] else None


def stocks_g() -> dict[int, float]:
    """Grams left of every lot somebody counted, by row; in one query."""
    sums = StockMove.objects.values("lot").annotate(all=Sum("grams"), counted=Count("pk", filter=Q(why="came in")))
    return {row["lot"]: row["all"] for row in sums.order_by("lot") if row["counted"]}


def move_stock(entry: Entry, lot_id: int, grams: str, why: str) -> StockMove:
    """Grams in or out with a reason. Where stock is counted it never falls below zero."""
    with recorded(entry, "move stock", {"lot": lot_id, "grams": grams, "why": why}) as log:
        if log.before is not None:
            return StockMove.objects.get(pk=log.before["move"])
        if why not in STOCK_WHY:
            raise Problem(f"the reason is “{why[:30]}”: choose one of {', '.join(STOCK_WHY)}")
        lot = Lot.objects.get(pk=lot_id)
        amount = read_number(grams, "grams", GRAMS if why == "came in" else MOVED)
        if why == "put right":
            _refuse_uncounted(lot)
            _refuse_less_than_nothing(lot, amount)
        signed = amount if why in {"came in", "put right"} else -abs(amount)
        move = take_out(lot, -signed, entry, why)
        log.answer = {"move": move.pk}
        return move


def _refuse_uncounted(lot: Lot) -> None:
    """A difference says nothing where nobody ever said how much there was: it would stay uncounted without a word."""
    if stock_g(lot) is not None:
        return
    taken = -sum(move.grams for move in lot.moves.all())
    plus = f", plus the {plain(round(taken, 1))} g already taken from it" if taken > 0 else ""
    raise DoesNotFit(
        f"{lot.name} is not counted yet, because nobody said how much came in, so there is nothing to put right: "
        f"choose “came in” and give what is in the sack now{plus}"
    )


def _refuse_less_than_nothing(lot: Lot, difference: float) -> None:
    left = stock_g(lot) or 0.0
    if left + difference < -1e-9:
        raise DoesNotFit(
            f"{lot.name} has {plain(round(left, 1))} g in the book, and a difference of {plain(difference)} g would "
            f"leave less than nothing: weigh what is there and type the difference: {plain(-round(left, 1))} g or more"
        )


def take_out(lot: Lot, grams: float, entry: Entry, why: str, **batch: object) -> StockMove:
    """One line of the stock ledger, inside somebody's transaction. Raises DoesNotFit where less is there."""
    left = stock_g(lot)
    if left is not None and grams > left + 1e-9:
        raise DoesNotFit(
            f"{lot.name} has {plain(round(left, 1))} g left and this takes {plain(round(grams, 1))} g: "
            "put the stock right first if the sack says otherwise"
        )
    part = entry.part(f"{why[:6]}{lot.pk}")
    return StockMove.objects.create(lot=lot, grams=-grams, why=why, at=entry.at, entry=part, **batch)
