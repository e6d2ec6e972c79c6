"""Cartridges for a print: one fewer and trim, or one more; paste to mix; how long one lasts beside the pot life."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from slake.actions.asked import bowl_fills, filling_asked
from slake.ground.units import from_si
from slake.paste.batch import Plan
from slake.records.models import Batch, Machine, Recipe

from ..forms import Asking, new_entry_id, number
from .address import from_address, status_of, told_or_why

ASKED = ("parts_ml", "cartridge_ml", "purge", "bead_mm", "layer_mm", "speed")


class FillForm(Asking):
    parts_ml = number("Printed volume, all parts", "mL", open_word="", hint="From the slicer, without purge.")
    cartridge_ml = number("One cartridge holds", "mL", open_word="as the machine says")
    purge = number("Purged, of what is printed", "%", open_word="8")
    bead_mm = number("Width of a bead", "mm", hint="These three say how long a cartridge lasts.")
    layer_mm = number("Height of a layer", "mm")
    speed = number("Speed", "mm/s")


@require_safe
def cartridges(request: HttpRequest, recipe_id: int) -> HttpResponse:
    """Of a recipe: what to mix for a print."""
    return _page(request, get_object_or_404(Recipe, pk=recipe_id), None)


@require_safe
def of_batch(request: HttpRequest, number: int) -> HttpResponse:
    """Of a batch: what is left in its bowl fills so many; and its recipe as above."""
    batch = get_object_or_404(Batch.objects.select_related("recipe"), number=number)
    return _page(request, batch.recipe, batch)


def _page(request: HttpRequest, kept: Recipe, batch: Batch | None) -> HttpResponse:
    machine = Machine.objects.last()
    typed = from_address(request, ASKED)
    found, why = told_or_why(lambda: filling_asked(kept, typed), lambda: None)
    bowl, no_bowl = told_or_why(lambda: bowl_fills(batch, typed) if batch else None, lambda: None)
    context = {
        "recipe": kept,
        "batch": batch,
        "bowl": bowl,
        "form": FillForm(initial=typed if any(typed.values()) else _usual(machine)),
        "fill": found,
        "asked_ml": typed["parts_ml"],
        "fewer_g": _paste_g(found.fewer) if found else None,
        "more_g": _paste_g(found.more) if found else None,
        "entries": (new_entry_id(), new_entry_id()),
        "mixed_before": kept.batches.exists(),
        "sentences": [*why, *(text for text in no_bowl if text not in why)],
    }
    return render(request, "stock/cartridges.html", context, status=status_of(typed, context["sentences"]))


def _usual(machine: Machine | None) -> dict[str, str]:
    """What the machine says of it."""
    if machine is None:
        return {}
    said = {"cartridge_ml": machine.cartridge_ml, "layer_mm": machine.layer_height_mm, "bead_mm": machine.nozzle_mm}
    return {name: f"{value:g}" for name, value in said.items() if value is not None}


def _paste_g(plan: Plan | None) -> str | None:
    """As the recipe's own form takes it."""
    return None if plan is None else f"{from_si(plan.paste_kg, 'g'):.1f}"
