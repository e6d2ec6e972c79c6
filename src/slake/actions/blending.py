"""Lots poured together: always a new lot that keeps all its parents, never an old one topped up without a word."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from slake.ground.numbers import read_number
from slake.ground.problems import DoesNotFit, Problem
from slake.ground.units import from_si, to_si
from slake.paste.blending import coarsest_m
from slake.paste.ingredients import Role, find
from slake.records.models import Blend, Lot, StockMove
from slake.records.values import parents_of

from .entry import Entry, recorded, short_name, short_text
from .lots import GRAMS, free_name, take_out

MOST_PARENTS = 12
MOST_GENERATIONS = 40
Poured = tuple[Lot, float]


def blend_lots(entry: Entry, rows: Sequence[Mapping[str, str]], typed: Mapping[str, str]) -> Lot:
    """A new lot of two lots or more. Everything is booked in one transaction: out of each parent, into the child."""
    with recorded(entry, "blend lots", {"rows": [dict(row) for row in rows], **typed}) as log:
        if log.before is not None:
            return Lot.objects.get(pk=log.before["lot"])
        poured = _poured(rows)
        child = _child(entry, poured, typed)
        for number, (lot, grams) in enumerate(poured, 1):
            take_out(lot, grams, entry, "blended", note=f"into {child.name}")
            Blend.objects.create(child=child, parent=lot, grams=grams, at=entry.at, entry=entry.part(f"blend{number}"))
        total = sum(grams for _, grams in poured)
        StockMove.objects.create(
            lot=child, grams=total, why="came in", at=entry.at, note="blended", entry=entry.part("child")
        )
        log.answer = {"lot": child.pk}
        return child


def _poured(rows: Sequence[Mapping[str, str]]) -> list[Poured]:
    """The lots and grams of a blend, each lot once."""
    filled = [row for row in rows if str(row.get("lot", "")).strip() or str(row.get("grams", "")).strip()]
    if not 2 <= len(filled) <= MOST_PARENTS:
        raise DoesNotFit(
            f"a blend takes 2 to {MOST_PARENTS} lots and {len(filled)} are given: choose each and its grams"
        )
    poured = [_one(row) for row in filled]
    names = [lot.name for lot, _ in poured]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise DoesNotFit(f"{twice} is chosen twice, but a lot is not blended with itself: put all its grams in one row")
    return poured


def _one(row: Mapping[str, str]) -> Poured:
    number = str(row.get("lot", "")).strip()
    lot = (
        Lot.objects.filter(pk=int(number)).first()
        if number.isascii() and number.isdigit() and len(number) < 10
        else None
    )
    if lot is None:
        raise Problem("a row of the blend has no lot of this bench: choose one from the list")
    return lot, read_number(row.get("grams", ""), f"grams of {lot.name}", GRAMS)


def _child(entry: Entry, poured: Sequence[Poured], typed: Mapping[str, str]) -> Lot:
    lots = [lot for lot, _ in poured]
    if max(_generation(lot, {}) for lot in lots) >= MOST_GENERATIONS:
        raise Problem(f"these lots have {MOST_GENERATIONS} blends behind them already: take the sack in as a new lot")
    ingredient, role = _what(lots, typed)
    openings = [None if lot.sieve_um is None else to_si(lot.sieve_um, "um") for lot in lots]
    coarsest = coarsest_m(openings)
    wanted = short_text(typed.get("name"), "the name of the blend", 70)
    return Lot.objects.create(
        name=free_name(wanted or " + ".join(lot.name for lot in lots)[:70]),
        ingredient=ingredient,
        role=role,
        since=entry.at,
        sieve_um=None if coarsest is None else round(from_si(coarsest, "um"), 6),
        dried=_dried([lot.dried for lot in lots]),
        note=short_text(typed.get("note"), "the note"),
    )


def _generation(lot: Lot, seen: dict[int, int]) -> int:
    """How many blends lie behind a lot, counted along the longest line."""
    if lot.pk not in seen:
        seen[lot.pk] = max((1 + _generation(row.parent, seen) for row in parents_of(lot)), default=0)
    return seen[lot.pk]


def _what(lots: Sequence[Lot], typed: Mapping[str, str]) -> tuple[str, str]:
    """Ingredient and role: the parents' where they are alike; else as the person calls it, by a name of its own."""
    ingredients, roles = {lot.ingredient for lot in lots}, {lot.role for lot in lots}
    ingredient = ingredients.pop() if len(ingredients) == 1 else _own_name(typed.get("ingredient", ""))
    if len(roles) == 1:
        return ingredient, roles.pop()
    role = typed.get("role", "").strip().lower()
    if role not in {one.value for one in Role}:
        raise Problem("these lots have different roles: say what the blend is there for, such as filler")
    return ingredient, role


def _own_name(typed: str) -> str:
    """A blend of unlike ingredients is none of the list: their cautions would be lost under another's name."""
    name = short_name(typed, "what the blend is to be called as an ingredient")
    known = find(name)
    if known is not None:
        raise Problem(
            f"{known.name} is one ingredient and this is a blend of several: give it a name of its own, "
            "such as “shell and grain mix”"
        )
    return name


def _dried(said: Sequence[bool | None]) -> bool | None:
    """Dried where all parents are; not where one is not; else not known."""
    if False in said:
        return False
    return None if None in said else True
