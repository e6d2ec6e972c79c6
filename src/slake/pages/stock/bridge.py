"""A bridge: one small batch with the old lot and one with the new, all else alike, so that a cone tells them apart."""

from __future__ import annotations

from collections.abc import Mapping

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from slake.actions.bridge import begin_bridge
from slake.actions.lots import stocks_g
from slake.actions.stock import bridge_dry_g, lots_in, newer_than
from slake.ground.problems import Problem, plain
from slake.records.models import Batch, Lot, Recipe

from ..asking import attempt, form_page, show
from ..forms import Asking, number, pick
from ..templatetags.bench import grams as said_grams


class BridgeForm(Asking):
    old = pick("The old lot", [])
    new = pick("The new lot", [], hint="Of the same kind as the old one.")
    dry_g = number("Dry solids of each", "g", hint="Left open: just enough for a cone cup and a bar.")


@form_page
def bridge(request: HttpRequest, recipe_id: int) -> HttpResponse:
    """From recipe, old and new lot to two weigh cards."""
    kept = get_object_or_404(Recipe, pk=recipe_id)
    lots = lots_in(kept)
    form = _form(request, kept, lots)
    made = attempt(
        request,
        form,
        lambda entry: begin_bridge(
            entry, recipe_id, form.typed["old"], form.typed["new"], {"dry_g": form.typed["dry_g"]}
        ),
    )
    if made is not None:
        where = reverse("bridge", args=[recipe_id])
        return redirect(f"{where}?old_batch={made.old.number}&new_batch={made.new.number}")
    pair = [_batch(request, name) for name in ("old_batch", "new_batch")]
    return show(request, "stock/bridge.html", form, recipe=kept, pair=pair if all(pair) else [], lots=lots)


def _form(request: HttpRequest, kept: Recipe, lots: dict[str, Lot]) -> BridgeForm:
    """The lots of the recipe on one side, all lots of their kinds on the other; newest first."""
    old = request.GET.get("old", "")
    roles = [lots[old].role] if old in lots else sorted({lot.role for lot in lots.values()})
    news = Lot.objects.filter(role__in=roles).order_by("-id")
    first = newer_than(lots[old], list(Lot.objects.order_by("id"))) if old in lots else None
    left = stocks_g()
    form = BridgeForm(request.POST or None, initial={"old": old, "new": str(first.pk) if first else ""})
    form.fields["old"].widget.choices = [(name, said(lot, left)) for name, lot in lots.items()]
    form.fields["new"].widget.choices = [("", "choose a lot"), *((str(lot.pk), said(lot, left)) for lot in news)]
    form.fields["dry_g"].widget.attrs["placeholder"] = _usual_dry(kept, lots)
    return form


def _usual_dry(kept: Recipe, lots: dict[str, Lot]) -> str:
    try:
        return plain(bridge_dry_g(kept, lots))
    except Problem:
        return ""


def said(lot: Lot, left: Mapping[int, float]) -> str:
    return f"{lot.name}, {said_grams(left.get(lot.pk))}"


def _batch(request: HttpRequest, name: str) -> Batch | None:
    text = request.GET.get(name, "")
    fits = text.isascii() and text.isdigit() and len(text) < 10
    found = Batch.objects.filter(number=int(text)).prefetch_related("amounts__lot") if fits else Batch.objects.none()
    return found.first()
