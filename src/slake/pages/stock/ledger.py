"""The ledger of one lot with its running sum, what it still makes, and when to stop for a bridge."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from slake.actions.asked import outlook_asked
from slake.actions.lots import stock_g
from slake.actions.stock import ledger_newest, usual_g
from slake.ground.numbers import is_open
from slake.records.models import Amount, Lot, Recipe

from ..forms import Asking, number
from .address import from_address, told_or_why

LINES = 100
ASKED = ("per_batch_g", "planned")


class OutlookForm(Asking):
    per_batch_g = number("Grams a batch takes of it", "g", open_word="as its last batches")
    planned = number("Batches still planned", open_word="not said")


@require_safe
def lot_ledger(request: HttpRequest, lot_id: int) -> HttpResponse:
    """Every move, newest first, with what was left after it."""
    one = get_object_or_404(Lot, pk=lot_id)
    typed = from_address(request, ASKED)
    found, why = told_or_why(lambda: outlook_asked(one, typed), lambda: outlook_asked(one, {}))
    start = _start(request)
    lines, count = ledger_newest(one, start, LINES)
    context = {
        "lot": one,
        "form": OutlookForm(initial=typed),
        "outlook": found,
        "said_plan": not is_open(typed["planned"]) and not why,
        "lines": lines,
        "older": start + LINES if start + LINES < count else None,
        "newer": max(start - LINES, 0) if start else None,
        "left_g": stock_g(one),
        "usual_g": usual_g(one),
        "recipe": last_recipe(one),
        "sentences": why,
    }
    return render(request, "stock/ledger.html", context, status=422 if why else 200)


def _start(request: HttpRequest) -> int:
    text = request.GET.get("from", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 0


def last_recipe(lot: Lot) -> Recipe | None:
    """The recipe this lot was last mixed by."""
    row = Amount.objects.filter(lot=lot).select_related("batch__recipe").order_by("-batch__number").first()
    return None if row is None else row.batch.recipe
