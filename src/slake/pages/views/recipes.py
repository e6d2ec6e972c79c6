"""Recipes: what another bench needs of one, what is still missing, and the recipe as a file."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_safe

from slake import __version__
from slake.actions.bridge import begin_from_lots
from slake.actions.details import SUBJECTS, details_of, lots_of, missing_fields, note_detail, recipe_rows
from slake.actions.entry import Entry
from slake.actions.mixing import begin_from_recipe
from slake.actions.stock import LotNow, lots_now
from slake.campaign.passport import Field, passport
from slake.campaign.past.outgoing import harmless
from slake.records.models import Batch, Recipe

from ..asking import attempt, form_page, show
from ..forms import Asking, form_of, number, pick, words
from ..paging import page_of
from ..templatetags.bench import grams

BATCHES_SHOWN = 20
COLUMNS = ["of", "field", "value", "unit", "basis"]


class SizeForm(Asking):
    dry_g = number("Dry solids", "g", open_word="300")
    paste_g = number("or wet paste", "g", open_word="")
    cartridges = number("or cartridges", open_word="")
    cartridge_ml = number("of how much each", "mL", open_word="as the machine says")


@form_page
def recipe(request: HttpRequest, recipe_id: int) -> HttpResponse:
    """One recipe, its batches, what is missing; or mix it again."""
    one = get_object_or_404(Recipe.objects.select_related("parent"), pk=recipe_id)
    lots = lots_now(one)
    form = _size_form(lots)(request.POST or None)
    begun = attempt(request, form, lambda entry: _begin(entry, one, lots, form.typed))
    if begun is not None:
        return redirect("batch", begun.number)
    page = page_of(request, one.batches.all(), by="number", most=BATCHES_SHOWN)
    context = {"recipe": one, "lots": lots, "page": page, "batches": page.rows}
    context |= {"missing": _missing(one), "details": details_of("recipe", one.pk).values()}
    return show(request, "pages/recipes/one.html", form, **context)


def _size_form(lots: list[LotNow]) -> type[Asking]:
    """How much, and for each lot that has a newer one, which of the two to take."""
    picks = {}
    for row in lots:
        if row.newer is not None:
            both = [(str(row.lot.pk), f"{row.lot.name}, {grams(row.left_g)}"), (str(row.newer.pk), row.newer.name)]
            offered = both[::-1] if row.used_up else both
            picks[_pick_name(row)] = pick(f"{row.lot.name}: take", offered)
    return form_of("SizeOf", picks, SizeForm)


def _pick_name(row: LotNow) -> str:
    return f"take_{row.lot.pk}"


def _begin(entry: Entry, one: Recipe, lots: list[LotNow], typed: Mapping[str, str]) -> Batch:
    """Once more from its own lots, or from those chosen instead."""
    swaps = {row.lot.name: number for row in lots if (number := typed.get(_pick_name(row), "").strip())}
    size = {name: text for name, text in typed.items() if not name.startswith("take_")}
    if all(swaps.get(row.lot.name, str(row.lot.pk)) == str(row.lot.pk) for row in lots):
        return begin_from_recipe(entry, one.pk, size)
    return begin_from_lots(entry, one.pk, swaps, size)


@dataclass(frozen=True, kw_only=True)
class Lacking:
    """What one thing still lacks: its name, its kind and row, and the fields in words."""

    of: str
    subject: str
    row: int | None
    fields: tuple[str, ...]


def _missing(one: Recipe) -> list[Lacking]:
    """Missing fields gathered by the thing they belong to, so that a page can lead to it."""
    last = one.batches.last()
    rows = {("recipe", "recipe"): one.pk} | {("lot", lot.name): lot.pk for lot in lots_of(one)}
    if last is not None:
        rows[("batch", str(last))] = last.pk
        if last.machine is not None:
            rows[("machine", last.machine.name)] = last.machine.pk
    found: dict[tuple[str, str], list[str]] = {}
    for of, field in missing_fields(one):
        found.setdefault((field.subject, of), []).append(field.words)
    return [
        Lacking(of=of, subject=subject, row=rows.get((subject, of)), fields=tuple(words))
        for (subject, of), words in found.items()
    ]


@require_safe
def recipe_csv(request: HttpRequest, recipe_id: int) -> HttpResponse:
    """The recipe as rows; text that a spreadsheet would run as a formula is made harmless."""
    one = get_object_or_404(Recipe, pk=recipe_id)
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS)
    writer.writeheader()
    writer.writerows({key: harmless(cell) for key, cell in row.items()} for row in recipe_rows(one))
    return _file(text.getvalue(), "text/csv; charset=utf-8", f"recipe-{one.pk}.csv")


@require_safe
def recipe_json(request: HttpRequest, recipe_id: int) -> HttpResponse:
    one = get_object_or_404(Recipe, pk=recipe_id)
    held = {"made_by": f"slake {__version__}", "ranges": "80 %", "recipe": one.name, "rows": recipe_rows(one)}
    text = json.dumps(held, ensure_ascii=False, indent=1, allow_nan=False)
    return _file(text, "application/json; charset=utf-8", f"recipe-{one.pk}.json")


def _file(text: str, kind: str, name: str) -> HttpResponse:
    return HttpResponse(text, content_type=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'})


class DetailForm(Asking):
    field = pick("Field", [])
    text = words("What is known")


@form_page
def details(request: HttpRequest, subject: str, subject_id: int) -> HttpResponse:
    """Fill in one further field of a recipe, lot, batch or machine."""
    if subject not in SUBJECTS:
        raise Http404("nothing of that kind has details")
    thing = get_object_or_404(SUBJECTS[subject], pk=subject_id)
    fields = {name: field for (of, name), field in passport().items() if of == subject and not field.held}
    form = DetailForm(request.POST or None)
    form.fields["field"].widget.choices = [(name, _asked(field)) for name, field in fields.items()]
    noted = attempt(
        request,
        form,
        lambda entry: note_detail(entry, subject, subject_id, form.typed["field"], form.typed["text"]),
    )
    if noted is not None:
        return redirect("details", subject, subject_id)
    known = [(fields[name], detail) for name, detail in details_of(subject, subject_id).items() if name in fields]
    return show(request, "pages/recipes/details.html", form, thing=thing, subject=subject, known=known)


def _asked(field: Field) -> str:
    return f"{field.words} ({field.unit})" if field.unit else field.words
