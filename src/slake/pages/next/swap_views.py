"""Swap an ingredient: which recipe, which of its lots, for what; how much of it, what else changes, what would tell."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_safe

from slake.actions.changing import begin_changed
from slake.actions.swap import Choice, Swap, choices, swap
from slake.actions.swap_effects import foreseen
from slake.bench.gum_run_out import TEST
from slake.ground.problems import Problem
from slake.paste.ingredients import Role, catalogue
from slake.paste.recipe import Recipe
from slake.records import models
from slake.records.models import Batch, Lot
from slake.records.values import ingredient_of, standing_readings

from ..asking import entry_of, form_page, show
from ..forms import Asking, form_of, needed, pick
from .chart import SHAPES
from .swap_chart import draw_curves
from .swap_words import shown

RECIPES_SHOWN = 20
SWAPPED = {Role.THICKENER, Role.BINDER, Role.FILLER, Role.FIBRE}


@dataclass(frozen=True, kw_only=True)
class Row:
    """One recipe of the list, with the lots of it that may be swapped."""

    recipe: models.Recipe
    batch: Batch
    lots: tuple[Lot, ...]


@require_safe
def swap_list(request: HttpRequest) -> HttpResponse:
    """Recipes mixed here, newest first; with an ingredient in the address, only those that hold it."""
    item = catalogue().get(request.GET.get("of", ""))
    lots = {lot.name: lot for lot in Lot.objects.all()}
    rows = []
    for batch in Batch.objects.select_related("recipe").order_by("-number"):
        mine = [lots[name] for name in batch.recipe.parts if name in lots and Role(lots[name].role) in SWAPPED]
        mine = [lot for lot in mine if item is None or ingredient_of(lot).key == item.key]
        if mine and batch.recipe_id not in {row.recipe.pk for row in rows}:
            rows.append(Row(recipe=batch.recipe, batch=batch, lots=tuple(mine)))
        if len(rows) >= RECIPES_SHOWN:
            break
    return show(request, "next/swap_list.html", rows=rows, item=item)


@form_page
def swap_page(request: HttpRequest, recipe_id: int) -> HttpResponse:
    kept = get_object_or_404(models.Recipe, pk=recipe_id)
    typed = request.POST if request.method == "POST" else request.GET
    lots = [lot for lot in Lot.objects.filter(name__in=list(kept.parts)) if Role(lot.role) in SWAPPED]
    out = next((lot for lot in lots if str(lot.pk) == typed.get("out", "")), None)
    offered = choices(kept, out) if out is not None else []
    made = form_of("IntoForm", {"into": needed(pick("take instead", [(c.value, c.words) for c in offered]))})
    form: Asking = made({"into": typed["into"]}) if "into" in typed else made()
    found: Swap | None = None
    try:
        if out is not None and "into" in typed and form.is_valid():
            found = swap(kept, out, _chosen(offered, form.typed["into"]))
        if found is not None and request.method == "POST":
            return _begin(request, kept, found)
    except Problem as problem:
        form.refuse(problem)
    context = {"recipe": kept, "lots": lots, "out": out, "run_out": _run_out(offered), "found": found}
    return show(request, "next/swap.html", form, **context, **(_told(kept, found) if found else {}))


@require_safe
def swap_drawing(request: HttpRequest, recipe_id: int, shape: str) -> HttpResponse:
    """The two curves an equal dose was read from."""
    kept = get_object_or_404(models.Recipe, pk=recipe_id)
    out = Lot.objects.filter(name__in=list(kept.parts), pk__in=_whole(request.GET.get("out", ""))).first()
    choice = next((one for one in (choices(kept, out) if out else []) if one.value == request.GET.get("into")), None)
    found = swap(kept, out, choice) if out is not None and choice is not None else None
    if found is None or found.matched is None or shape not in SHAPES:
        raise Http404("no such drawing")
    answer = HttpResponse(draw_curves(found, found.matched, SHAPES[shape]), content_type="image/svg+xml")
    answer["Cache-Control"] = "no-cache"
    return answer


def _whole(text: str) -> list[int]:
    return [int(text)] if text.isascii() and text.isdigit() and len(text) < 10 else []


def _run_out(offered: list[Choice]) -> list[Choice]:
    """Those of which this bench has run-outs: one tap away."""
    return [choice for choice in offered if choice.lot is not None and standing_readings(choice.lot, TEST.id)]


def _chosen(offered: list[Choice], value: str) -> Choice:
    found = next((choice for choice in offered if choice.value == value), None)
    if found is None:
        raise Problem("that cannot stand in for it: choose one of the list")
    return found


def _told(kept: models.Recipe, found: Swap) -> dict[str, object]:
    before = Recipe(parts=kept.parts, water_per_dry=kept.water_per_dry)
    ahead = foreseen(before, found.recipe) if found.recipe is not None else None
    return {"told": shown(before, found, ahead), "entry": Asking()["entry"]}


def _begin(request: HttpRequest, kept: models.Recipe, found: Swap) -> HttpResponse:
    if found.recipe is None:
        raise Problem("how much of it is not known yet, or there is no lot of it: nothing was begun")
    why = f"{found.new.words} for {found.old.name}"
    begun = begin_changed(entry_of(request), kept.pk, found.recipe, why, {})
    return HttpResponseRedirect(f"{reverse('home')}batches/{begun.number}/")
