"""The brief: what the paste and the part must do, one window per declared reading."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.contrib import messages
from django.forms import BoundField
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from slake.actions.entry import Entry
from slake.actions.setting_up import set_brief
from slake.bench.declaration import BenchTest
from slake.bench.shelf import all_tests
from slake.campaign.brief import read_brief
from slake.records.models import Batch, Brief
from slake.records.values import windows_of

from ..asking import attempt, form_page, show
from ..forms import Asking, form_of, number, words
from ..templatetags.bench import unit_word

Windows = Mapping[str, tuple[float | None, float | None]]


class BriefForm(Asking):
    """Two ends per reading."""

    @property
    def windows(self) -> dict[str, tuple[str, str]]:
        names = [name.removeprefix("low_") for name in self.fields if name.startswith("low_")]
        return {name: (self.typed[f"low_{name}"], self.typed[f"high_{name}"]) for name in names}


@form_page
def brief(request: HttpRequest) -> HttpResponse:
    """Say the brief, beginning from the one that stands or from the usual windows."""
    tests = [test for test in all_tests().values() if test.read_of("batch")]
    now, usual = Brief.objects.last(), usual_windows(tests)
    form = _form(tests)(request.POST or None, initial=_as_typed(windows_of(now) if now else usual, now))
    done = attempt(request, form, lambda entry: _set(entry, form, usual))
    if done is not None:
        messages.success(request, "The brief is kept. What was tried is judged by it from now on.")
        return redirect("brief" if Batch.objects.exists() else f"{reverse('home')}notebook/")
    earlier = Brief.objects.order_by("-id")[1:11]
    lines = [_line(test, form, usual) for test in tests]
    first = [line for line in lines if line.usual or line.filled]
    rest = [line for line in lines if line not in first]
    shown = {"first": first, "rest": rest, "rest_open": any(line.is_wrong for line in rest)}
    return show(request, "pages/brief/set.html", form, **shown, now=now, earlier=earlier)


@dataclass(frozen=True, kw_only=True)
class AskedLine:
    """One reading of the brief: the usual window, and its two ends as the form has them."""

    test: BenchTest
    usual: tuple[float | None, float | None] | None
    low: BoundField
    high: BoundField

    @property
    def filled(self) -> bool:
        """Asked for by the brief that stands."""
        return bool(self.low.initial or self.high.initial)

    @property
    def is_wrong(self) -> bool:
        return bool(self.low.errors or self.high.errors)


def _line(test: BenchTest, form: BriefForm, usual: Windows) -> AskedLine:
    name = test.notebook_name
    return AskedLine(test=test, usual=usual.get(name), low=form[f"low_{name}"], high=form[f"high_{name}"])


def _set(entry: Entry, form: BriefForm, usual: Windows) -> Brief:
    """Usual windows kept untouched are marked as slake's, not as the person's own."""
    untouched = {name: tuple(map(str.strip, ends)) for name, ends in form.windows.items() if any(ends)}
    as_offered = {name: (_text(low), _text(high)) for name, (low, high) in usual.items()}
    return set_brief(entry, form.windows, form.typed["words"], typical=untouched == as_offered)


def usual_windows(tests: list[BenchTest]) -> Windows:
    """Windows of common practice, no source, for the readings this bench can take."""
    names = tuple(test.notebook_name for test in tests)
    return {line.name: (line.low, line.high) for line in read_brief(None, names).lines if line.name in names}


def _form(tests: list[BenchTest]) -> type[BriefForm]:
    fields = {}
    for test in tests:
        fields[f"low_{test.notebook_name}"] = number("At least", unit_word(test.notebook_unit), open_word="open")
        fields[f"high_{test.notebook_name}"] = number("At most", unit_word(test.notebook_unit), open_word="open")
    return form_of("BriefOf", {**fields, "words": words("In words", hint="What you want to print.")}, BriefForm)


def _as_typed(windows: Windows, now: Brief | None) -> dict[str, str]:
    typed = {"words": now.words if now else ""}
    for name, (low, high) in windows.items():
        typed[f"low_{name}"], typed[f"high_{name}"] = _text(low), _text(high)
    return typed


def _text(end: float | None) -> str:
    return "" if end is None else f"{end:g}"
