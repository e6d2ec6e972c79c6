"""Instruments: which there are, what is known of each, how it showed something known, and what changed when."""

from __future__ import annotations

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_safe

from slake.actions.checks_said import checks_said
from slake.actions.instruments import CHECK_UNITS, check_instrument, describe_instrument, facts_of, instruments
from slake.bench.declaration import Choice, Input
from slake.ground.problems import plain
from slake.records.models import Instrument
from slake.records.models.instruments import INSTRUMENT_KINDS

from ..asking import attempt, form_page, show
from ..forms import DONT_KNOW, Asking, choice, form_of, line, number

UNIT_OF_KIND = {"calipers": "mm", "syringe": "mL", "cylinder": "mm"}
SHOWN_OF = {"scale": "a coin or check weight", "bowl": "its empty mass", "cone": "its mass, ballast and all"}


class InstrumentForm(Asking):
    """Name and note; the facts of the kind come between."""

    name = line("Name", hint="What you call it. The same name again is a change of the same instrument.")
    note = line("What changed, or a note", longest=500)


def _fact_field(item: Input) -> forms.Field:
    label = item.label[:1].upper() + item.label[1:]
    if isinstance(item, Choice):
        return choice(label, [*item.words.items(), ("", DONT_KNOW)], hint=item.help)
    unit = f" {item.unit}" if item.unit else ""
    return number(label, item.unit, hint=f"From {plain(item.low)} to {plain(item.high)}{unit}.")


def _form(kind: str, data: object, known: Instrument | None) -> Asking:
    facts = {name: _fact_field(item) for name, item in facts_of(kind).items()}
    initial = {} if known is None else {"name": known.name, "note": known.note, **known.facts}
    made = form_of("InstrumentOf", facts, InstrumentForm)(data, initial=initial)
    made.order_fields(["entry", "revision", "name", *facts, "note"])
    return made


def _now(instrument_id: int) -> Instrument:
    """The instrument as it is now, found by any of its revisions."""
    row = get_object_or_404(Instrument, pk=instrument_id)
    return Instrument.objects.filter(name=row.name).order_by("since", "id").last() or row


@require_safe
def list_all(request: HttpRequest) -> HttpResponse:
    """Every instrument as it is now, with what its last check said."""
    rows = [(row, next(iter(checks_said(row)), None), _facts_said(row)) for row in instruments()]
    return show(request, "pages/instruments/list.html", rows=rows, kinds=INSTRUMENT_KINDS)


def _facts_said(row: Instrument) -> list[tuple[str, str]]:
    """Each fact in words: label, and what was typed with its unit."""
    said = []
    for name, item in facts_of(row.kind).items():
        text = row.facts.get(name, "")
        if text:
            said.append((item.label, item.words.get(text, text) if isinstance(item, Choice) else f"{text} {item.unit}"))
    return said


@require_safe
def one(request: HttpRequest, instrument_id: int) -> HttpResponse:
    """One instrument: as it is, its log of checks, and as it was."""
    now = _now(instrument_id)
    earlier = [
        (row, _facts_said(row)) for row in Instrument.objects.filter(name=now.name).order_by("-since", "-id")[1:]
    ]
    context = {"one": now, "facts": _facts_said(now), "checks": checks_said(now), "earlier": earlier}
    return show(request, "pages/instruments/one.html", **context, readings=_readings(now))


def _readings(now: Instrument) -> int:
    return sum(row.readings.count() for row in Instrument.objects.filter(name=now.name))


@form_page
def new(request: HttpRequest, kind: str) -> HttpResponse:
    """A new instrument of one kind."""
    if kind not in INSTRUMENT_KINDS:
        raise Http404("no such kind of instrument")
    return _describe(request, kind, None)


@form_page
def change(request: HttpRequest, instrument_id: int) -> HttpResponse:
    """What changed on an instrument, from today on."""
    now = _now(instrument_id)
    return _describe(request, now.kind, now)


def _describe(request: HttpRequest, kind: str, known: Instrument | None) -> HttpResponse:
    form = _form(kind, request.POST if request.method == "POST" else None, known)
    name = {} if known is None else {"name": known.name}
    kept = attempt(request, form, lambda entry: describe_instrument(entry, {**form.typed, "kind": kind, **name}))
    if kept is not None:
        return redirect("instrument", kept.pk)
    return show(request, "pages/instruments/describe.html", form, kind=kind, known=known)


class CheckForm(Asking):
    known = number("It should show", open_word="", hint="What the coin, weight or gauge is.")
    shown = number("It shows", open_word="")
    unit = choice("Unit", [(unit, unit) for unit in CHECK_UNITS])


@form_page
def check(request: HttpRequest, instrument_id: int) -> HttpResponse:
    """What it shows of something known."""
    now = _now(instrument_id)
    form = CheckForm(request.POST or None, initial={"unit": UNIT_OF_KIND.get(now.kind, "g")})

    def keep(entry: object) -> object:
        said = form.typed
        return check_instrument(entry, now.pk, said["known"], said["shown"], said["unit"])

    if attempt(request, form, keep) is not None:
        return redirect("instrument", now.pk)
    return show(request, "pages/instruments/check.html", form, one=now, what=SHOWN_OF.get(now.kind, "something known"))
