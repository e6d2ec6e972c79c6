"""My waste: the first thing said on a new bench, and what slake took where it was left open."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_safe

from slake.actions.lots import GRAMS, LOT_LIMITS, MOST_LOTS, take_lots
from slake.paste.ingredients import Role, catalogue
from slake.records.models import Lot, Machine

from ..asking import attempt, form_page, show
from ..forms import DONT_KNOW, Asking, Row, Rows, choice, line, needed, number, pick, read_within
from ..known import known_of

SHOWN_AT_FIRST = 3
YES_NO = [("yes", "yes"), ("no", "no"), ("", DONT_KNOW)]
ROLES = [("", "as slake knows it"), *((role.value, role.value) for role in Role)]


class LotRow(Row):
    """One waste or gum. Only the ingredient is needed."""

    ingredient = needed(line("What is it", known="ingredients", hint="Such as mussel shell, spent grain, guar gum."))
    dried = choice("Dried", YES_NO)
    sieve_um = number("Sieved at", "um", hint="“500”, or in mm: “0,5 mm”.")
    moisture_percent = number("Moisture, of the mass as it is", "%")
    name = line("Your name for this lot", hint="Left empty it is called after the ingredient.")
    role = pick("What it is there for", ROLES, hint="Only needed where slake does not know the ingredient.")
    water_demand = number("Water it drinks to a firm ball", "g/g dry")
    grams = number("Grams you have, as received", "g", open_word="not counted")
    note = line("Note", hint="Where from, when, how washed and heated.", longest=2000)

    FIRST = ("ingredient", "dried", "sieve_um", "moisture_percent")

    @property
    def first(self) -> list[object]:
        return [self[name] for name in self.FIRST]

    @property
    def more(self) -> list[object]:
        return [field for field in self if field.name not in self.FIRST]


read_within(LotRow, {**LOT_LIMITS, "grams": ("grams", GRAMS)})


@form_page
def start(request: HttpRequest) -> HttpResponse:
    """Take in the lots of a new bench, or further ones."""
    data = request.POST if request.method == "POST" else None
    form, rows = Asking(data), Rows(LotRow, data, shown=SHOWN_AT_FIRST, most=MOST_LOTS)
    taken = attempt(request, form, lambda entry: take_lots(entry, rows.typed), rows)
    if taken is not None:
        return redirect("start_taken")
    items = catalogue().values()
    return show(request, "pages/start/waste.html", form, rows=rows, catalogue=items, lots=Lot.objects.count())


@require_safe
def start_taken(request: HttpRequest) -> HttpResponse:
    """What is known of each lot now, and what one weighing would save."""
    lots = [known_of(lot) for lot in Lot.objects.order_by("id")]
    return show(request, "pages/start/taken.html", lots=lots, machine=Machine.objects.last())
