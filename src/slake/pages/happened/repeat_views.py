"""How well this bench repeats its own readings, as a page."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from slake.actions.readings_told import MOST_TOLD, SAME_LOG_AGE
from slake.actions.repeating import repeated
from slake.bench.repeatability import LEAST_PAIRS
from slake.ground.units import from_si


@require_safe
def repeat(request: HttpRequest) -> HttpResponse:
    """Test by test: how many repeats, what they scatter, and what that means for one reading."""
    context = {
        "rows": repeated(),
        "batches": MOST_TOLD,
        "least": LEAST_PAIRS,
        "same_age": f"{from_si(SAME_LOG_AGE, '%'):.0f} %",
    }
    return render(request, "happened/repeat.html", context)
