"""Where a campaign stands: stop here, mix that one again, it cannot be done, or go on; each in sentences."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import percent
from slake.ground.problems import plain

from .confirming import Repeat, repeat_of
from .doubts import doubts
from .holding import Known, known
from .notebook import Notebook
from .stopping import SURE_ENOUGH, Enough, enough_at, sure, surest
from .unmeetable import Moved, Reached, Unmeetable, unmeetable_of

Array = NDArray[np.float64]
ON_MADE_UP = "as often as on made-up wastes"


@dataclass(frozen=True, kw_only=True)
class Standing:
    """At most one of enough and unmeetable; repeat may stand beside going on. surest: chance (as measured) of the
    recipe that is surest now. doubts: what to look at twice, in sentences.
    """

    enough: Enough | None = None
    repeat: Repeat | None = None
    unmeetable: Unmeetable | None = None
    surest: float | None = None
    doubts: tuple[str, ...] = ()

    @property
    def verdict(self) -> str:
        if self.enough is not None:
            return "good enough"
        if self.unmeetable is not None:
            return "cannot be met"
        return "mix again" if self.repeat is not None and self.repeat.worth_it else "go on"


def where_it_stands(book: Notebook, new: Sequence[float], names: Sequence[str], seed: int = 1) -> Standing:
    """Where it stands. `new`: the recipe that would be mixed next, in the order of the book's keys; `names`: what the
    person calls each batch of the book.
    """
    what = known(book)
    return replace(_verdict(what, np.array(new), seed), doubts=tuple(doubts(what, names)))


def _verdict(what: Known, new: Array, seed: int) -> Standing:
    if not what.book.batches:
        return Standing(unmeetable=unmeetable_of(what, seed))
    recipe, stated = surest(what, seed)
    enough = enough_at(what, recipe, stated)
    if enough is not None:
        return Standing(enough=enough, surest=enough.chance)
    cannot = unmeetable_of(what, seed)
    repeat = None if cannot is not None else repeat_of(what, new)
    return Standing(unmeetable=cannot, repeat=repeat, surest=sure(stated))


def sentences(book: Notebook, stands: Standing, names: Sequence[str]) -> list[str]:
    """What is said of it. `names`: what the person calls each batch of the book."""
    if stands.enough is not None:
        return _enough(stands.enough, names)
    if stands.unmeetable is not None:
        return _cannot(book, stands.unmeetable)
    found = [] if stands.surest is None else [_go_on(stands.surest)]
    return found + ([] if stands.repeat is None else _repeat(stands.repeat, names))


def _go_on(surest: float) -> str:
    return (
        f"Not yet good enough: the surest recipe meets every line with a chance of {percent(surest)}, and slake stops "
        f"at {percent(SURE_ENOUGH)}."
    )


def _enough(enough: Enough, names: Sequence[str]) -> list[str]:
    like = [names[number] for number in enough.like_it]
    times = "once" if len(like) == 1 else f"{len(like)} times"
    found = [
        f"Good enough: this recipe meets every line with a chance of {percent(enough.chance)} ({ON_MADE_UP}; "
        f"by slake's own ranges alone {percent(enough.stated)}).",
        f"Mixed like this {times} without breaking a line: {', '.join(like)}; every line was read and held in "
        f"{len(enough.whole)} of them.",
    ]
    if enough.broke:
        found.append(f"Near it a line broke in {', '.join(names[number] for number in enough.broke)}.")
    found.append(
        f"At the worst corner of the window below every line still holds with a chance of "
        f"{percent(enough.window.chance)}."
    )
    if len(like) < 2:
        found.append("A repeat would say how well you repeat it; nothing else is needed.")
    return found


def _repeat(repeat: Repeat, names: Sequence[str]) -> list[str]:
    said = (
        f"In {names[repeat.batch]} every line held, and scatter alone may have done that: its recipe truly meets every "
        f"line with a chance of {percent(repeat.recipe_chance)}. A repeat reads within every line with a chance of "
        f"{percent(repeat.reads_again)}; the new recipe with {percent(repeat.new_reads)} (it truly meets every line "
        f"with {percent(repeat.new_recipe_chance)})."
    )
    better = "Mix it again first." if repeat.worth_it else "The new recipe is the better use of a batch."
    return [said, better]


def _cannot(book: Notebook, cannot: Unmeetable) -> list[str]:
    words = {line.name: f"line {n} ({line.words})" for n, line in enumerate(book.brief.lines, 1)}
    named = " and ".join(words[name] for name in cannot.lines)
    if cannot.certain:
        return [
            f"No recipe can meet {named}: both look at one property and leave no value to it; one of them has to move."
        ]
    which = f"all {len(words)} lines together" if len(cannot.lines) > 2 else named
    both = " together" if len(cannot.lines) == 2 else ""
    first = (
        f"No recipe in these bounds can meet {which}{both}: {_must_move(cannot)}; a chance of {percent(cannot.any)} is "
        f"left that one does, after {cannot.batches} batches."
    )
    far = [_gets_to(book, reached, words[reached.name]) for reached in cannot.reached if reached.name in cannot.lines]
    return [first, *far, *_bounds(cannot)]


def _gets_to(book: Notebook, reached: Reached, line: str) -> str:
    unit = next(one.gauge.unit for one in book.brief.lines if one.name == reached.name)
    ends = (reached.gets_to.low, reached.gets_to.mid, reached.gets_to.high)
    low, mid, high = (plain(float(f"{end:.3g}")) for end in ends)
    return (
        f"With the other lines held as well as can be, {line} reads {mid} {unit} (80 %: {low} to {high}); it was read "
        f"or told in {reached.read} batches."
    )


def _bounds(cannot: Unmeetable) -> list[str]:
    helpful = [moved for moved in cannot.moved if _helps(moved)]
    if cannot.moved and not helpful:
        keys = ", ".join(dict.fromkeys(moved.key for moved in cannot.moved))
        return [f"The best recipe presses on the bounds of {keys}; moving one of them alone would not help."]
    return [_moved(moved) for moved in helpful[:2]]


def _helps(moved: Moved) -> bool:
    return moved.then > max(2 * moved.now, 0.02)


def _must_move(cannot: Unmeetable) -> str:
    helpful = [moved.key for moved in cannot.moved if _helps(moved)]
    return f"the bound on {helpful[0]} or the brief has to move" if helpful else "the brief has to move"


def _moved(moved: Moved) -> str:
    way = "lower" if moved.side == "least" else "upper"
    return (
        f"The best recipe presses on the {way} bound of {moved.key} ({percent_of_paste(moved.bound)} of the paste): "
        f"moved to {percent_of_paste(moved.to)}, the best recipe's stated chance goes from {percent(moved.now)} to "
        f"{percent(moved.then)}."
    )


def percent_of_paste(share: float) -> str:
    return f"{plain(float(f'{100 * share:.3g}'))} %"
