"""The first page: two doors, and on a bench in use what is due next."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from slake.records.models import Batch, Lot

from ..asking import show
from ..due import due


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    return show(request, "pages/home.html", due=due(), lots=Lot.objects.count(), batches=Batch.objects.count())
