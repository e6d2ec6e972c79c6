"""Error pages: one sentence, what to do, and an id that is also in the log. Never a trace."""

from __future__ import annotations

import logging
import secrets
from dataclasses import dataclass

from django.core.exceptions import DisallowedHost, RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.http import Http404, HttpRequest, HttpResponse
from django.middleware.csrf import REASON_BAD_ORIGIN, REASON_BAD_REFERER, REASON_NO_REFERER
from django.template.loader import render_to_string

log = logging.getLogger("slake.errors")
TOO_LONG = (RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent)
FROM_ELSEWHERE = tuple(reason.split("%")[0] for reason in (REASON_BAD_ORIGIN, REASON_BAD_REFERER, REASON_NO_REFERER))
LONGEST_LINE = 300


@dataclass(frozen=True, kw_only=True)
class Said:
    status: int
    title: str
    sentence: str


BAD = Said(status=400, title="Not understood", sentence="This request could not be read: go back and try again.")
WRONG_NAME = Said(
    status=400, title="Wrong address", sentence="This machine answers only to the address slake printed: use that one."
)
CLOSED = Said(
    status=403, title="Not allowed", sentence="This is not open to this device: start again from the first page."
)
MISSING = Said(
    status=404, title="Nothing here", sentence="There is no page at this address: start again from the first page."
)
LONG = Said(
    status=413,
    title="Too much at once",
    sentence="That was more than fits in one request (2 MB of text, 20 MB with files, 2000 fields): send it in parts.",
)
OUR_FAULT = Said(
    status=500,
    title="Something went wrong inside slake",
    sentence="Nothing half written was kept. Go back and try again; if it comes again, report it with the id below.",
)
STALE = Said(
    status=403,
    title="Send it once more",
    sentence="This page was open so long that slake could not be sure it was you: what you typed is kept, send it.",
)
ELSEWHERE = Said(
    status=403,
    title="Not taken",
    sentence="This form did not come from a page of this slake: open the page here and type it.",
)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    if isinstance(exception, TOO_LONG):
        return _page(request, LONG, exception)
    return _page(request, WRONG_NAME if isinstance(exception, DisallowedHost) else BAD, exception)


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page(request, CLOSED, exception)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page(request, MISSING, exception if isinstance(exception, Http404) else None)


def our_fault(request: HttpRequest) -> HttpResponse:
    """Django has an exception at hand here; the log takes its trace, the page only the id."""
    return _page(request, OUR_FAULT, None, trace=True)


def csrf_failed(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form without a valid token. One that came from our own page is offered again with all that was typed."""
    ours = not reason.startswith(FROM_ELSEWHERE)
    typed = [
        (name, value) for name, values in request.POST.lists() for value in values if name != "csrfmiddlewaretoken"
    ]
    return _page(request, STALE if ours else ELSEWHERE, reason, typed=typed if ours else [])


def _page(
    request: HttpRequest, said: Said, why: object, *, trace: bool = False, typed: list[tuple[str, str]] | None = None
) -> HttpResponse:
    error_id = secrets.token_hex(4)
    where = f"{request.method} {request.path}"[:LONGEST_LINE].encode("unicode_escape").decode()
    reason = f"{type(why).__name__} {why}"[:LONGEST_LINE].encode("unicode_escape").decode()
    level = logging.ERROR if trace else logging.INFO
    log.log(level, "%s %d %s: %s", error_id, said.status, where, reason, exc_info=trace)
    shown = {"said": said, "error_id": error_id, "typed": typed or [], "path": request.get_full_path()}
    with_token = request if typed else None
    return HttpResponse(render_to_string("server/error.html", shown, with_token), status=said.status)
