"""What every action has in common: it happens once, in one short transaction, and is written to the log."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction

from slake import __version__
from slake.ground.problems import MovedOn, Problem
from slake.records.checks import LONGEST_NAME, LONGEST_TEXT
from slake.records.models import Action, Person
from slake.records.which import current_bench

LONGEST_ENTRY = 64


@dataclass(frozen=True, kw_only=True)
class Entry:
    """Who does it, when (of the thing itself, zone-aware), and an id that makes it happen once."""

    id: str
    at: datetime
    person: int | None = None

    def __post_init__(self) -> None:
        if not 0 < len(self.id) <= LONGEST_ENTRY:
            raise Problem(f"an entry needs an id of 1 to {LONGEST_ENTRY} characters: load the page again")
        if self.at.tzinfo is None:
            raise ValueError("the time of an entry needs its zone")

    def part(self, name: object) -> str:
        """The id of one row among several that this entry writes."""
        return f"{self.id[: LONGEST_ENTRY - len(str(name)) - 1]}.{name}"


@dataclass
class Log:
    """What is written of one action. `before` is the answer it gave the first time, if it was done already."""

    before: Mapping[str, Any] | None
    answer: dict[str, Any] = field(default_factory=dict)


@contextmanager
def recorded(entry: Entry, name: str, inputs: Mapping[str, Any], checksum: str = "") -> Iterator[Log]:
    """Everything inside is saved together with its line in the log, or not at all.

    The same entry id a second time finds `before` set and must change nothing; under another action's name it
    is refused.
    """
    with transaction.atomic(using=current_bench.get()):
        done = Action.objects.filter(entry=entry.id).first()
        if done is not None:
            if done.name != name:
                raise Problem("this entry was already used for something else: load the page again and repeat it")
            yield Log(before=done.answer)
            return
        if entry.person is not None and not Person.objects.filter(pk=entry.person).exists():
            raise Problem("the person picked on this device is not on this bench: pick one again")
        log = Log(before=None)
        yield log
        Action.objects.create(
            name=name,
            person_id=entry.person,
            entry=entry.id,
            at=entry.at,
            inputs=dict(inputs),
            answer=log.answer,
            version=__version__,
            checksum=checksum,
        )


def refuse_if_moved(what: str, now: int, seen: int | None) -> None:
    """Raise MovedOn where somebody changed `what` after the page showing revision `seen` was loaded."""
    if seen is not None and seen != now:
        raise MovedOn(f"{what} was changed in the meantime: look at how it is now, then do this again")


def short_text(typed: str | None, what: str, longest: int = LONGEST_TEXT, needed: bool = False) -> str:
    """Free text as typed, in any language, without the blanks around it."""
    text = (typed or "").replace("\x00", "").strip()
    if len(text) > longest:
        raise Problem(f"{what} has {len(text)} characters, but at most {longest} fit: shorten it")
    if needed and not text:
        raise Problem(f"{what} is empty: type a word or two")
    return text


def short_name(typed: str | None, what: str) -> str:
    return short_text(typed, what, LONGEST_NAME, needed=True)
