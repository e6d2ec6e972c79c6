"""Everything of the bench taken along in one file, and moved into an empty bench."""

from __future__ import annotations

from django import forms
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_safe

from slake.actions.entry import Entry
from slake.actions.move_in import require_empty
from slake.campaign.past.table import LARGEST_BYTES
from slake.ground.problems import Problem
from slake.jobs.asking import ask
from slake.jobs.moving import MOVE_IN, TAKE_ALONG, keep_sent, packed_file
from slake.records.models import Job

from ..asking import attempt, form_page, show
from ..forms import Asking


class BoxForm(Asking):
    box = forms.FileField(
        label="A packed bench (.zip)",
        help_text=f"As slake packed it, at most {LARGEST_BYTES // 2**20} MB. For more: slake move-in FILE.",
        required=False,
        allow_empty_file=True,
        max_length=None,
    )


@form_page
def everything(request: HttpRequest) -> HttpResponse:
    """One page, two buttons: pack, or send a packed bench."""
    sent = request.method == "POST" and "pack" not in request.POST
    form = BoxForm(request.POST, files=request.FILES) if sent else BoxForm()
    packing = Asking(request.POST if request.method == "POST" and not sent else None, auto_id="packing_%s")
    job = attempt(request, form, lambda entry: _moved_in(entry, form)) if sent else None
    job = job or (None if sent else attempt(request, packing, lambda entry: ask(entry, TAKE_ALONG, {})))
    if job is not None:
        return redirect("job", job.pk)
    packed = [(job, packed_file(job)) for job in Job.objects.filter(kind=TAKE_ALONG).order_by("-pk")[:5]]
    shown = packing if packing.is_bound else form
    return show(
        request, "past/everything.html", shown, box=form, packing=packing, packed=[job for job, file in packed if file]
    )


def _moved_in(entry: Entry, form: BoxForm) -> Job:
    """Refused at once where the bench is not empty or no file came."""
    require_empty()
    box = form.cleaned_data["box"]
    if not box:
        raise Problem("no file was chosen: choose the zip that slake packed")
    if box.size > LARGEST_BYTES:
        raise Problem(
            f"the file has {box.size / 2**20:.1f} MB, but a page takes at most {LARGEST_BYTES // 2**20} MB: "
            "type slake move-in FILE on the machine itself"
        )
    return ask(entry, MOVE_IN, {"file": keep_sent(box.read())})


@require_safe
def packed_box(request: HttpRequest, job_id: int) -> HttpResponse | FileResponse:
    """The packed file while it is kept; after that the page that packs another."""
    job = Job.objects.filter(pk=job_id).first()
    file = packed_file(job) if job is not None else None
    if job is None or file is None:
        return redirect("everything")
    return FileResponse(open(file, "rb"), as_attachment=True, filename=f"slake-bench-{job.asked_at:%Y-%m-%d}.zip")
