"""What every page does alike: who is here, once per entry, and a problem becomes a sentence at the form."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from datetime import datetime
from typing import TypeVar

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from slake.actions.entry import Entry
from slake.ground.problems import Problem
from slake.records.which import current_bench

from .forms import Asking, Rows, new_entry_id

Done = TypeVar("Done")
form_page = require_http_methods(["GET", "HEAD", "POST"])
"""A page that is looked at and whose form is sent to its own address."""
UNSAID = {"csrfmiddlewaretoken", "entry", "revision"}


def person_key() -> str:
    """Where this device keeps who is at it; each bench has its own people."""
    return f"person_{current_bench.get()}"


def person_here(request: HttpRequest) -> int | None:
    kept = request.session.get(person_key())
    return kept[0] if kept else None


def remember_person(request: HttpRequest, number: int | None, name: str = "") -> None:
    if number is None:
        request.session.pop(person_key(), None)
    else:
        request.session[person_key()] = [number, name]


def entry_of(request: HttpRequest, *, at: datetime | None = None) -> Entry:
    """This request as an entry: when (now unless said), and the person picked on this device.

    Its id is that of the form and of what was typed in it: sent twice as it is, it happens once; gone back to,
    changed and sent again, it is a second entry and nothing typed is lost.
    """
    made = request.POST.get("entry", "")[:32] or new_entry_id()
    said = sorted((name, text) for name, texts in request.POST.lists() if name not in UNSAID for text in texts)
    typed = hashlib.sha256(repr(said).encode()).hexdigest()[:16]
    return Entry(id=f"{made}.{typed}", at=at or timezone.now(), person=person_here(request))


def asks_for_more_rows(request: HttpRequest) -> bool:
    return request.method == "POST" and "more" in request.POST


def attempt(request: HttpRequest, form: Asking, act: Callable[[Entry], Done], rows: Rows | None = None) -> Done | None:
    """Do the one thing a form is for; None where it was not sent, or refused with the sentence put at the form."""
    if request.method != "POST" or asks_for_more_rows(request):
        return None
    fine = form.is_valid()
    if not (rows is None or rows.is_valid()) or not fine:
        return None
    try:
        return act(entry_of(request))
    except Problem as problem:
        form.refuse(problem)
        return None


def show(request: HttpRequest, template: str, form: Asking | None = None, **context: object) -> HttpResponse:
    """The page; 422 with everything still typed where the form was refused."""
    rows = context.get("rows")
    sentences = list(form.sentences) if form is not None and form.is_bound else []
    if isinstance(rows, Rows) and form is not None and form.is_bound:
        sentences += [text for text in rows.sentences if text not in sentences]
    if asks_for_more_rows(request):
        sentences = []
    status = 422 if sentences else 200
    return render(request, template, {"form": form, "sentences": sentences, **context}, status=status)
