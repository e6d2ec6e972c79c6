"""What goes on paper: the sheet for a bench without a tablet, and the label for the tub."""

from __future__ import annotations

import io
from collections.abc import Sequence

import segno
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from slake.actions.keeping import deadlines, is_raw
from slake.campaign.outcomes import UNDERSTOOD
from slake.paste.ingredients import Role
from slake.paste.keeping import keeping_times
from slake.records.models import Batch, Lot
from slake.records.values import ingredient_of

from ..next.cautions import cautions_for
from ..templatetags.bench_times import short_when
from .card import card_of
from .cone import expected_cone
from .pad import pads

BLANK_READINGS = 4
MOST_ON_SMALL, MOST_ON_LARGE = 62, 120
"""Characters of what is in it that fit beside the code of each size of label."""
LOOPBACK = {"127.0.0.1", "localhost", "[::1]"}


def _batch(number: int) -> Batch:
    return get_object_or_404(Batch.objects.select_related("recipe", "machine", "proposal"), number=number)


def _lots(batch: Batch) -> list[Lot]:
    return [row.lot for row in batch.amounts.select_related("lot") if row.lot]


@require_safe
def sheet(request: HttpRequest, number: int) -> HttpResponse:
    """One page to print: order, grams, held-back water, what the cone should read and when, blanks, cautions."""
    batch = _batch(number)
    lots = _lots(batch)
    first, _more = pads(None)
    context = {
        "batch": batch,
        "card": card_of(batch),
        "cone": expected_cone(batch),
        "cautions": cautions_for(lots),
        "tests": [pad.test for pad in first],
        "blanks": range(BLANK_READINGS),
        "deadlines": deadlines(batch),
        "keeping": keeping_times(raw_food_waste=any(is_raw(lot) for lot in lots)),
        "outcome_words": UNDERSTOOD,
    }
    return render(request, "bench/sheet.html", context)


@require_safe
def label(request: HttpRequest, number: int) -> HttpResponse:
    """Two sizes of the label: 24 x 40 mm and a larger one."""
    batch = _batch(number)
    lots = _lots(batch)
    context = {
        "batch": batch,
        "words": label_words(lots, MOST_ON_SMALL),
        "more_words": label_words(lots, MOST_ON_LARGE),
        "deadlines": deadlines(batch),
        "raw": any(is_raw(lot) for lot in lots),
        "allergens": sorted({word for lot in lots for word in ingredient_of(lot).allergens}),
    }
    return render(request, "bench/label.html", context)


def label_words(lots: Sequence[Lot], most: int) -> str:
    """What is in it, fillers first, then gums; what does not fit into so many characters is counted, never cut."""
    order = (Role.FILLER, Role.FIBRE, Role.THICKENER, Role.BINDER)
    wanted = sorted((lot for lot in lots if Role(lot.role) in order), key=lambda lot: order.index(Role(lot.role)))
    names = list(dict.fromkeys(ingredient_of(lot).name for lot in wanted))
    for many in range(len(names), 0, -1):
        further = f" and {len(names) - many} more" if many < len(names) else ""
        words = ", ".join(names[:many]) + further
        if len(words) <= most:
            return words
    return f"{len(names)} ingredients" if names else "paste"


@require_safe
def code(request: HttpRequest, number: int) -> HttpResponse:
    """The QR code of a label as a picture of its own."""
    batch = _batch(number)
    picture = io.BytesIO()
    segno.make(code_text(request, batch), error="m", micro=False).save(picture, kind="svg", scale=4, border=2)
    return HttpResponse(picture.getvalue(), content_type="image/svg+xml")


def code_text(request: HttpRequest, batch: Batch) -> str:
    """The address of the batch where other devices can reach it; on loopback, where none can, plain words."""
    if request.get_host().rsplit(":", 1)[0] not in LOOPBACK:
        return request.build_absolute_uri(reverse("batch", args=[batch.number]))
    keeps = deadlines(batch)
    words = f"slake batch {batch.number}"
    return words if keeps is None else f"{words}, discard {short_when(keeps.discard_warm_by)}"
