"""Any declared bench test, read of a lot or a batch; what the reading means; a line through what was wrong."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_safe

from slake.actions.agreeing import agreeing
from slake.actions.answers import advice, meaning
from slake.actions.reading import STRIKABLE, log_reading, strike
from slake.bench.declaration import About, BenchTest
from slake.bench.shelf import all_tests
from slake.records.models import Batch, Lot, Reading

from ..asking import attempt, entry_of, form_page, show
from ..forms import Asking, Rows, words
from ..known import known_of
from ..readings import reading_form, row_form, said_of

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


def _read(request: HttpRequest, test: BenchTest, thing: Lot | Batch) -> HttpResponse:
    data = request.POST if request.method == "POST" else None
    form, row = reading_form(test)(data), row_form(test)
    rows = Rows(row, data, shown=_shown(test), most=test.rows.at_most) if row and test.rows else None
    about = ("lot" if isinstance(thing, Lot) else "batch", thing.pk)

    def keep(_entry: object) -> Reading:
        entry = entry_of(request, at=form.taken_at)
        return log_reading(entry, test.id, about, form.fields_typed, rows.typed if rows else ())

    kept = attempt(request, form, keep, rows)
    if kept is not None:
        return redirect("reading", kept.pk)
    known = {
        "test": test,
        "thing": thing,
        "about": about[0],
        "read_before": Reading.objects.filter(test=test.id).exists(),
    }
    return show(request, "pages/readings/read.html", form, rows=rows, **known)


def _shown(test: BenchTest) -> int:
    """Rows at first: three where the test takes so many, never fewer than it asks for."""
    return min(max(test.rows.at_least, ROWS_AT_FIRST), test.rows.at_most) if test.rows else 0


@require_safe
def reading(request: HttpRequest, reading_id: int) -> HttpResponse:
    """What one reading means, how sure, where it holds, and what to do now."""
    one = get_object_or_404(Reading.objects.select_related("batch", "lot", "strike"), pk=reading_id)
    said = said_of(one, meaning)
    told = advice(one.batch, one) if one.batch and said.meaning and not said.strike else None
    known = known_of(one.lot) if one.lot else None
    joint = agreeing(one.batch) if one.batch else None
    return show(request, "pages/readings/answer.html", said=said, advice=told, known=known, together=joint)


class StrikeForm(Asking):
    reason = words("Why", hint="The line stays readable; this says why it does not count.")


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
