"""One to three batches to mix today, within the grams, the size and the days there are; each kept as a proposal."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from slake import __version__
from slake.campaign.several import Chosen, Several, propose_several
from slake.campaign.within import Today, batches_left, waiting_words
from slake.ground.numbers import Limits, read_number, read_optional
from slake.ground.problems import DoesNotFit
from slake.ground.units import to_si
from slake.records.models import ProposalGiven

from .campaign import Campaign, tell
from .entry import Entry
from .lots import stock_g
from .proposing import SEED, answer_of, keep_proposal
from .standing import called, stands_for

USUAL_COUNT, USUAL_PASTE_G = 2, 500.0
LIMITS = {
    "count": ("batches to mix today", Limits(low=1, high=3, do="mix three, and ask again with their wet readings")),
    "paste_g": ("paste of one batch", Limits(low=20, high=100_000, unit="g", do="give the wet paste of one batch")),
    "days": ("days until it is needed", Limits(low=0, high=3650, unit="days", do="leave it open where there is time")),
}


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What a person has for today, read."""

    count: int
    paste_g: float
    days: float | None

    @property
    def plain(self) -> dict[str, float | int | None]:
        return {"count": self.count, "paste_g": self.paste_g, "days": self.days}


def read_asked(typed: Mapping[str, str]) -> Asked:
    """What was typed; left open: two batches of 500 g, and time enough. Raises Problem in one sentence."""
    count = read_optional(typed.get("count"), *LIMITS["count"])
    if count is not None and count != int(count):
        raise DoesNotFit(f"there are {count:g} batches to mix today: a batch is mixed whole, give 1, 2 or 3")
    paste = typed.get("paste_g", "")
    grams = read_number(paste, *LIMITS["paste_g"]) if str(paste).strip() else USUAL_PASTE_G
    days = read_optional(typed.get("days"), *LIMITS["days"])
    return Asked(count=int(count or USUAL_COUNT), paste_g=grams, days=days)


def propose_today(entry: Entry, asked: Asked) -> list[ProposalGiven]:
    """The batches to mix today. The same evidence, stock and question give those already given."""
    told = tell()
    given = standing_today(asked, told)
    if given:
        return given
    today = _today(told, asked)
    found = propose_several(told.book, today, SEED)
    stands = stands_for(told, list(found.chosen[0].proposal.fractions.values()), SEED)
    mark = _mark(told, asked)
    rows = []
    for rank, one in enumerate(found.chosen, 1):
        answer = {**answer_of(told, one.proposal), **_of_today(told, found, (one, today)), "stands": stands}
        inputs = {**asked.plain, "rank": rank, "of": len(found.chosen)}
        rows.append(keep_proposal(entry, told, (mark, inputs), {**answer, "rank": rank}))
    return rows


def standing_today(asked: Asked, told: Campaign | None = None) -> list[ProposalGiven]:
    """The batches that still answer this question, if they were worked out already, in their order."""
    mark = _mark(told or tell(), asked)
    rows = ProposalGiven.objects.filter(seen=mark, version=__version__).order_by("id")
    by_rank = {row.answer["rank"]: row for row in rows}
    return [by_rank[rank] for rank in sorted(by_rank)]


def _mark(told: Campaign, asked: Asked) -> str:
    """Checksum of all evidence, the stock and the question."""
    said = [told.seen, asked.plain, sorted(_stock_g(told).items())]
    return hashlib.sha256(json.dumps(said).encode()).hexdigest()


def _stock_g(told: Campaign) -> dict[str, float]:
    left = {lot.name: stock_g(lot) for lot in told.lots_now}
    return {name: round(max(grams, 0.0), 3) for name, grams in left.items() if grams is not None}


def _today(told: Campaign, asked: Asked) -> Today:
    stock = {name: to_si(grams, "g") for name, grams in _stock_g(told).items()}
    return Today(count=asked.count, paste_kg=to_si(asked.paste_g, "g"), stock_kg=stock, days=asked.days)


def _of_today(told: Campaign, found: Several, one: tuple[Chosen, Today]) -> dict[str, Any]:
    """What is said of one batch beside what any proposal says."""
    chosen, today = one
    makes = batches_left(chosen.proposal.fractions, today)
    return {
        "settles": dict(chosen.settles),
        "any_holds": found.any_holds,
        "notes": list(found.notes),
        "waiting": waiting_words(told.book.brief, today),
        "pending": [called(told, number) for number in found.pending],
        "stock_makes": None if makes is None else {"batches": makes[0], "runs_out": makes[1]},
    }
