"""A sheet of a person's own past: kept byte for byte, looked at, and taken in once, all of it or nothing."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from functools import lru_cache
from itertools import islice
from typing import Any

from django.utils import timezone

from slake.campaign.past.meanings import Settled, read_back, written
from slake.campaign.past.opening import open_table
from slake.campaign.past.rows import MixRow, read_rows
from slake.campaign.past.table import Mark, Table
from slake.campaign.reading_lines import Trouble
from slake.ground.problems import DoesNotFit, Problem
from slake.paste.bases import recipe_from_received
from slake.paste.recipe import WATER
from slake.records.checks import LONGEST_NAME
from slake.records.models import Action, Batch, Sheet
from slake.records.which import current_bench

from .entry import Entry, recorded
from .past_far import in_doubt
from .past_lots import LotPlan, Picks, received
from .past_writing import Worked, keep_worked

TAKE_IN = "take in sheet"
MOST_WATER_PER_DRY = 50
TOLD_EVERY = 200
SHOWN_TROUBLES = 500
Tell = Callable[[int, int, str], None]


def keep_sheet(entry: Entry, name: str, content: bytes) -> Sheet:
    """Keep a file as it came. The same bytes again are the same sheet. Raises Problem for a file that is no table."""
    open_table(content)
    digest = hashlib.sha256(content).hexdigest()
    short = "".join(letter for letter in name if letter.isprintable())[-LONGEST_NAME:].strip() or "unnamed"
    with recorded(entry, "keep sheet", {"name": short, "bytes": len(content)}, digest) as log:
        if log.before is not None:
            return Sheet.objects.get(pk=log.before["sheet"])
        sheet = Sheet.objects.filter(sha256=digest).first() or Sheet.objects.create(
            name=short, sha256=digest, content=content, at=entry.at, person_id=entry.person
        )
        log.answer = {"sheet": sheet.pk}
        return sheet


def table_of(sheet_id: int, sheet: str = "", mark: Mark | None = None) -> Table:
    """The cells of a kept sheet; the last one opened stays at hand."""
    return _opened(current_bench.get(), Sheet.objects.values_list("sha256", flat=True).get(pk=sheet_id), sheet, mark)


@lru_cache(maxsize=1)
def _opened(bench: str, digest: str, sheet: str, mark: Mark | None) -> Table:
    return open_table(bytes(Sheet.objects.get(sha256=digest).content), sheet, mark)


@dataclass(frozen=True, kw_only=True)
class Asked:
    """How a sheet is to be taken in: the columns as settled, the lots they mean, and whether bad rows may be left."""

    settled: Settled
    picks: Picks = field(default_factory=dict)
    only_good: bool = False

    def plain(self) -> dict[str, Any]:
        picks = {at: dict(pick) for at, pick in sorted(self.picks.items())}
        return {"mapping": written(self.settled), "lots": picks, "only_good": self.only_good}


def asked_again(data: dict[str, Any]) -> Asked:
    return Asked(settled=read_back(data["mapping"]), picks=data["lots"], only_good=bool(data["only_good"]))


@dataclass(frozen=True, kw_only=True)
class Looked:
    """What slake reads of a sheet, before anything is kept. `already`: rows this bench took in before."""

    good: tuple[Worked, ...]
    troubles: tuple[Trouble, ...]
    already: tuple[int, ...] = ()

    @property
    def doubts(self) -> list[tuple[int, str]]:
        return [(one.row.number, one.row.doubt) for one in self.good if one.row.doubt]


class NotAllGood(DoesNotFit):
    """Some rows cannot be read and were not given up; nothing was kept."""

    def __init__(self, looked: Looked) -> None:
        self.troubles, self.good = looked.troubles, len(looked.good)
        first, count = looked.troubles[0], len(looked.troubles)
        super().__init__(
            f"{count} of {count + len(looked.good) + len(looked.already)} rows cannot be read (row {first.number}: "
            f"{first.why}): mend the file, or take in only the good rows"
        )


def _untold(done: int, total: int, words: str) -> None:
    """Nobody asked how far it is."""


def look_at_sheet(sheet_id: int, asked: Asked, now: datetime, tell: Tell = _untold, most: int | None = None) -> Looked:
    """Read and work out every row, or the first ones. Raises Problem where columns or lots are not settled yet."""
    settled = asked.settled
    return look_at_table(table_of(sheet_id, settled.sheet, settled.mark), asked, now, tell, most)


def look_at_table(table: Table, asked: Asked, now: datetime, tell: Tell = _untold, most: int | None = None) -> Looked:
    """As look_at_sheet, for a table that is not kept."""
    settled = asked.settled
    plan, good, troubles, already = LotPlan(settled, asked.picks), [], [], []
    here = Counter(Batch.objects.filter(from_notebook=True).values_list("typed_line", flat=True))
    for done, found in enumerate(islice(_each(table, settled, plan, now), most), 1):
        if done % TOLD_EVERY == 0:
            tell(done, len(table.rows), "reading the rows")
        if isinstance(found, Trouble):
            troubles.append(found)
        elif here[found.row.text] > 0:
            here[found.row.text] -= 1
            already.append(found.row.number)
        else:
            good.append(found)
    return Looked(good=in_doubt(good), troubles=tuple(troubles), already=tuple(already))


def _each(table: Table, settled: Settled, plan: LotPlan, now: datetime) -> Iterator[Worked | Trouble]:
    for row in read_rows(table, settled):
        if isinstance(row, Trouble):
            yield row
            continue
        try:
            yield _worked(plan, row, now)
        except Problem as problem:
            yield Trouble(number=row.number, text=row.text, why=str(problem))


def _worked(plan: LotPlan, row: MixRow, now: datetime) -> Worked:
    """The row with its lots and its recipe. Raises Problem where the amounts make none, or the day lies ahead."""
    since = None if row.day is None else timezone.make_aware(row.day)
    if since is not None and since > now:
        raise Problem(f"the day is {row.day:%Y-%m-%d}, and that lies ahead: check the year and which comes first")
    lots = received(plan, row)
    amounts = {key: amount for key, (_, amount) in lots.items()}
    moisture = {key: planned.moisture_wet_basis for key, (planned, _) in lots.items()}
    recipe = recipe_from_received({**amounts, WATER: row.water}, moisture)
    if recipe.water_per_dry > MOST_WATER_PER_DRY:
        raise Problem(
            f"there are {recipe.water_per_dry:.0f} g of water to 1 g of dry, but at most {MOST_WATER_PER_DRY} make a "
            "paste: check the units of the columns"
        )
    return Worked(
        row=row,
        since=since,
        lots={key: planned for key, (planned, _) in lots.items()},
        amounts=amounts,
        parts=dict(recipe.parts),
        water_per_dry=recipe.water_per_dry,
    )


def checksum_of(sheet: Sheet, asked: Asked) -> str:
    """The same file read the same way has the same checksum."""
    said = {key: value for key, value in asked.plain().items() if key != "only_good"}
    return hashlib.sha256(json.dumps([sheet.sha256, said], sort_keys=True).encode()).hexdigest()


def take_in_sheet(entry: Entry, sheet_id: int, asked: Asked, tell: Tell = _untold) -> dict[str, Any]:
    """Keep every row as a batch mixed before slake, in one transaction; the same file read the same way only once.

    Every row is worked out before the transaction begins. Raises NotAllGood where rows are bad and not given up.
    """
    sheet = Sheet.objects.defer("content").get(pk=sheet_id)
    looked = look_at_sheet(sheet_id, asked, entry.at, tell=tell)
    if looked.troubles and not asked.only_good:
        raise NotAllGood(looked)
    if not looked.good and not looked.already:
        raise Problem("not one row can be taken in: look at the reasons, and at what the columns mean")
    tell(0, len(looked.good), "writing all of it at once")
    checksum = checksum_of(sheet, asked)
    with recorded(entry, TAKE_IN, {"sheet": sheet_id, **asked.plain()}, checksum) as log:
        if log.before is not None:
            return dict(log.before)
        before = Action.objects.filter(name=TAKE_IN, checksum=checksum).last()
        first, last = keep_worked(entry, sheet.name, _not_here_yet(looked) if before else looked.good)
        log.answer = _answer(looked, (first, last))
        return dict(log.answer)


def taken_in_before(sheet_id: int) -> Action | None:
    """The last time this very file was taken in, however its columns were read then."""
    return Action.objects.filter(name=TAKE_IN, inputs__sheet=sheet_id).order_by("pk").last()


def _not_here_yet(looked: Looked) -> tuple[Worked, ...]:
    """What of a sheet taken in before is still missing: rows that were bad then."""
    here = set(Batch.objects.filter(from_notebook=True).values_list("typed_line", flat=True))
    return tuple(one for one in looked.good if one.row.text not in here)


def _answer(looked: Looked, batches: tuple[int, int]) -> dict[str, Any]:
    return {
        "batches": list(batches),
        "taken": max(batches[1] - batches[0] + 1, 0),
        "already": len(looked.already),
        "left_out": [[one.number, one.why] for one in looked.troubles[:SHOWN_TROUBLES]],
        "left_out_count": len(looked.troubles),
        "doubts": [list(pair) for pair in looked.doubts[:SHOWN_TROUBLES]],
    }
