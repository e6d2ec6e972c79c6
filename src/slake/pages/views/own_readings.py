"""Readings this bench declared itself, and a form for one more."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect

from slake.actions.own_readings import declare_reading, strike_declaration
from slake.bench.own import properties
from slake.bench.shelf import all_tests
from slake.records.models import OwnTest

from ..asking import attempt, form_page, show
from ..forms import Asking, choice, line, number, pick, words

PLAIN = [("", "a plain number: slake knows nothing of it")]


def informed() -> list[tuple[str, str]]:
    """Properties some bench test of slake's own informs, in words."""
    known = properties()
    keys = sorted({test.informs for test in all_tests().values() if test.informs in known})
    return [(key, f"{known[key]['meaning']} ({known[key]['unit'] or 'ratio'})") for key in keys]


class OwnReadingForm(Asking):
    title = line("What it is called", hint="Such as flow, pH, shade.")
    unit = line("Unit", hint="Such as cm, s, %; left open for a count or a grade.", longest=20)
    about = choice("Read of a", [("batch", "batch"), ("lot", "lot")])
    floor = number(
        "Where its scale starts", hint="A value there only says “at most this”: a flow of 20 cm on a 20 cm base."
    )
    ceiling = number("Where its scale ends", hint="A value there only says “at least this”.")
    informs = pick("What it tells of", PLAIN)
    scatter = number("One reading against the next", hint="In its unit; left open: 5 % of the value.")
    note = words("How it is done")

    def __init__(self, *args: object, **more: object) -> None:
        super().__init__(*args, **more)
        self.fields["informs"].widget.choices = [*PLAIN, *informed()]


@form_page
def own_readings(request: HttpRequest) -> HttpResponse:
    form = OwnReadingForm(request.POST or None, initial={"about": "batch"})
    made = attempt(request, form, lambda entry: declare_reading(entry, form.typed))
    if made is not None:
        messages.success(request, f"“{made.title}” is declared: it is read at the bench and known to the notebook now.")
        return redirect("own_readings")
    declared = OwnTest.objects.select_related("strike")
    context = {"declared": declared.filter(strike=None), "struck": declared.exclude(strike=None)}
    return show(request, "pages/tests/own.html", form, **context)


class StrikeForm(Asking):
    reason = words("Why", hint="The declaration stays readable; this says why nothing is read by it any more.")


@form_page
def strike_one(request: HttpRequest, own_id: int) -> HttpResponse:
    """A line through a declaration, with the reason."""
    own = get_object_or_404(OwnTest, pk=own_id)
    form = StrikeForm(request.POST or None)
    if attempt(request, form, lambda entry: strike_declaration(entry, own_id, form.typed["reason"])) is not None:
        messages.success(request, f"“{own.title}” is struck through: nothing is read by it any more.")
        return redirect("own_readings")
    return show(request, "pages/tests/strike_own.html", form, own=own)
