"""Two doors into one house: / is the person's own bench, /sample/ the invented sample workshop."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponsePermanentRedirect
from django.urls import get_script_prefix, set_script_prefix

from slake.records import which

from .home import OWN, SAMPLE

SAMPLE_PREFIX = "/sample/"
Answer = Callable[[HttpRequest], HttpResponse]


class DoorMiddleware:
    """Chooses the database by the first part of the path; every address made inside a door stays inside it."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path_info == SAMPLE_PREFIX.rstrip("/"):
            return HttpResponsePermanentRedirect(SAMPLE_PREFIX)
        if not request.path_info.startswith(SAMPLE_PREFIX):
            with which.using(OWN):
                return self.get_response(request)
        outside = get_script_prefix()
        request.path_info = request.path_info.removeprefix(SAMPLE_PREFIX.rstrip("/"))
        set_script_prefix(SAMPLE_PREFIX)
        try:
            with which.using(SAMPLE):
                return self.get_response(request)
        finally:
            set_script_prefix(outside)


def which_door(request: HttpRequest) -> dict[str, object]:
    """For templates: whether this is the sample, and the addresses of both doors."""
    return {
        "in_sample": request.path.startswith(SAMPLE_PREFIX),
        "own_bench_url": "/",
        "sample_url": SAMPLE_PREFIX,
        "slake_version": settings.VERSION,
    }
