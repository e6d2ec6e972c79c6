"""Whether the ranges kept their word: foretold against read, without the batch itself and as given before it."""

from __future__ import annotations

from collections.abc import Sequence

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from slake.actions.campaign import Campaign
from slake.actions.kept_word import (
    AT_ONCE,
    LOOK_BACK,
    WHILE_WAITING,
    as_given,
    asked_of,
    in_hand,
    look_back,
    remembered,
)
from slake.actions.looking import told_enough
from slake.campaign.seen_left_out import ONE_BY_ONE, PARTS
from slake.campaign.seen_word import Foretold, kept_together
from slake.ground.problems import NotEnoughEvidence, Problem
from slake.jobs.asking import ask

from ..asking import entry_of
from ..forms import Asking
from . import word_rows
from .map_drawing import PANEL
from .word_drawing import draw_bars

TITLE = "Did the ranges keep their word?"


@require_http_methods(["GET", "HEAD", "POST"])
def show_word(request: HttpRequest) -> HttpResponse:
    """The look back; where it is not worked out yet, a page that asks for it, or for work with progress of its own."""
    try:
        told = told_enough()
        if request.method == "POST":
            return _work(request, told)
        found = _found(told)
    except NotEnoughEvidence:
        return render(request, "known/word.html", {"title": TITLE})
    except Problem as problem:
        return render(request, "known/word.html", {"title": TITLE, "sentences": [str(problem)]})
    if found is None and (job := in_hand(told)) is not None:
        return redirect("job", job.pk)
    if found is None:
        return render(request, "known/working.html", {"title": TITLE, "entry": Asking()["entry"]})
    return render(request, "known/word.html", {"title": TITLE, **_context(told, found)})


def _found(told: Campaign) -> tuple[Foretold, ...] | None:
    """The look back, worked out here where that takes under a second; None where it has to be asked for."""
    found = remembered(told)
    return look_back(told) if found is None and len(told.batches) <= AT_ONCE else found


def _work(request: HttpRequest, told: Campaign) -> HttpResponse:
    if len(told.batches) <= WHILE_WAITING:
        look_back(told)
        return redirect("kept-word")
    return redirect("job", ask(entry_of(request), LOOK_BACK, asked_of(told)).pk)


def _context(told: Campaign, found: Sequence[Foretold]) -> dict[str, object]:
    given = as_given(told)
    counted = [one.one for one in given if one.as_proposed]
    together = kept_together(found)
    return {
        "sentence": word_rows.sentence(together),
        "lines": [
            word_rows.of_line(told, line, [one for one in found if one.name == line.name], given)
            for line in told.book.brief.lines
        ],
        "rows": [word_rows.compared(told, one) for one in sorted(found, key=lambda one: -one.batch)],
        "given": [word_rows.given_before(told, one) for one in reversed(given)],
        "given_sentence": word_rows.sentence(kept_together(counted)),
        "share_left_out": PARTS if len(told.batches) > ONE_BY_ONE else 0,
    }


@require_safe
def drawing(request: HttpRequest, shape: str) -> HttpResponse:
    """Foretold against read of one line, as a picture; without bars where nothing was worked out yet."""
    if shape != PANEL.name:
        raise Http404("no such drawing")
    try:
        told = told_enough()
    except Problem as problem:
        raise Http404(str(problem)) from None
    line = told.book.brief.line(request.GET.get("line", "")) or told.book.brief.lines[0]
    mine = [one for one in _found(told) or () if one.name == line.name]
    answer = HttpResponse(
        draw_bars(word_rows.bars_of(told, line, mine, as_given(told)), PANEL), content_type="image/svg+xml"
    )
    answer["Cache-Control"] = "no-cache"
    return answer
