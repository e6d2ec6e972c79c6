"""What every answer says about itself: nothing from elsewhere, in no frame, no guessing of types."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

Answer = Callable[[HttpRequest], HttpResponse]

PAGE_POLICY = (
    "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'none'"
)
PICTURE_POLICY = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; sandbox"
"""For drawings in SVG, which style themselves; nothing in them may run or load."""

HEADERS = {
    "X-Frame-Options": "DENY",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), payment=(), usb=()",
}


class HeadersMiddleware:
    """Outermost, so that error pages and static files carry the headers too."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        drawing = response.get("Content-Type", "").startswith("image/svg+xml")
        response.setdefault("Content-Security-Policy", PICTURE_POLICY if drawing else PAGE_POLICY)
        for name, value in HEADERS.items():
            response.setdefault(name, value)
        return response
