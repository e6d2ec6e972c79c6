"""The door for a file of one's own past, and the page on which its columns are settled and looked through."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone

from slake.actions.entry import Entry
from slake.actions.past import Asked, Looked, asked_again, keep_sheet, look_at_sheet, table_of, taken_in_before
from slake.actions.past_lots import NEW
from slake.campaign.past.figures import DAY_WORDS, FIGURE_WORDS, Days, Figures
from slake.campaign.past.guessing import guess_settled
from slake.campaign.past.meanings import AMOUNT_UNITS, Means, Settled
from slake.campaign.past.table import LARGEST_BYTES, MARK_WORDS, MOST_COLUMNS, MOST_ROWS, Mark, Table
from slake.ground.problems import Problem
from slake.jobs.asking import ask
from slake.jobs.kinds import TAKE_IN
from slake.paste.ingredients import Role
from slake.records.models import Action, Job, Lot, Sheet

from ..asking import attempt, entry_of, form_page, show
from ..forms import Asking, line, number, pick
from .cards import cards, picks_from, settled_from
from .looked import first_rows, notes, shown_looked

LOOKED_AT = 1000
SHOWN_SHEETS = 60


class FileForm(Asking):
    file = forms.FileField(
        label="The file", required=False, widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx"})
    )


@form_page
def past(request: HttpRequest) -> HttpResponse:
    """Bring a file, or go on with one that was kept."""
    form = FileForm(request.POST or None)
    kept = attempt(request, form, lambda entry: _kept(entry, request.FILES.get("file")))
    if kept is not None:
        return redirect("past-sheet", kept.pk)
    limits = {"mb": LARGEST_BYTES // 2**20, "rows": MOST_ROWS, "columns": MOST_COLUMNS}
    sheets = Sheet.objects.defer("content").order_by("-id")[:SHOWN_SHEETS]
    return show(request, "past/door.html", form, sheets=sheets, limits=limits, jobs=Job.objects.order_by("-pk")[:8])


def _kept(entry: Entry, file: UploadedFile | None) -> Sheet:
    """The entry is that of the form and of these bytes: another file sent from the same form is another entry."""
    name, content = _brought(file)
    return keep_sheet(replace(entry, id=f"{entry.id[:47]}.{hashlib.sha256(content).hexdigest()[:16]}"), name, content)


def _brought(file: UploadedFile | None) -> tuple[str, bytes]:
    if file is None:
        raise Problem("no file was chosen: choose the table first")
    if (file.size or 0) > LARGEST_BYTES:
        size = (file.size or 0) / 2**20
        raise Problem(
            f"the file has {size:.1f} MB, but at most {LARGEST_BYTES // 2**20} MB are taken: cut it, or bring it in "
            "several files"
        )
    return file.name or "", file.read()


class SheetForm(Asking):
    """How the table as a whole is read; its columns are asked card by card."""

    sheet = pick("Sheet of the workbook", [])
    mark = pick("Between the cells", [("", "found by slake"), *((m.name, words) for m, words in MARK_WORDS.items())])
    headings_in = line("Headings are in row")
    figures = pick("Numbers are written", [(f.value, words) for f, words in FIGURE_WORDS.items()])
    days = pick("Days are written", [(d.value, words) for d, words in DAY_WORDS.items()])
    unit_all = pick("Unit of every amount whose heading says none", [("", "ask for each"), *AMOUNT_UNITS.items()])
    lot_all = pick(
        "Every ingredient that is no lot yet",
        [("", "ask for each"), *((NEW + role.value, f"becomes a new lot: {role.value}") for role in Role)],
    )
    moisture_all = number("Moisture of new lots, wet basis", "%", open_word="usual")


@dataclass(frozen=True, kw_only=True)
class Read:
    """A sheet as it stands on the page."""

    table: Table
    asked: Asked | None = None
    looked: Looked | None = None
    question: str = ""


@form_page
def sheet(request: HttpRequest, sheet_id: int) -> HttpResponse:
    """Settle the columns; look; then have it taken in. What stands in the way of a first look is asked, not refused."""
    kept = get_object_or_404(Sheet.objects.defer("content"), pk=sheet_id)
    form = SheetForm(request.POST if request.method == "POST" else None)
    form.is_valid()
    read = Read(table=table_of(sheet_id))
    try:
        read = replace(read, table=_table(request.POST, sheet_id))
        read = replace(read, asked=_asked_before(request, sheet_id) or _asked(request.POST, read.table))
        if request.POST.get("save") in {"all", "good"} and not form.sentences:
            return _asked_for(request, sheet_id, read.asked)
        read = replace(read, looked=look_at_sheet(sheet_id, read.asked, timezone.now(), most=LOOKED_AT))
    except Problem as problem:
        read = replace(read, question="" if form.is_bound else str(problem))
        if form.is_bound:
            form.refuse(problem)
    return _page(request, kept, form, read)


def _asked_for(request: HttpRequest, sheet_id: int, asked: Asked | None) -> HttpResponse:
    """Columns and lots must be settled before the work is asked for."""
    if asked is None:
        raise Problem("it is not settled yet what the columns mean: look at what slake reads first")
    look_at_sheet(sheet_id, asked, timezone.now(), most=1)
    return redirect("job", ask(entry_of(request), TAKE_IN, {"sheet": sheet_id, **asked.plain()}).pk)


def _table(posted: QueryDict, sheet_id: int) -> Table:
    return table_of(sheet_id, posted.get("sheet", ""), _mark(posted.get("mark", "")))


def _asked(posted: QueryDict, table: Table) -> Asked:
    """The columns: as posted where the cells are cut as they were on that page, else as guessed anew."""
    lots = list(Lot.objects.order_by("name"))
    guessed = guess_settled(table, _row(posted.get("headings_in", "")), frozenset(lot.name.casefold() for lot in lots))
    if posted.get("read_as") != _signature(guessed):
        return Asked(settled=guessed, picks=picks_from({}, guessed, lots))
    settled = settled_from(posted, _as_written(posted, guessed))
    return Asked(settled=settled, picks=picks_from(posted, settled, lots), only_good=posted.get("save") == "good")


def _asked_before(request: HttpRequest, sheet_id: int) -> Asked | None:
    """What was asked for in a job that came to nothing, or when the sheet was taken in: nothing is chosen twice."""
    if request.method == "POST":
        return None
    text = request.GET.get("job", "")
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 12 else 0
    done: Job | Action | None = Job.objects.filter(pk=number, kind=TAKE_IN).first() or taken_in_before(sheet_id)
    return None if done is None or done.inputs.get("sheet") != sheet_id else _as_asked(done.inputs, sheet_id)


def _as_asked(inputs: dict[str, Any], sheet_id: int) -> Asked:
    asked = asked_again(inputs)
    row = table_of(sheet_id, asked.settled.sheet, asked.settled.mark).row_at(asked.settled.headings_in)
    blank = guess_settled(table_of(sheet_id, asked.settled.sheet, asked.settled.mark), row.number)
    chosen = {column.at: column for column in asked.settled.columns}
    columns = tuple(chosen.get(c.at, replace(c, means=Means.IGNORE, test="", choices={})) for c in blank.columns)
    return replace(asked, settled=replace(asked.settled, columns=columns), only_good=False)


def _mark(word: str) -> Mark | None:
    if word and word not in Mark.__members__:
        raise Problem(f"the cells are cut at “{word[:20]}”: choose tabs, semicolons or commas")
    return Mark[word] if word else None


def _row(typed: str) -> int | None:
    text = typed.strip()
    if text and not (text.isascii() and text.isdigit() and len(text) < 8):
        raise Problem(f"the headings are said to be in row “{text[:20]}”: give the number of the row, such as 1")
    return int(text) if text else None


def _as_written(posted: QueryDict, guessed: Settled) -> Settled:
    """Numbers and days as the person says they are written."""
    figures = {one.value: one for one in Figures}.get(posted.get("figures", ""), guessed.figures)
    days = {one.value: one for one in Days}.get(posted.get("days", ""), guessed.days)
    return replace(guessed, figures=figures, days=days)


def _signature(settled: Settled) -> str:
    """Names the cut the cards of a page were made for."""
    return f"{settled.sheet}|{settled.mark.name if settled.mark else ''}|{settled.headings_in}"


def _page(request: HttpRequest, kept: Sheet, form: SheetForm, read: Read) -> HttpResponse:
    table, settled = read.table, read.asked.settled if read.asked else None
    again = SheetForm(initial=_filled(request.POST, settled))
    again.fields["sheet"].widget.choices = [(name, name) for name in table.sheets]
    return show(
        request,
        "past/sheet.html",
        form,
        kept=kept,
        again=again,
        asked=[field for field in again.asked if field.name != ("mark" if table.sheets else "sheet")],
        read_as=_signature(settled) if settled else "",
        cards=cards(table, settled, list(Lot.objects.order_by("name")), read.asked.picks) if settled else [],
        top=first_rows(table) if settled is None else [],
        notes=notes(table),
        question=read.question,
        before=taken_in_before(kept.pk),
        looked=shown_looked(read.looked, table, LOOKED_AT) if read.looked else None,
    )


def _filled(posted: QueryDict, settled: Settled | None) -> dict[str, str]:
    """What the whole-table fields hold: as settled, else as typed."""
    names = ("unit_all", "lot_all", "moisture_all", *(() if settled else ("sheet", "mark", "headings_in")))
    typed = {name: text for name in names if (text := posted.get(name, ""))}
    if settled is None:
        return typed
    return {
        **typed,
        "sheet": settled.sheet,
        "mark": settled.mark.name if settled.mark else "",
        "headings_in": str(settled.headings_in),
        "figures": settled.figures.value,
        "days": settled.days.value,
    }
