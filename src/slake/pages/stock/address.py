"""Forms that only ask: what is typed goes into the address, so that an answer can be sent round or gone back to."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TypeVar

from django.http import HttpRequest

from slake.ground.problems import Problem

LONGEST = 40
Told = TypeVar("Told")


def from_address(request: HttpRequest, names: Iterable[str]) -> dict[str, str]:
    return {name: request.GET.get(name, "").replace("\x00", "")[:LONGEST] for name in names}


def status_of(typed: Mapping[str, str], sentences: Sequence[str]) -> int:
    """422 where what was typed was refused; a page that only has to say what is missing is no error."""
    return 422 if sentences and any(typed.values()) else 200


def told_or_why(work: Callable[[], Told], otherwise: Callable[[], Told]) -> tuple[Told, list[str]]:
    """The answer; where it is refused, the answer to nothing typed, and the sentence that says why."""
    try:
        return work(), []
    except Problem as problem:
        return otherwise(), [str(problem)]
