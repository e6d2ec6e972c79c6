"""Lots poured together: a new lot that keeps its parents."""

from __future__ import annotations

from collections.abc import Mapping

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from slake.actions.blending import MOST_PARENTS, blend_lots
from slake.actions.lots import stocks_g
from slake.paste.ingredients import Role
from slake.records.models import Lot

from ..asking import attempt, form_page, show
from ..forms import Asking, Row, Rows, line, number, pick, words
from ..templatetags.bench import grams as said_grams

ROWS = 2
ROLES = [("", "as its parents"), *((role.value, role.value) for role in Role)]
LONGEST_NUMBER = 9


class BlendForm(Asking):
    name = line("Your name for the blend", hint="Left empty it is called after the lots in it.")
    ingredient = line("What the mix is called", hint="Only for unlike ingredients: a name of its own.")
    role = pick("What it is there for", ROLES, hint="Only for lots of unlike kind.")
    note = words("Note", rows=2)


class PartRow(Row):
    lot = pick("Lot", [])
    grams = number("Grams of it, as received", "g", open_word="")


@form_page
def blend(request: HttpRequest) -> HttpResponse:
    """Two lots or more become one; the address may name the lot that is to be topped up."""
    data = request.POST if request.method == "POST" else None
    form, rows = BlendForm(data), Rows(PartRow, data, shown=ROWS, most=MOST_PARENTS)
    first = _asked_for(request)
    left = stocks_g()
    offered = [("", "choose a lot"), *((str(lot.pk), _said(lot, left)) for lot in Lot.objects.order_by("-id"))]
    for row in rows.rows:
        row.fields["lot"].widget.choices = offered
    if first is not None:
        rows.rows[0].initial["lot"] = str(first.pk)
    made = attempt(request, form, lambda entry: blend_lots(entry, rows.typed, form.typed), rows)
    if made is not None:
        return redirect("lot", made.pk)
    return show(request, "stock/blend.html", form, rows=rows, first=first, lots=len(offered) - 1)


def _said(lot: Lot, left: Mapping[int, float]) -> str:
    return f"{lot.name}, {lot.role}, {said_grams(left.get(lot.pk))}"


def _asked_for(request: HttpRequest) -> Lot | None:
    text = request.GET.get("of", "")
    fits = text.isascii() and text.isdigit() and len(text) <= LONGEST_NUMBER
    return Lot.objects.filter(pk=int(text)).first() if fits else None
