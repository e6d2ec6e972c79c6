"""What left the bowl and what is left in it, as the page shows it; and the scales nobody checked today."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from slake.actions.bowl import PUT_RIGHT, Sample, cartridge_g, sample_of
from slake.actions.checks_said import CheckSaid, checks_said
from slake.actions.instruments import instruments, unchecked_scales
from slake.actions.sizes import left_in_bowl_g, taken_g
from slake.bench.shelf import all_tests
from slake.records.models import Batch, Instrument, Reading, Taken
from slake.records.models.bowl import TAKEN_WHY

NEWEST = 30
TEST = "test"


@dataclass(frozen=True, kw_only=True)
class Took:
    """Grams left and taken, what to tap for the usual amounts, and the rows, newest first."""

    left_g: float
    taken_g: float
    sample: Sample | None
    cartridge_g: float | None
    rows: Sequence[Taken]
    whys: Sequence[str]


@dataclass(frozen=True, kw_only=True)
class Scales:
    """Scales to check today, what today's checks said, and whether there is any scale at all."""

    unchecked: Sequence[Instrument]
    said: Sequence[CheckSaid]
    any: bool


def took_context(batch: Batch, reading: Reading | None) -> dict[str, object]:
    """`reading`: the last one that stands, whose usual sample is offered."""
    rows = list(batch.taken.order_by("-at", "-id")[:NEWEST])
    test = all_tests().get(reading.test) if reading and not _sampled(reading, rows) else None
    took = Took(
        left_g=left_in_bowl_g(batch),
        taken_g=taken_g(batch),
        sample=sample_of(batch, reading, test.title) if test else None,
        cartridge_g=cartridge_g(batch),
        rows=rows,
        whys=TAKEN_WHY,
    )
    return {"took": took, "put_right": PUT_RIGHT}


def _sampled(reading: Reading, rows: Sequence[Taken]) -> bool:
    """Whether paste was already taken out for a test since this reading."""
    return any(row.why == TEST and row.at >= reading.at for row in rows)


def scales_said(now: datetime) -> Scales:
    unchecked = unchecked_scales(now)
    names = {row.name for row in unchecked}
    scales = instruments("scale")
    checked = [row for row in scales if row.name not in names]
    return Scales(
        unchecked=unchecked, any=bool(scales), said=[said for row in checked if (said := checks_said(row)[0])]
    )
