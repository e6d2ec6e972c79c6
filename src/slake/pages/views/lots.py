"""Lots: what is known of each, what is left of it, what heat it saw."""

from __future__ import annotations

from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_safe

from slake.actions.answers import meaning
from slake.actions.asked import outlook_asked
from slake.actions.heating import BEFORE, DRY, WET, WETTED, is_powder, log_heat
from slake.actions.lots import describe_lot, move_stock, stock_g
from slake.bench.declaration import About
from slake.bench.shelf import all_tests
from slake.records.models import Amount, Lot
from slake.records.models.materials import STOCK_WHY

from ..asking import attempt, form_page, show
from ..forms import DONT_KNOW, Asking, Row, Rows, choice, number, pick, words
from ..known import known_of
from ..paging import page_of
from ..readings import said_of
from ..stock.ledger import last_recipe

YES_NO = [("yes", "yes"), ("no", "no"), ("", DONT_KNOW)]
BY_HAND = [(why, why) for why in STOCK_WHY if why != "weighed out"]
STATES = [(WET, "wet"), (DRY, "dry powder")]
STATES_OF_POWDER = [
    ("", "choose"),
    (BEFORE, "wet, before it was dried and milled"),
    (DRY, "powder, dry"),
    (WETTED, "powder, wetted again"),
]
HEAT_ROWS = 3
MOVES_SHOWN = 5


@require_safe
def lots(request: HttpRequest) -> HttpResponse:
    """Newest first; what is known of each from its readings."""
    page = page_of(request, Lot.objects.prefetch_related("readings__strike", "moves"))
    return show(request, "pages/lots/list.html", page=page, lots=[known_of(lot) for lot in page.rows])


@require_safe
def lot(request: HttpRequest, lot_id: int) -> HttpResponse:
    """Everything of one lot."""
    one = get_object_or_404(Lot, pk=lot_id)
    tests = [test for test in all_tests().values() if test.read_of(About.LOT.value)]
    says = partial(meaning, own={})
    readings = [said_of(row, says) for row in one.readings.select_related("strike", "person", "instrument")]
    context = {
        "moves": one.moves.select_related("batch").order_by("-id")[:MOVES_SHOWN],
        "move_count": one.moves.count(),
        "outlook": outlook_asked(one, {}),
        "recipe": last_recipe(one),
        "parents": one.parents.select_related("parent"),
        "children": one.children.select_related("child"),
        "bucket": one.buckets.first(),
        "kin_mixed": Amount.objects.filter(lot__ingredient=one.ingredient).exclude(lot=one).exists(),
    }
    return show(request, "pages/lots/one.html", known=known_of(one), tests=tests, readings=readings, **context)


class LotForm(Asking):
    sieve_um = number("Sieved at", "um", hint="“500”, or in mm: “0,5 mm”.")
    dried = choice("Dried", YES_NO)
    moisture_percent = number(
        "Moisture, of the mass as it is", "%", hint="Only if you know it. A reading of this lot outranks it."
    )
    water_demand = number("Water it drinks to a firm ball", "g/g dry")
    note = words("Note", hint="Where from, when, how washed, heated, milled.")


@form_page
def edit_lot(request: HttpRequest, lot_id: int) -> HttpResponse:
    """Say more of a lot, or say it better."""
    one = get_object_or_404(Lot, pk=lot_id)
    form = LotForm(request.POST or None, initial={**_as_typed(one), "revision": one.revision})
    if attempt(request, form, lambda entry: describe_lot(entry, lot_id, form.typed, form.seen_revision)) is not None:
        return redirect("lot", lot_id)
    if form.moved_on:
        form.see_revision(one.revision)
    return show(request, "pages/lots/edit.html", form, lot=one)


def _as_typed(one: Lot) -> dict[str, str]:
    numbers = {name: getattr(one, name) for name in ("sieve_um", "moisture_percent", "water_demand")}
    typed = {name: "" if value is None else f"{value:g}" for name, value in numbers.items()}
    return {**typed, "dried": {True: "yes", False: "no", None: ""}[one.dried], "note": one.note}


class StockForm(Asking):
    grams = number(
        "Grams, as received", "g", open_word="", hint="To put right: the difference, with a minus where there is less."
    )
    why = choice("Why", BY_HAND)


@form_page
def lot_stock(request: HttpRequest, lot_id: int) -> HttpResponse:
    """Grams in or out by hand."""
    one = get_object_or_404(Lot, pk=lot_id)
    form = StockForm(request.POST or None, initial={"why": "came in"})
    done = attempt(request, form, lambda entry: move_stock(entry, lot_id, form.typed["grams"], form.typed["why"]))
    if done:
        return redirect("lot" if stock_g(one) is not None else "lot_stock", lot_id)
    moves = one.moves.order_by("-id")[:MOVES_SHOWN]
    return show(request, "pages/lots/stock.html", form, known=known_of(one), moves=moves)


class HeatRow(Row):
    minutes = number("Minutes", "min", open_word="")
    temperature_c = number("Lowest temperature in the coldest spot", "C", open_word="")
    state = pick("The waste was", STATES)

    @property
    def is_blank(self) -> bool:
        return not any(self.cleaned_data[name].strip() for name in ("minutes", "temperature_c"))


@form_page
def lot_heat(request: HttpRequest, lot_id: int) -> HttpResponse:
    """What heat the waste saw."""
    one = get_object_or_404(Lot, pk=lot_id)
    data = request.POST if request.method == "POST" else None
    form, rows = Asking(data), Rows(HeatRow, data, shown=HEAT_ROWS)
    powder = is_powder(one)
    for row in rows.rows if powder else ():
        row.fields["state"].widget.choices = STATES_OF_POWDER
    if attempt(request, form, lambda entry: log_heat(entry, lot_id, rows.typed), rows) is not None:
        return redirect("lot", lot_id)
    return show(request, "pages/lots/heat.html", form, rows=rows, known=known_of(one), powder=powder)
