"""The bench session: the page, the entries its outbox sends, and how the batch stands now."""

from __future__ import annotations

import logging
import time
from datetime import datetime, timedelta

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from slake.actions.entry import Entry
from slake.ground.problems import Problem
from slake.records.models import Batch

from ..asking import entry_of, person_here
from ..forms import new_entry_id
from . import doing
from .pad import ended_form, ended_taps, pads
from .page import live_context, live_parts
from .times import happened_at
from .wire import NotReadable, Pace, Sent, read_message

log = logging.getLogger("slake.bench")
pace = Pace()
UNSAID = {"csrfmiddlewaretoken", "entry", "revision", "kind"}
PLACE_OF = dict.fromkeys(("weigh", "undo", "bowl", "rescale", "accept"), "#weigh") | {"reading": "#read"}
"""Where on the page somebody goes on who sends a form without a script."""
TOO_FAST = "More came from this device than a bench makes: it waits a minute and sends on by itself."


def _batch(number: int) -> Batch:
    return get_object_or_404(Batch.objects.select_related("recipe", "machine", "proposal", "bowl"), number=number)


@require_http_methods(["GET", "HEAD", "POST"])
def bench(request: HttpRequest, number: int) -> HttpResponse:
    """The page. Without a script its forms are sent here one by one."""
    batch = _batch(number)
    if request.method != "POST":
        return _page(request, batch)
    try:
        doing.do(request.POST.get("kind", ""), _entry_at(request), batch, _typed(request), _rows(request))
    except Problem as problem:
        return _page(request, _batch(number), str(problem))
    place = PLACE_OF.get(request.POST.get("kind", ""), "")
    return redirect(f"{reverse('bench', args=[number])}{place}")


def _page(request: HttpRequest, batch: Batch, sentence: str = "") -> HttpResponse:
    refused = request.POST if sentence else None
    first, more = pads(refused)
    context = {
        **live_context(batch, timezone.now(), request.GET.dict()),
        "pads": first,
        "more_pads": more,
        "more_open": any(pad.open for group in more for pad in group.pads),
        "ended": ended_form(refused),
        "ended_taps": ended_taps(refused),
        "sentences": [sentence] if sentence else [],
        "refused": _typed(request) if sentence else {},
        "entry_id": new_entry_id(),
    }
    return render(request, "bench/page.html", context, status=422 if sentence else 200)


def _entry_at(request: HttpRequest) -> Entry:
    return entry_of(request, at=happened_at(timezone.now(), timedelta(0), request.POST.get("late", "")))


def _typed(request: HttpRequest) -> dict[str, str]:
    """Fields that are not of a row; words tapped under one name are joined."""
    found = {name: ", ".join(texts) for name, texts in request.POST.lists() if name not in UNSAID}
    return {name: text for name, text in found.items() if not name.startswith("row") or "-" not in name}


def _rows(request: HttpRequest) -> list[dict[str, str]]:
    """Fields named row1-..., row2-... as rows; blank ones are left out."""
    rows: dict[str, dict[str, str]] = {}
    for name, text in request.POST.items():
        row, dash, field = name.partition("-")
        if dash and row.startswith("row") and row[3:].isdigit():
            rows.setdefault(row, {})[field] = text
    return [row for row in rows.values() if any(text.strip() for text in row.values())]


@require_safe
def bench_now(request: HttpRequest, number: int) -> HttpResponse:
    """How the batch stands, for the script of an open page."""
    if not pace.take(request.META.get("REMOTE_ADDR", ""), time.monotonic()):
        return JsonResponse({"sentence": TOO_FAST}, status=429)
    return JsonResponse(_state(request, number))


def _state(request: HttpRequest, number: int) -> dict[str, object]:
    now = timezone.now()
    context = live_context(_batch(number), now, request.GET.dict())
    return {"now_s": now.timestamp(), "parts": live_parts(request, context)}


@require_POST
def entries(request: HttpRequest, number: int) -> HttpResponse:
    """A list of entries, done in the order sent; each is answered for itself, and how the batch stands follows."""
    received, batch = timezone.now(), _batch(number)
    if not pace.take(request.META.get("REMOTE_ADDR", ""), time.monotonic()):
        return JsonResponse({"sentence": TOO_FAST}, status=429)
    try:
        message = read_message(request.body)
    except NotReadable as problem:
        return JsonResponse({"sentence": str(problem)}, status=422)
    answers = [_answer(request, batch, sent, received) for sent in message]
    return JsonResponse({"entries": answers, **_state(request, number)})


def _answer(request: HttpRequest, batch: Batch, sent: Sent, received: datetime) -> dict[str, object]:
    try:
        at = happened_at(received, sent.kept, sent.typed.get("late", ""))
        entry = Entry(id=sent.id, at=at, person=person_here(request))
        doing.do(sent.kind, entry, batch, sent.typed, sent.rows)
    except Problem as problem:
        return {"id": sent.id, "ok": False, "sentence": str(problem)}
    return {"id": sent.id, "ok": True, "sentence": ""}
