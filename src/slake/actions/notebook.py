"""A person's notebook comes in: lines pasted or typed, looked at first, then all of them kept or none."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass

from slake.bench.declaration import BenchTest
from slake.bench.fitting import choice_for, typed_alone
from slake.bench.shelf import test_of_reading
from slake.campaign.reading_lines import Line, Read, Trouble
from slake.campaign.reading_tables import read_lines
from slake.ground.problems import DoesNotFit, Problem
from slake.ground.units import to_si
from slake.paste.bases import recipe_from_received
from slake.paste.ingredients import Role, find
from slake.paste.recipe import WATER
from slake.records.models import Amount, Batch, Lot, Machine, Outcome, Recipe
from slake.records.values import ingredient_of, moisture_of

from .entry import Entry, recorded
from .mixing import next_number
from .reading import write_reading

SHOWN_LINE = 2000


@dataclass(frozen=True, kw_only=True)
class Preview:
    """What was read of a text: lines, what could not be read and why, which lot each word means, which none."""

    lines: tuple[Line, ...]
    troubles: tuple[Trouble, ...]
    matched: Mapping[str, Lot]
    words_unknown: tuple[str, ...]
    ignored: tuple[str, ...] = ()

    @property
    def problems(self) -> list[str]:
        said = [f"Line {t.number}: {t.why}" for t in self.troubles]
        return said + [f"“{word}” is no lot of this bench: say which one it means" for word in self.words_unknown]


@dataclass(frozen=True, kw_only=True)
class TakenIn:
    """The batches kept, or the same ones again where this entry was taken in before."""

    batches: tuple[Batch, ...]
    problems: tuple[str, ...] = ()


def look_at(text: str, lots_by_word: Mapping[str, int] | None = None) -> Preview:
    """What slake reads of a text, without keeping anything. Raises Problem for an empty or too long text."""
    read = read_lines(text)
    matched = _matched(read, lots_by_word or {})
    return Preview(
        lines=read.lines,
        troubles=(*read.troubles, *_misfits(read), *_coats(read, matched)),
        matched=matched,
        words_unknown=tuple(word for word in read.words if word not in matched),
        ignored=read.ignored,
    )


def _matched(read: Read, chosen: Mapping[str, int]) -> dict[str, Lot]:
    lots = list(Lot.objects.order_by("-id"))
    by_id = {lot.pk: lot for lot in lots}
    wanted = {word.strip().casefold(): pk for word, pk in chosen.items()}
    found = {}
    for word in read.words:
        lot = by_id.get(wanted.get(word, -1)) or _lot_called(word, lots)
        if lot is not None:
            found[word] = lot
    return found


def _lot_called(word: str, newest_first: list[Lot]) -> Lot | None:
    """The lot of that name, else the newest of the ingredient the word means, else the newest of the one ingredient
    whose name has the word in it.
    """
    meant = find(word)
    same_name = (lot for lot in newest_first if lot.name.casefold() == word)
    of_kind = (lot for lot in newest_first if meant is not None and ingredient_of(lot).key == meant.key)
    of_word = (lot for lot in newest_first if lot.ingredient.casefold() == word)
    part = [lot for lot in newest_first if word in f"{lot.name} {ingredient_of(lot).name}".casefold().split()]
    of_part = part[0] if len({ingredient_of(lot).key for lot in part}) == 1 else None
    return next(same_name, None) or next(of_kind, None) or next(of_word, None) or of_part


def _misfits(read: Read) -> list[Trouble]:
    """Readings their test cannot make, found before anything is kept."""
    troubles = []
    for line in read.lines:
        for name, (value, _) in line.readings.items():
            try:
                choice_for(_test(name), [value])
            except Problem as problem:
                troubles.append(Trouble(number=line.number, text=line.text, why=str(problem)))
    return troubles


def _coats(read: Read, matched: Mapping[str, Lot]) -> list[Trouble]:
    """Lines with a coat among the masses: it goes onto the dried part."""
    return [
        Trouble(
            number=line.number,
            text=line.text,
            why=f"{matched[word].name} is a coat and goes onto the dried part: leave it out of the paste",
        )
        for line in read.lines
        for word in line.masses
        if word in matched and Role(matched[word].role) is Role.COAT
    ]


def _test(name: str) -> BenchTest:
    found = test_of_reading(name)
    if found is None:
        raise Problem(f"no bench test reads {name}: leave it out")
    return found


def take_in(entry: Entry, text: str, lots_by_word: Mapping[str, int] | None = None) -> TakenIn:
    """Keep every line as a batch that was mixed before slake, or nothing where one line has a problem."""
    checksum = hashlib.sha256(text.encode()).hexdigest()
    with recorded(entry, "take in notebook", {"text": text, "lots": dict(lots_by_word or {})}, checksum) as log:
        if log.before is not None:
            return TakenIn(batches=tuple(Batch.objects.filter(pk__in=log.before["batches"])))
        seen = look_at(text, lots_by_word)
        if seen.problems:
            raise NotRead(seen)
        batches = tuple(_kept(entry, seen, line) for line in seen.lines)
        log.answer = {"batches": [batch.pk for batch in batches]}
        return TakenIn(batches=batches)


class NotRead(DoesNotFit):
    """All or nothing: the transaction is undone; the problems are in the message and in `preview`."""

    def __init__(self, preview: Preview) -> None:
        self.preview = preview
        super().__init__(" ".join(preview.problems[:5]))


def _kept(entry: Entry, seen: Preview, line: Line) -> Batch:
    received: dict[Lot, float] = {}
    for word, amount in line.masses.items():
        if word != WATER:
            received[seen.matched[word]] = received.get(seen.matched[word], 0.0) + amount
    water = line.masses[WATER]
    number = next_number()
    batch = Batch.objects.create(
        number=number,
        recipe=_recipe(entry, number, received, water),
        machine=Machine.objects.last(),
        since=entry.at,
        water_g=water,
        from_notebook=True,
        since_told=False,
        typed_line=line.text[:SHOWN_LINE],
    )
    rows = [*received.items(), (None, water)]
    for order, (lot, grams) in enumerate(rows, 1):
        Amount.objects.create(batch=batch, lot=lot, order=order, target_g=grams)
    _keep_what_happened(entry, seen, line, batch)
    return batch


def _recipe(entry: Entry, number: int, received: Mapping[Lot, float], water: float) -> Recipe:
    grams = {lot.name: amount for lot, amount in received.items()} | {WATER: water}
    recipe = recipe_from_received(grams, {lot.name: moisture_of(lot).value.mid for lot in received})
    return Recipe.objects.create(
        name=f"notebook {number}", since=entry.at, parts=dict(recipe.parts), water_per_dry=recipe.water_per_dry
    )


def _keep_what_happened(entry: Entry, seen: Preview, line: Line, batch: Batch) -> None:
    for name, (value, minutes) in line.readings.items():
        test = _test(name)
        choice = choice_for(test, [one.readings[name][0] for one in seen.lines if name in one.readings])
        if line.all_stood and name == "layers_stood":
            choice = {"how": "all_stood"}
        part = Entry(id=entry.part(f"{batch.number}{name}"), at=entry.at, person=entry.person)
        age_s = None if minutes is None else to_si(minutes, "min")
        write_reading(part, test, batch, typed_alone(test, value, choice), age_s)
    if line.outcome:
        Outcome.objects.create(
            batch=batch, words=line.outcome, at=entry.at, person_id=entry.person, entry=entry.part(f"{batch.number}end")
        )
