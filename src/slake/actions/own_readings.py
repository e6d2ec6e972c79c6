"""A lab declares a reading of its own, as data."""

from __future__ import annotations

import re
from collections.abc import Mapping

from slake.bench.declaration import About
from slake.bench.own import OwnReading, check
from slake.bench.shelf import tests_of_files
from slake.ground.numbers import Limits, read_optional
from slake.ground.problems import DoesNotFit, Problem
from slake.records.models import OwnTest

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
        if OwnTest.objects.count() >= MOST_OWN:
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
    files = tests_of_files()
    taken = {*files, *(test.notebook_name for test in files.values()), *OwnTest.objects.values_list("key", flat=True)}
    if own.key in taken:
        raise DoesNotFit(f"there is a reading called “{own.key}” already: use it, or give this one another name")
