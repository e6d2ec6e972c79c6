"""Packs for a workshop: numbered, with their water, what to weigh and buy, when to do what, and the sheet to sign."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from slake.actions.asked import packs_asked, start_asked
from slake.actions.packing import Packing
from slake.ground.problems import Problem
from slake.ground.units import from_si
from slake.paste.packs import TIMELINE
from slake.records.models import Recipe

from ..forms import Asking, number
from ..next.cautions import cautions_for
from .address import from_address, status_of

ASKED = ("packs", "pack_dry_g", "spare", "start")
SIGNING = 12


class PacksForm(Asking):
    packs = number("Packs", open_word="10", hint="One for each person or bowl.")
    pack_dry_g = number("Dry mass of one pack", "g", open_word="120")
    spare = number("Packs to spare", "%", open_word="20")
    start = number("The workshop starts", open_word="don't know", hint="“2026-11-28 14:00”, or only “14:00”.")


@dataclass(frozen=True, kw_only=True)
class When:
    """One line of the timeline: by the clock where the start is known, else as time before or after it."""

    clock: datetime | None
    hours: str
    past: bool
    do: str


@require_safe
def packs(request: HttpRequest, recipe_id: int) -> HttpResponse:
    kept = get_object_or_404(Recipe, pk=recipe_id)
    typed, now, why = from_address(request, ASKED), timezone.now(), []
    found, start = None, None

    def heard(work: Callable[[], Packing | datetime | None]) -> Packing | datetime | None:
        try:
            return work()
        except Problem as problem:
            why.append(str(problem))
            return None

    found = heard(lambda: packs_asked(kept, typed))
    start = heard(lambda: start_asked(typed["start"], now, None))
    context = {
        "recipe": kept,
        "form": PacksForm(initial=typed),
        "packing": found,
        "has_liquid": found is not None and any(pack.liquid_kg > 0 for pack in found.packs),
        "start": start,
        "timeline": _timeline(start if isinstance(start, datetime) else None, now),
        "cautions": cautions_for(found.lots) if isinstance(found, Packing) else [],
        "lines": range(max(found.asked, SIGNING) if isinstance(found, Packing) else SIGNING),
        "sentences": why,
    }
    return render(request, "stock/packs.html", context, status=status_of(typed, why))


def _timeline(start: datetime | None, now: datetime) -> list[When]:
    lines = []
    for moment in TIMELINE:
        clock = None if start is None else start - timedelta(seconds=moment.before_s)
        hours = from_si(abs(moment.before_s), "h")
        side = "before" if moment.before_s > 0 else "after"
        words = f"{hours:g} h {side} the start" if moment.before_s else "the start"
        lines.append(When(clock=clock, hours=words, past=clock is not None and clock < now, do=moment.do))
    return lines
