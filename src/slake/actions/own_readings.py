"""A lab declares a reading of its own, as data."""

from __future__ import annotations

import re
from collections.abc import Mapping

from slake.bench.declaration import About, BenchTest
from slake.bench.own import OwnReading, check
from slake.bench.shelf import tests_of_files
from slake.campaign.lots import WATER
from slake.campaign.outcomes import read_outcome
from slake.campaign.reading_lines import WATER_WORDS
from slake.campaign.reading_words import words_of
from slake.ground.numbers import Limits, read_optional
from slake.ground.problems import DoesNotFit, Problem
from slake.paste.ingredients import find
from slake.records.models import Brief, OwnTest, OwnTestStrike, Reading

from .entry import Entry, recorded, short_name, short_text

END = Limits(low=-1e9, high=1e9)
SCATTER = Limits(low=1e-9, high=1e9)
MOST_OWN = 50
LONGEST_UNIT = 20
NOT_IN_A_KEY = re.compile(r"[^a-z0-9]+")


def declare_reading(entry: Entry, typed: Mapping[str, str]) -> OwnTest:
    """A new kind of reading: title, unit, about (batch or lot), floor, ceiling, informs, scatter, note.

    Everything but the title may stay open. Raises Problem where it cannot be one.
    """
    with recorded(entry, "declare reading", typed) as log:
        if log.before is not None:
            return OwnTest.objects.get(pk=log.before["own"])
        if OwnTest.objects.filter(strike=None).count() >= MOST_OWN:
            raise Problem(f"this bench has {MOST_OWN} readings of its own, and no more fit: use one of them")
        own = check(_own(typed))
        _refuse_taken(own)
        row = OwnTest.objects.create(
            key=own.key,
            title=own.title,
            unit=own.unit,
            about=own.about.value,
            floor=own.floor,
            ceiling=own.ceiling,
            informs=own.informs,
            scatter=own.scatter,
            note=own.note,
            since=entry.at,
        )
        log.answer = {"own": row.pk}
        return row


def _own(typed: Mapping[str, str]) -> OwnReading:
    title = short_name(typed.get("title"), "the name of the reading")
    unit = short_text(typed.get("unit"), "the unit", LONGEST_UNIT)
    about = typed.get("about", "").strip() or About.BATCH.value
    if about not in {About.BATCH.value, About.LOT.value}:
        raise Problem(f"a reading is of a batch or of a lot, not of “{about[:20]}”: choose one")
    return OwnReading(
        key=key_of(title, unit),
        title=title,
        unit=unit,
        about=About(about),
        floor=read_optional(typed.get("floor"), "where its scale starts", END),
        ceiling=read_optional(typed.get("ceiling"), "where its scale ends", END),
        informs=typed.get("informs", "").strip(),
        scatter=read_optional(typed.get("scatter"), "the scatter of one reading", SCATTER),
        note=short_text(typed.get("note"), "the note"),
    )


def key_of(title: str, unit: str) -> str:
    """The short name a notebook and a table use for it, such as flow_cm."""
    plain = NOT_IN_A_KEY.sub("_", f"{title} {unit}".casefold().replace("%", "percent")).strip("_")
    return plain if plain[:1].isalpha() else f"own_{plain}"


def _refuse_taken(own: OwnReading) -> None:
    """A word that means something in a notebook or a table already keeps its meaning."""
    struck = OwnTest.objects.filter(key=own.key).exclude(strike=None).exists()
    if struck:
        raise DoesNotFit(f"“{own.key}” was struck here, and its old readings keep that name: give this one another")
    if OwnTest.objects.filter(key=own.key).exists():
        raise DoesNotFit(f"there is a reading called “{own.key}” already: use it, or give this one another name")
    title, plain = own.title.casefold(), own.key.replace("_", " ")
    _refuse_other_words(own, title)
    built_in = next((t for t in tests_of_files().values() if {title, plain, _without_unit(own)} & _words_of(t)), None)
    if built_in is not None:
        raise DoesNotFit(
            f"“{own.title}” is a word of slake's own test “{built_in.title}” already, and keeps that meaning in a "
            f"notebook and a table: read that test, or add a word of yours, such as “our {title}”"
        )


def _words_of(test: BenchTest) -> set[str]:
    return {*words_of(test), test.id.replace("_", " "), test.notebook_name.replace("_", " ")}


def _without_unit(own: OwnReading) -> str:
    return key_of(own.title, "").replace("_", " ")


def _refuse_other_words(own: OwnReading, title: str) -> None:
    """Water, an ingredient or how a batch ended: as a reading, every line that names one could no longer be read."""
    item = find(own.title)
    if item is not None or title in WATER_WORDS:
        name = "water" if item is None or item.key == WATER else f"the ingredient {item.name}"
        raise DoesNotFit(f"“{own.title}” means {name} in a notebook: give the reading another name")
    try:
        read_outcome(title)
    except Problem:
        return
    raise DoesNotFit(f"“{own.title}” says how a batch ended in a notebook: give the reading another name")


def strike_declaration(entry: Entry, own_id: int, reason: str) -> OwnTestStrike:
    """A line through a declaration made by mistake: nothing is read by it any more, and its row stays.

    Raises DoesNotFit while readings of it count or the brief asks for it: they would lose their meaning.
    """
    with recorded(entry, "strike declaration", {"own": own_id, "reason": reason}) as log:
        if log.before is not None:
            return OwnTestStrike.objects.get(pk=log.before["strike"])
        own = OwnTest.objects.get(pk=own_id)
        if OwnTestStrike.objects.filter(own=own).exists():
            raise Problem(f"“{own.title}” is struck through already")
        _refuse_in_use(own)
        line = OwnTestStrike.objects.create(
            own=own,
            reason=short_text(reason, "the reason", needed=True),
            at=entry.at,
            person_id=entry.person,
            entry=entry.id,
        )
        log.answer = {"strike": line.pk}
        return line


def _refuse_in_use(own: OwnTest) -> None:
    count = Reading.objects.filter(test=own.key, strike=None).count()
    if count:
        many = f"{count} reading{'s' if count > 1 else ''}"
        raise DoesNotFit(f"{many} of “{own.title}” still count: strike those first, then the declaration")
    brief = Brief.objects.last()
    if brief is not None and brief.windows.filter(reading=own.key).exists():
        raise DoesNotFit(f"the brief asks for “{own.title}”: take that line out of the brief first")
