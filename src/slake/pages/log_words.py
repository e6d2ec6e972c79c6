"""A line of the log in words: of which batch or lot, which test, which value. The whole entry stays beside it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Model

from slake.bench.shelf import all_tests
from slake.records.models import Action, Batch, Bucket, Instrument, Lot, Outcome, Reading, Recipe, Weighing

from .templatetags.bench import grams, plain, spaced, unit_word

LONGEST = 90
SAID = ("name", "title", "ingredient", "words", "note", "grams", "typed", "field", "text", "step", "decision", "reason")
"""Inputs that say by themselves what was done."""
NAMED: Mapping[str, type[Model]] = {
    "lot": Lot,
    "recipe": Recipe,
    "instrument": Instrument,
    "bucket": Bucket,
    "reading": Reading,
    "weighing": Weighing,
    "outcome": Outcome,
}
OF_ROW = ("reading", "weighing", "outcome")


@dataclass(frozen=True, kw_only=True)
class Told:
    """One action and what it was about."""

    action: Action
    about: str


def told(actions: Iterable[Action]) -> list[Told]:
    """Each with its words; the rows they name are fetched together."""
    listed = list(actions)
    rows = {kind: _fetched(model, _keys(kind, listed)) for kind, model in {**NAMED, "batch": Batch}.items()}
    return [Told(action=action, about=_about(action, rows)) for action in listed]


def _refers(action: Action, kind: str) -> object:
    """The row of this kind an action names, in what went in or in its answer."""
    inputs, answer = action.inputs, action.answer
    about = inputs.get("about")
    if isinstance(about, list) and len(about) == 2 and about[0] == kind:
        return about[1]
    if inputs.get("kind") == kind and "row" in inputs:
        return inputs["row"]
    return answer.get(kind) if kind in OF_ROW and kind in answer else inputs.get(kind, answer.get(kind))


def _keys(kind: str, actions: Iterable[Action]) -> set[int]:
    return {found for action in actions if isinstance(found := _refers(action, kind), int)}


def _fetched(model: type[Model], keys: set[int]) -> dict[int, Any]:
    more = ("batch", "lot") if model in (Reading, Weighing) else ("batch",) if model is Outcome else ()
    rows = model._default_manager.filter(pk__in=keys)
    return {row.pk: row for row in (rows.select_related(*more) if more else rows)}


def _about(action: Action, rows: Mapping[str, Mapping[int, Any]]) -> str:
    named = {kind: rows[kind].get(_refers(action, kind)) for kind in rows}  # type: ignore[call-overload]
    row = next((named[kind] for kind in OF_ROW if named[kind] is not None), None)
    parts = [_thing(row, named), _value(row), *_said(action.inputs, row)]
    return "; ".join(part for part in dict.fromkeys(parts) if part)


def _thing(row: Any, named: Mapping[str, Any]) -> str:
    """The batch or lot it was of, else what else it names."""
    batch = named["batch"] or getattr(row, "batch", None)
    lot = named["lot"] or (row.lot if isinstance(row, Reading) else None)
    words = [f"batch {batch.number}"] if batch is not None else []
    words += [lot.name] if lot is not None else []
    words += [f"bucket {named['bucket'].pk}"] if named["bucket"] is not None else []
    words += [str(named[kind].name) for kind in ("recipe", "instrument") if named[kind] is not None]
    return ", ".join(words)


def _value(row: Any) -> str:
    if isinstance(row, Reading):
        test = all_tests().get(row.test)
        unit = unit_word(row.headline_unit)
        return f"{test.title if test else spaced(row.test)} {plain(row.headline_value)} {unit}".strip()
    if isinstance(row, Weighing):
        return f"{row.lot.name if row.lot else 'water'} {grams(row.grams)}"
    return f"“{row.words}”" if isinstance(row, Outcome) else ""


def _said(inputs: Mapping[str, Any], row: Any) -> list[str]:
    """What was typed, where no row says it better."""
    wanted = ("reason",) if row is not None else SAID
    found = [str(inputs[name]).strip() for name in wanted if isinstance(inputs.get(name), str | int | float)]
    if row is None and isinstance(inputs.get("rows"), list):
        firsts = [str(one.get("ingredient", "")) for one in inputs["rows"] if isinstance(one, dict)]
        found += [", ".join(filter(None, firsts))]
    if isinstance(inputs.get("windows"), dict):
        asked = sum(any(str(end).strip() for end in ends) for ends in inputs["windows"].values())
        found += [f"{asked} line{'' if asked == 1 else 's'}"]
    return [text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…" for text in found]
