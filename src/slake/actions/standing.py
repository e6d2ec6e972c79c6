"""Where the campaign of this bench stands, as plain data to keep with a proposal. Reads only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from slake.campaign.standing import sentences, where_it_stands
from slake.campaign.stopping import Enough, Window
from slake.records.models import Batch

from .campaign import Campaign


def rows_told(told: Campaign) -> tuple[Batch, ...]:
    """The rows behind the batches of the notebook, in its order."""
    return (*told.batches, *told.begun)


def called(told: Campaign, number: int) -> int:
    """The number on the label of a batch of the notebook."""
    return rows_told(told)[number].number


def stands_for(told: Campaign, new: Sequence[float], seed: int) -> dict[str, Any]:
    """The verdict in sentences, with the window or the batch to mix again where there is one."""
    rows = rows_told(told)
    names = [f"batch {row.number}" for row in rows]
    found = where_it_stands(told.book, new, names, seed)
    answer: dict[str, Any] = {
        "verdict": found.verdict,
        "sentences": sentences(told.book, found, names),
        "doubts": list(found.doubts),
        "surest": found.surest,
    }
    if found.enough is not None:
        answer["enough"] = _enough(found.enough, rows)
    if found.repeat is not None:
        row = rows[found.repeat.batch]
        answer["again"] = {"batch": row.number, "recipe": row.recipe_id, "worth_it": found.repeat.worth_it}
    return answer


def _enough(enough: Enough, rows: Sequence[Batch]) -> dict[str, Any]:
    last = rows[max(enough.like_it)]
    return {
        "fractions": {key: part for key, part in enough.fractions.items() if part > 0},
        "chance": enough.chance,
        "lines": dict(enough.lines),
        "window": _window(enough.window),
        "like_it": [rows[number].number for number in enough.like_it],
        "recipe": last.recipe_id,
        "batch": last.number,
    }


def _window(window: Window) -> dict[str, Any]:
    def plain(spans: Mapping[str, tuple[float, float]]) -> dict[str, list[float]]:
        return {key: list(span) for key, span in spans.items()}

    return {"together": plain(window.together), "alone": plain(window.alone), "chance": window.chance}
