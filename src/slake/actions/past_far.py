"""What of each row of a sheet is held against the other rows: water, ingredients and readings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from slake.campaign.past.far import far_from_others

from .past_writing import Worked


def in_doubt(good: Sequence[Worked]) -> tuple[Worked, ...]:
    """The rows as they are; those far from the others with a sentence on it, which stays with the batch as its note."""
    far = far_from_others([_told(one) for one in good])
    return tuple(_doubted(one, far[at]) if at in far else one for at, one in enumerate(good))


def _told(one: Worked) -> Mapping[str, float]:
    """Per gram dry, so that a large batch is not far from a small one."""
    parts = {f"{_name(one, key)}, g per 100 g dry,": 100 * part for key, part in one.parts.items()}
    readings = {read.test.title.lower(): read.headline.value for read in one.row.readings}
    return {"water, g per g dry,": one.water_per_dry, **parts, **readings}


def _name(one: Worked, key: str) -> str:
    planned = one.lots[key]
    return str(planned.lot.name) if planned.lot is not None else dict(planned.made_of or {}).get("name", key)


def _doubted(one: Worked, why: str) -> Worked:
    return replace(one, row=replace(one.row, doubt="; ".join(part for part in (one.row.doubt, why) if part)))
