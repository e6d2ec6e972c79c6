"""The kinds of long work there are: a name, what it is called on a page, and the function that does it.

A function gets its inputs (plain data), the entry it acts under, and `tell(done, total, words)`, which it calls between
chunks, at least once a minute and never inside a transaction; that is also where it is stopped when somebody asked.
What it gives back is plain data for the page.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from slake.actions.campaign import tell as tell_all
from slake.actions.entry import Entry
from slake.actions.kept_word import LOOK_BACK, look_back, plain_of
from slake.actions.past import Tell, asked_again, take_in_sheet
from slake.ground.problems import MovedOn, Problem

from .checking import CHECK, check_file
from .moving import MOVE_IN, TAKE_ALONG, move_everything_in, take_everything_along

Plain = dict[str, Any]
TAKE_IN = "take in sheet"


@dataclass(frozen=True, kw_only=True)
class Kind:
    """`template` shows the answer; it is given `job`. `logged`: whether asking for it is an action in the log; what
    only goes into an empty bench must not write there first.
    """

    title: str
    do: Callable[[Entry, Plain, Tell], Plain]
    template: str
    logged: bool = True


def take_in_past(entry: Entry, inputs: Plain, tell: Tell) -> Plain:
    return {**take_in_sheet(entry, int(inputs["sheet"]), asked_again(inputs), tell), "sheet": inputs["sheet"]}


def look_back_at_all(entry: Entry, inputs: Plain, tell: Tell) -> Plain:
    """Every batch foretold without itself. Raises MovedOn where something was read since it was asked for."""
    told = tell_all()
    if told.seen != inputs["seen"]:
        raise MovedOn("something new was read since this was asked for: open the page again")
    return {"foretold": plain_of(look_back(told, tell))}


KINDS: Mapping[str, Kind] = {
    TAKE_IN: Kind(title="Taking in a sheet", do=take_in_past, template="jobs/taken_in.html"),
    TAKE_ALONG: Kind(title="Packing everything", do=take_everything_along, template="jobs/packed.html"),
    LOOK_BACK: Kind(title="Looking back", do=look_back_at_all, template="jobs/looked_back.html", logged=False),
    CHECK: Kind(title="Before the print", do=check_file, template="jobs/checked.html", logged=False),
    MOVE_IN: Kind(title="Moving in", do=move_everything_in, template="jobs/moved_in.html", logged=False),
}


def kind_named(name: str) -> Kind:
    found = KINDS.get(name)
    if found is None:
        raise Problem(f"there is no work called “{name[:40]}”: there is {', '.join(KINDS)}")
    return found
