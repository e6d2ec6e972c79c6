"""Readings this bench declared itself, and a form for one more."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from slake.actions.own_readings import declare_reading
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
    if attempt(request, form, lambda entry: declare_reading(entry, form.typed)) is not None:
        return redirect("own_readings")
    return show(request, "pages/tests/own.html", form, declared=OwnTest.objects.all())
