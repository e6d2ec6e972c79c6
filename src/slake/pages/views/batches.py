"""Batches: every one, failures kept, with how it ended and which line of the brief it broke."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_safe

from slake.actions.agreeing import agreeing
from slake.actions.answers import meaning
from slake.actions.campaign import last_outcome, tell
from slake.actions.keeping import deadlines
from slake.actions.levers import has_cracked
from slake.actions.proposing import Tried, tried
from slake.actions.reading import say_outcome
from slake.actions.readings_told import own_scatter
from slake.actions.sizes import mixed_recipe
from slake.bench.declaration import About, BenchTest
from slake.bench.shelf import all_tests
from slake.campaign.outcomes import UNDERSTOOD
from slake.ground.problems import Problem
from slake.paste.recipe import Recipe
from slake.records.models import Batch, Outcome
from slake.records.struck import strike_of, struck_why

from ..asking import attempt, form_page, show
from ..bench.pad import FIRST, GROUP_OF, OTHER, group_of
from ..forms import Asking, words
from ..paging import page_of
from ..readings import said_of

MOST_USED = "Most used"


@dataclass(frozen=True, kw_only=True)
class Listed:
    """One line of the list."""

    batch: Batch
    outcome: Outcome | None
    broke: tuple[tuple[str, str], ...]
    held: int
    judged: bool
    struck: str = ""


@require_safe
def batches(request: HttpRequest) -> HttpResponse:
    """A page of them, newest first, each judged by the brief as it is now."""
    fetched = Batch.objects.select_related("recipe").prefetch_related("outcomes__strike")
    page, judged, trouble = page_of(request, fetched, by="number"), {}, ""
    try:
        told = tell([row.number for row in page.rows]) if page.rows else None
        judged = {one.batch.pk: one for one in tried(told)} if told else {}
    except Problem as problem:
        trouble = str(problem)
    struck = struck_why(page.rows)
    rows = [replace(_listed(row, judged.get(row.pk)), struck=struck.get(row.pk, "")) for row in page.rows]
    return show(request, "pages/batches/list.html", page=page, batches=rows, trouble=trouble)


def _listed(batch: Batch, one: Tried | None) -> Listed:
    lines = one.lines if one else ()
    return Listed(
        batch=batch,
        outcome=last_outcome(batch),
        broke=tuple((words, why) for words, held, why in lines if held is False),
        held=sum(held is True for _, held, _ in lines),
        judged=any(held is not None for _, held, _ in lines),
    )


class OutcomeForm(Asking):
    words = words("Say it in words", hint=f"Such as {UNDERSTOOD}; several at once are fine.", rows=2)


@form_page
def batch(request: HttpRequest, number: int) -> HttpResponse:
    """Everything of one batch, and how it ended."""
    one = get_object_or_404(Batch.objects.select_related("recipe", "machine", "proposal"), number=number)
    form = OutcomeForm(request.POST or None)
    if attempt(request, form, lambda entry: say_outcome(entry, one.pk, form.typed["words"])) is not None:
        return redirect("batch", number)
    rows = list(one.readings.select_related("strike", "person", "batch__machine", "instrument"))
    own = own_scatter(row.test for row in rows)
    says = partial(meaning, own=own)
    readings = [said_of(row, says) for row in rows]
    return show(
        request,
        "pages/batches/one.html",
        form,
        batch=one,
        mixed=_mixed(one),
        readings=readings,
        together=agreeing(one, own),
        groups=_grouped(),
        deadlines=deadlines(one),
        struck=strike_of(one),
        cracked=has_cracked(one),
    )


def _grouped() -> list[tuple[str, list[BenchTest]]]:
    """The tests of a batch as they are grouped at the bench: those first in line, then by the question they answer."""
    groups: dict[str, list[BenchTest]] = {words: [] for words in (MOST_USED, *dict.fromkeys(GROUP_OF.values()), OTHER)}
    for name, test in all_tests().items():
        if test.read_of(About.BATCH.value):
            groups[MOST_USED if name in FIRST else group_of(test)].append(test)
    return [(words, tests) for words, tests in groups.items() if tests]


def _mixed(one: Batch) -> Recipe | None:
    """The recipe as it is in the bowl; None where its lines no longer make one."""
    try:
        return mixed_recipe(one)
    except Problem:
        return None
