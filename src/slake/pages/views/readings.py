"""Any declared bench test, read of a lot or a batch; what the reading means; a line through what was wrong."""

from __future__ import annotations

from collections.abc import Mapping

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_safe

from slake.actions.agreeing import agreeing
from slake.actions.answers import advice, meaning
from slake.actions.continuing import CONTINUED, CONTINUES, begun, go_on_with, later_of, may_go_on
from slake.actions.instruments import WITH
from slake.actions.reading import STRIKABLE, log_reading, strike
from slake.actions.usual_values import far_from_usual
from slake.bench.declaration import About, BenchTest
from slake.bench.shelf import all_tests
from slake.records.models import Batch, Lot, Reading
from slake.records.values import MOISTURE_TEST

from ..asking import attempt, entry_of, form_page, show
from ..forms import Asking, Rows, needed, words
from ..known import known_of
from ..reading_typed import as_typed
from ..readings import INPUT, ReadingForm, reading_form, row_form, said_of

ROWS_AT_FIRST = 3


def _declared(test_id: str, about: About) -> BenchTest:
    test = all_tests().get(test_id)
    if test is None or not test.read_of(about.value):
        raise Http404("no such test of this")
    return test


@form_page
def read(request: HttpRequest, test_id: str, kind: str, thing_id: int) -> HttpResponse:
    """One reading of a lot or a batch through the declaration of its test."""
    if kind == About.LOT.value:
        return _read(request, _declared(test_id, About.LOT), get_object_or_404(Lot, pk=thing_id))
    return _read(request, _declared(test_id, About.BATCH), get_object_or_404(Batch, pk=thing_id))


@form_page
def go_on(request: HttpRequest, reading_id: int) -> HttpResponse:
    """Further rows of a reading taken over days, with all that was given before filled in."""
    one = get_object_or_404(Reading.objects.select_related("batch", "lot", "strike"), pk=reading_id)
    test = all_tests().get(one.test)
    if test is None or test.goes_on is None:
        raise Http404("not a reading that is gone on with")
    if request.method != "POST" and not may_go_on(one):
        return redirect("reading", (later_of(one) or one).pk)
    return _read(request, test, one.lot or one.batch, one)


def _read(request: HttpRequest, test: BenchTest, thing: Lot | Batch, before: Reading | None = None) -> HttpResponse:
    form, rows = _form_and_rows(request, test, before)
    about = ("lot" if isinstance(thing, Lot) else "batch", thing.pk)

    def keep(_entry: object) -> Reading:
        entry, typed = entry_of(request, at=form.taken_at), rows.typed if rows else ()
        if before is not None:
            return go_on_with(entry, before.pk, form.fields_typed, typed)
        return log_reading(entry, test.id, about, form.fields_typed, typed)

    kept = attempt(request, form, keep, rows)
    if kept is not None:
        return redirect("reading", kept.pk)
    known = {
        "test": test,
        "thing": thing,
        "about": about[0],
        "before": before,
        "begun": [] if before else _begun_of(test, thing),
        "read_before": Reading.objects.filter(test=test.id).exists(),
    }
    return show(request, "pages/readings/read.html", form, rows=rows, **known)


def _begun_of(test: BenchTest, thing: Lot | Batch) -> list[Reading]:
    """Readings of this test and thing that wait to be gone on with: another one is seldom meant."""
    if test.goes_on is None:
        return []
    return [one.reading for one in begun() if one.test.id == test.id and thing in (one.reading.lot, one.reading.batch)]


def _form_and_rows(request: HttpRequest, test: BenchTest, before: Reading | None) -> tuple[ReadingForm, Rows | None]:
    data = request.POST if request.method == "POST" else None
    typed: Mapping[str, list[dict[str, str]]] = before.typed if before else {}
    given = {f"{INPUT}{name}": text for name, text in dict(typed.get("fields", {})).items()}
    if before is not None and before.instrument_id:
        given[WITH] = str(before.instrument_id)
    form, row = reading_form(test)(data, initial=given), row_form(test)
    if row is None or test.rows is None:
        return form, None
    earlier = typed.get("rows", [])
    shown = max(_shown(test), min(len(earlier) + 1, test.rows.at_most))
    rows = Rows(row, data, shown=shown, most=test.rows.at_most)
    rows.begin_with(earlier)
    return form, rows


def _shown(test: BenchTest) -> int:
    """Rows at first: three where the test takes so many, never fewer than it asks for."""
    return min(max(test.rows.at_least, ROWS_AT_FIRST), test.rows.at_most) if test.rows else 0


@require_safe
def reading(request: HttpRequest, reading_id: int) -> HttpResponse:
    """What one reading means, how sure, where it holds, and what to do now."""
    one = get_object_or_404(Reading.objects.select_related("batch", "lot", "strike"), pk=reading_id)
    said = said_of(one, meaning)
    told = advice(one.batch, one) if one.batch and said.meaning and not said.strike else None
    shown = {
        "said": said,
        "typed": as_typed(one),
        "advice": told,
        "far": "" if said.strike else far_from_usual(one),
        "known": known_of(one.lot) if one.lot and one.test == MOISTURE_TEST else None,
        "together": agreeing(one.batch) if one.batch else None,
        "went_on": later_of(one) if said.strike and said.strike.reason == CONTINUED else None,
        "earlier": one.typed.get(CONTINUES),
        "may_go_on": may_go_on(one),
    }
    return show(request, "pages/readings/answer.html", **shown)


class StrikeForm(Asking):
    reason = needed(words("Why", hint="The line stays readable; this says why it does not count."))


@form_page
def strike_through(request: HttpRequest, kind: str, row_id: int) -> HttpResponse:
    """Draw a line through a reading, weighing or outcome, with the reason."""
    if kind not in STRIKABLE:
        raise Http404("nothing of that kind is struck through")
    row = get_object_or_404(STRIKABLE[kind], pk=row_id)
    form = StrikeForm(request.POST or None)
    if attempt(request, form, lambda entry: strike(entry, kind, row_id, form.typed["reason"])) is not None:
        return redirect("batch", row.batch.number) if row.batch else redirect("lot", row.lot_id)
    test = all_tests().get(getattr(row, "test", ""))
    title = test.title if test else getattr(row, "headline_name", "")
    return show(request, "pages/readings/strike.html", form, kind=kind, row=row, title=title)
