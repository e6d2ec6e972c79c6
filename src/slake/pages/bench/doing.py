"""What an entry of the bench session may be: one action per kind. The page and the outbox use the same table."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from django.core.exceptions import ObjectDoesNotExist

from slake.actions.at_the_bench import accept_as_it_is, require_decided, require_same, say_room_here
from slake.actions.bowl import knead_in, pick_bowl, take_paste, weigh_bowl
from slake.actions.entry import Entry
from slake.actions.held_back import knead_held_back
from slake.actions.instruments import WITH, check_instrument
from slake.actions.jotting import jot
from slake.actions.mixing import NET, TOTAL, rescale_rest, start_clock, weigh
from slake.actions.reading import STRIKABLE, log_reading, say_outcome, strike
from slake.actions.timing import say_step
from slake.ground.problems import Problem
from slake.records.models import Action, Batch

from ..readings import INPUT

Typed = Mapping[str, str]
RowsTyped = Sequence[Mapping[str, str]]
Doing = Callable[[Entry, Batch, Typed, RowsTyped], object]
LONGEST_NUMBER = 9
UNDONE = "undone at the bench"
HELD = "held back"


def whole(typed: Typed, name: str) -> int:
    """A number the page itself put into the form, such as the step of the card."""
    text = typed.get(name, "")
    if not (text.isascii() and text.isdigit() and len(text) <= LONGEST_NUMBER):
        raise Problem("this entry does not say what it is about: load the page again")
    return int(text)


def _done(entry: Entry) -> bool:
    return Action.objects.filter(entry=entry.id).exists()


def _clock(entry: Entry, batch: Batch, _typed: Typed, _rows: RowsTyped) -> object:
    return start_clock(entry, batch.pk)


def _weigh(entry: Entry, batch: Batch, typed: Typed, _rows: RowsTyped) -> object:
    shows = TOTAL if typed.get("shows") == TOTAL else NET
    if not _done(entry):
        require_decided(batch)
    return weigh(entry, batch.pk, whole(typed, "order"), typed.get("grams", ""), shows)


def _read(entry: Entry, batch: Batch, typed: Typed, rows: RowsTyped) -> object:
    fields = {name.removeprefix(INPUT): text for name, text in typed.items() if name.startswith(INPUT)}
    if typed.get(WITH, ""):
        fields[WITH] = typed[WITH]
    return log_reading(entry, typed.get("test", "")[:80], ("batch", batch.pk), fields, rows)


def _ended(entry: Entry, batch: Batch, typed: Typed, _rows: RowsTyped) -> object:
    layer = typed.get("fell_layer", "").strip()
    fell = f"fell at layer {layer}" if layer else ""
    parts = (typed.get("ended", ""), fell, typed.get("words", ""))
    return say_outcome(entry, batch.pk, ", ".join(part.strip() for part in parts if part.strip()))


def _room(entry: Entry, batch: Batch, typed: Typed, _rows: RowsTyped) -> object:
    said = {name: typed.get(name, "") for name in ("temperature_c", "humidity_percent")}
    return say_room_here(entry, batch.pk, said)


def _strike(entry: Entry, batch: Batch, typed: Typed, _rows: RowsTyped) -> object:
    kind, row = typed.get("what", ""), whole(typed, "row")
    if kind in STRIKABLE and not STRIKABLE[kind].objects.filter(pk=row, batch=batch).exists():
        raise Problem(f"this {kind} is not of {batch}: load the page again")
    return strike(entry, kind, row, typed.get("reason", ""))


def _rescale(entry: Entry, batch: Batch, typed: Typed, _rows: RowsTyped) -> object:
    if not _done(entry):
        require_same(batch, typed.get("factor", ""))
    return rescale_rest(entry, batch.pk)


def _accept(entry: Entry, batch: Batch, typed: Typed, _rows: RowsTyped) -> object:
    return accept_as_it_is(entry, batch.pk, typed.get("factor", ""))


def _undo(entry: Entry, batch: Batch, typed: Typed, rows: RowsTyped) -> object:
    """The last pour, at one tap: a line through it with the reason that it was undone here."""
    return _strike(entry, batch, {**typed, "what": "weighing", "reason": UNDONE}, rows)


def _take(entry: Entry, batch: Batch, typed: Typed, _rows: RowsTyped) -> object:
    """Grams that left the bowl; with `shown` the bowl itself was weighed instead."""
    if "shown" in typed:
        return weigh_bowl(entry, batch.pk, typed["shown"])
    return take_paste(entry, batch.pk, typed.get("grams", ""), typed.get("why", ""), typed.get("note", ""))


def _knead(entry: Entry, batch: Batch, typed: Typed, _rows: RowsTyped) -> object:
    lot = whole(typed, "lot") if typed.get("lot") else None
    if lot is None and typed.get("of") == HELD:
        return knead_held_back(entry, batch.pk, typed.get("grams", ""))
    return knead_in(entry, batch.pk, typed.get("grams", ""), lot)


def _bowl(entry: Entry, batch: Batch, typed: Typed, _rows: RowsTyped) -> object:
    return pick_bowl(entry, batch.pk, whole(typed, "bowl"))


def _step(entry: Entry, batch: Batch, typed: Typed, _rows: RowsTyped) -> object:
    return say_step(entry, batch.pk, typed.get("step", ""), undone=bool(typed.get("undone")))


def _note(entry: Entry, batch: Batch, typed: Typed, _rows: RowsTyped) -> object:
    return jot(entry, batch.pk, typed.get("text", ""))


def _check(entry: Entry, _batch: Batch, typed: Typed, _rows: RowsTyped) -> object:
    return check_instrument(entry, whole(typed, WITH), typed.get("known", ""), typed.get("shown", ""))


KINDS: Mapping[str, Doing] = {
    "clock": _clock,
    "weigh": _weigh,
    "reading": _read,
    "outcome": _ended,
    "room": _room,
    "strike": _strike,
    "rescale": _rescale,
    "accept": _accept,
    "undo": _undo,
    "take": _take,
    "knead": _knead,
    "bowl": _bowl,
    "step": _step,
    "check": _check,
    "note": _note,
}


def do(kind: str, entry: Entry, batch: Batch, typed: Typed, rows: RowsTyped = ()) -> object:
    """Do one entry. Raises Problem with the sentence to show."""
    found = KINDS.get(kind)
    if found is None:
        raise Problem(f"the bench has no entry called “{kind[:20]}”: load the page again")
    try:
        return found(entry, batch, typed, rows)
    except ObjectDoesNotExist:
        raise Problem("what this entry is about is not on this bench: load the page again") from None
