"""One to three batches to mix today: within the grams, the size and the days there are, with what is still drying."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from slake.actions.mixing import begin_batch, weigh_out
from slake.actions.todays import LIMITS, USUAL_COUNT, USUAL_PASTE_G, Asked, propose_today, read_asked, standing_today
from slake.ground.evidence import percent
from slake.ground.problems import NotEnoughEvidence, Problem
from slake.records.models import Batch, Lot, ProposalGiven

from ..asking import entry_of, show
from ..forms import Asking, choice, number, read_within
from . import words
from .cautions import cautions_for
from .stands_words import chances_of, settles_words, side_by_side, stands_told

ASKED = ("count", "paste_g", "days")


class TodayForm(Asking):
    """What there is for today."""

    count = choice("Batches to mix now", [("1", "one"), ("2", "two"), ("3", "three")])
    paste_g = number("paste of one batch", "g", hint="wet, all water counted", open_word="")
    days = number("days until you need it", "days", hint="printed pieces dry in 3 to 7 days (common practice)")


read_within(TodayForm, LIMITS)


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    """The batches that answer what was asked; where they have to be worked out first, a page that does so and waits."""
    if not any(name in request.GET for name in ASKED):
        return show(request, "next/today.html", TodayForm(initial=_usual()))
    form = TodayForm({**_usual(), **_typed(request.GET)})
    try:
        asked = read_asked(form.typed) if form.is_valid() else None
        rows = standing_today(asked) if asked else []
    except NotEnoughEvidence as problem:
        return render(request, "next/not_yet.html", {"sentence": f"There is nothing to mix from yet: {problem.do}."})
    except Problem as problem:
        form.refuse(problem)
        return show(request, "next/today.html", form)
    if asked is not None and not rows:
        return render(request, "next/today_working.html", {"entry": form["entry"], "asked": _typed(request.GET)})
    return _page(request, form, asked, rows)


@require_POST
def work_out_today(request: HttpRequest) -> HttpResponse:
    """Work them out; the same evidence, stock and question are not worked out twice."""
    form = TodayForm({**_usual(), **_typed(request.POST)})
    try:
        if form.is_valid():
            propose_today(entry_of(request), read_asked(form.typed))
            return HttpResponseRedirect(_address(request.POST))
    except NotEnoughEvidence as problem:
        return render(request, "next/not_yet.html", {"sentence": str(problem)}, status=422)
    except Problem as problem:
        form.refuse(problem)
    return show(request, "next/today.html", form)


@require_POST
def mix_today(request: HttpRequest, proposal_id: int) -> HttpResponse:
    """Begin the batch of one of them."""
    form = TodayForm({**_usual(), **_typed(request.POST)})
    try:
        if form.is_valid():
            asked = read_asked(form.typed)
            rows = standing_today(asked)
            if proposal_id not in [row.pk for row in rows]:
                raise Problem("something new was read, or stock was taken, since this page was opened: look again")
            batch = begin_batch(entry_of(request), proposal_id, {"paste_g": f"{asked.paste_g:g}"})
            return HttpResponseRedirect(f"{reverse('home')}batches/{batch.number}/bench/")
    except Problem as problem:
        form.refuse(problem)
    return show(request, "next/today.html", form)


def _usual() -> dict[str, str]:
    return {"count": str(USUAL_COUNT), "paste_g": f"{USUAL_PASTE_G:g}", "days": ""}


def _typed(sent: Mapping[str, str]) -> dict[str, str]:
    return {name: sent[name] for name in (*ASKED, "entry") if name in sent}


def _address(typed: Mapping[str, str]) -> str:
    return f"{reverse('today')}?{urlencode({name: typed.get(name, '') for name in ASKED})}"


def _page(request: HttpRequest, form: TodayForm, asked: Asked | None, rows: list[ProposalGiven]) -> HttpResponse:
    if asked is None or not rows:
        return show(request, "next/today.html", form)
    names = {name for row in rows for name in row.answer["parts"]}
    context = {
        "rows": None,
        "cards": [_card(row, asked) for row in rows],
        "answer": rows[0].answer,
        "beside": side_by_side([row.answer for row in rows], asked.paste_g),
        "any_holds": chances_of([row.answer for row in rows]),
        "stands": stands_told(rows[0].answer, asked.paste_g),
        "cautions": cautions_for(Lot.objects.filter(name__in=names)),
        "typed": {name: form.data.get(name, "") for name in ASKED},
    }
    return show(request, "next/today.html", form, **context)


def _card(given: ProposalGiven, asked: Asked) -> dict[str, object]:
    """One recipe: grams, chance, the line that binds, what it is expected to read and what it would settle."""
    answer, plan, problem = given.answer, None, ""
    try:
        plan = weigh_out(given, {"paste_g": f"{asked.paste_g:g}"})
    except Problem as found:
        problem = str(found)
    binding = min(answer["line_chances"], key=answer["line_chances"].get)
    return {
        "given": given,
        "answer": answer,
        "chance": words.chance_words(answer),
        "binding": answer["line_words"].get(binding, binding),
        "binding_chance": percent(answer["line_chances"][binding]),
        "predictions": words.prediction_rows(answer),
        "settles": settles_words(answer["settles"], answer["line_words"]),
        "amounts": words.amounts_of(plan) if plan else [],
        "paste_words": words.paste_words(plan) if plan else "",
        "problem": problem,
        "least_known": words.least_known_words(answer),
        "phase_words": words.phase_words(answer),
        "begun": Batch.objects.filter(proposal=given),
    }
