"""What is refused before anything is read: requests that are too long, and names this machine does not answer to."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse

Answer = Callable[[HttpRequest], HttpResponse]


class LimitsMiddleware:
    """Raises RequestDataTooBig or DisallowedHost; errors.py turns them into pages."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.get_host()
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not length.isdigit() or int(length) > settings.LONGEST_REQUEST_BYTES:
            raise RequestDataTooBig(f"{length} bytes")
        return self.get_response(request)
