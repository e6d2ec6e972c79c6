"""A new lot of a known recipe: what to change in it, in grams of the person's own batch; and "begin this batch"."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from slake.actions.campaign import Campaign, tell
from slake.actions.known_recipes import KnownBatch, known_batch, known_batches
from slake.actions.lot_change import begin_with_lot, change_for_lot, measured, standing_change
from slake.actions.lot_grams import Grams, grams_of
from slake.ground.numbers import Limits, read_optional
from slake.ground.problems import NotEnoughEvidence, Problem
from slake.records.models import Batch, Lot, ProposalGiven

from ..asking import entry_of, show
from ..forms import Asking, new_entry_id, number, pick
from . import words
from .cautions import cautions_for
from .lot_words import grain_lines, ingredient_lots, range_words, shown_at_start, to_do, water_words

NUMBER = Limits(low=1, high=10_000_000, do="choose a batch of the list")


class RecipeForm(Asking):
    """Which recipe, and how much of it is usually mixed."""

    known = pick("your recipe, as mixed in", [])
    paste_g = number("paste of one batch", "g", hint="wet, all water counted", open_word="as much as that batch")


@require_safe
def new_lots(request: HttpRequest) -> HttpResponse:
    """Lots for which a recipe is known with an earlier lot of the same material."""
    try:
        told = tell()
    except NotEnoughEvidence:
        return show(request, "next/new_lots.html", lots=[])
    return show(request, "next/new_lots.html", lots=[lot for lot in told.lots_now if known_batches(told, lot)])


@require_safe
def new_lot(request: HttpRequest, lot_id: int) -> HttpResponse:
    """What was given for this lot; where it has to be worked out first, a page that does so and waits."""
    lot = get_object_or_404(Lot, pk=lot_id)
    form = _form(request.GET)
    try:
        told = tell()
        form.fields["known"].widget.choices = _choices(told, lot)
        one = known_batch(told, lot, _number(form))
        given = standing_change(told, lot, one)
        if given is None:
            return render(request, "next/new_lot_working.html", _asked(lot, form, one))
        return _page(request, form, (lot, one, given))
    except Problem as problem:
        form.refuse(problem)
        return show(request, "next/new_lot.html", form, **_of_lot(lot))


@require_POST
def work_out_lot(request: HttpRequest, lot_id: int) -> HttpResponse:
    """Work it out; the same evidence is not worked out twice."""
    lot = get_object_or_404(Lot, pk=lot_id)
    form = _form(request.POST)
    try:
        change_for_lot(entry_of(request), lot_id, _number(form))
    except Problem as problem:
        form.refuse(problem)
        return show(request, "next/new_lot.html", form, **_of_lot(lot))
    return HttpResponseRedirect(f"{reverse('new_lot', args=[lot_id])}?{urlencode(_typed(form))}")


@require_POST
def begin_lot(request: HttpRequest, lot_id: int) -> HttpResponse:
    """Begin the batch that was looked at, at the size that was looked at."""
    lot = get_object_or_404(Lot, pk=lot_id)
    form = _form(request.POST)
    one = given = None
    begun = _begun(request, lot)
    if begun is not None:
        return begun
    try:
        told = tell()
        form.fields["known"].widget.choices = _choices(told, lot)
        one = known_batch(told, lot, _number(form))
        given = standing_change(told, lot, one)
        if given is None or str(given.pk) != request.POST.get("given"):
            raise Problem("something new was read since this page was opened: look at the change as it is now")
        batch = begin_with_lot(entry_of(request), given.pk, round(grams_of(given, _typed(form)).dry_g, 1))
        return HttpResponseRedirect(f"{reverse('home')}batches/{batch.number}/bench/")
    except Problem as problem:
        form.refuse(problem)
    if one is not None and given is not None:
        return _page(request, form, (lot, one, given))
    return show(request, "next/new_lot.html", form, **_of_lot(lot))


def _form(sent: Mapping[str, str]) -> RecipeForm:
    typed = {name: sent.get(name, "") for name in ("known", "paste_g")}
    return RecipeForm({**typed, "entry": sent.get("entry", "") or new_entry_id()})


def _begun(request: HttpRequest, lot: Lot) -> HttpResponse | None:
    """The batch that this very form began already: sent twice, it happens once."""
    given = request.POST.get("given", "")
    pk = int(given) if given.isascii() and given.isdigit() and len(given) < 12 else 0
    batch = Batch.objects.filter(proposal=pk, proposal__inputs__lot=lot.pk).first()
    return None if batch is None else HttpResponseRedirect(f"{reverse('home')}batches/{batch.number}/bench/")


def _number(form: RecipeForm) -> int | None:
    found = read_optional(form.data.get("known"), "the batch of your recipe", NUMBER)
    return None if found is None else int(found)


def _typed(form: RecipeForm) -> dict[str, str]:
    return {name: str(form.data.get(name, ""))[:40] for name in ("known", "paste_g")}


def _choices(told: Campaign, lot: Lot) -> list[tuple[str, str]]:
    return [("", "the best one"), *((str(k.batch.number), k.words) for k in known_batches(told, lot))]


def _asked(lot: Lot, form: RecipeForm, one: KnownBatch) -> dict[str, object]:
    return {"lot": lot, "entry": Asking()["entry"], "asked": _typed(form), "known": one}


def _page(request: HttpRequest, form: RecipeForm, of: tuple[Lot, KnownBatch, ProposalGiven]) -> HttpResponse:
    lot, one, given = of
    grams: Grams | None = None
    try:
        grams = grams_of(given, _typed(form))
    except Problem as problem:
        form.refuse(problem)
    told = _told(given) | _of_lot(lot) | _in_grams(given, grams) | {"sizes": grain_lines(given.answer, lot)}
    begun = Batch.objects.filter(proposal=given)
    return show(request, "next/new_lot.html", form, known=one, typed=_typed(form), begun=begun, **told)


def _told(given: ProposalGiven) -> dict[str, object]:
    """What was given, in words."""
    predictions = words.prediction_rows(given.answer)
    return {
        "given": given,
        "answer": given.answer,
        "said": given.answer["lot_change"],
        "at_start": shown_at_start(given.answer),
        "chance": words.chance_words(given.answer),
        "predictions": predictions,
        "cone": words.cone_of(predictions),
        "read_with": words.read_with(given.answer),
        "cautions": cautions_for(Lot.objects.filter(name__in=given.answer["parts"])),
    }


def _of_lot(lot: Lot) -> dict[str, object]:
    return {"lot": lot, "measured": to_do(measured(lot)), "kin": ingredient_lots(lot)}


def _in_grams(given: ProposalGiven, grams: Grams | None) -> dict[str, object]:
    if grams is None:
        return {}
    return {"grams": grams, "water": water_words(grams), "then": range_words(given.answer, grams.then)}
