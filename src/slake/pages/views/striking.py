"""A line through a whole batch, and its end."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect

from slake.actions.striking import strike_batch
from slake.records.models import Batch
from slake.records.struck import strike_of

from ..asking import attempt, form_page, show
from ..forms import Asking, words


class LeaveOutForm(Asking):
    reason = words("Why", hint="Everything of it stays readable; this says why nothing is learnt from it.")


class TakeInAgainForm(Asking):
    reason = words("Why it counts again")


@form_page
def strike_a_batch(request: HttpRequest, number: int) -> HttpResponse:
    """One page for both ways: which of them is asked depends on how the batch stands."""
    one = get_object_or_404(Batch.objects.select_related("recipe"), number=number)
    line = strike_of(one)
    form = (LeaveOutForm if line is None else TakeInAgainForm)(request.POST or None)
    undone = line is not None

    def kept(entry: object) -> object:
        return strike_batch(entry, one.pk, form.typed["reason"], undone)

    if attempt(request, form, kept) is not None:
        return redirect("batch", number)
    return show(request, "pages/batches/strike.html", form, batch=one, line=line, lines=one.strikes.all())
