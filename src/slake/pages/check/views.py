"""Before the print: ask, hand the file to the worker, and draw what came of it."""

from __future__ import annotations

from dataclasses import replace

from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_safe

from slake.actions.checking import loaded_for
from slake.actions.entry import Entry
from slake.ground.problems import Problem
from slake.jobs.asking import ask
from slake.jobs.checking import CHECK, LARGEST_BYTES, MEGABYTE, keep_sent, let_go, require_taken, scaled_file
from slake.path.checked_asked import MESHES, TOOLPATHS, asked_of
from slake.records.models import Job, Machine

from ..asking import attempt, form_page, show
from ..next.chart import SHAPES
from .drawing import draw_margin
from .form import CheckForm, batch_of, machine_of

SHOWN_JOBS = 8


@form_page
def check(request: HttpRequest) -> HttpResponse:
    """The form; sent, it leads to the page of the work."""
    form = (
        CheckForm(request.POST, files=request.FILES)
        if request.method == "POST"
        else CheckForm(initial=_at_first(request))
    )
    job = attempt(request, form, lambda entry: _asked(entry, form))
    if job is not None:
        return redirect("job", job.pk)
    return show(
        request,
        "check/page.html",
        form,
        meshes=", ".join(MESHES),
        toolpaths=", ".join(TOOLPATHS),
        megabytes=LARGEST_BYTES // MEGABYTE,
        jobs=Job.objects.filter(kind=CHECK).order_by("-pk")[:SHOWN_JOBS],
    )


def _at_first(request: HttpRequest) -> dict[str, str]:
    """The batch its page was come from, and its machine, else the last one described."""
    batch = batch_of(request.GET.get("batch", ""))
    machine = machine_of("", batch) or Machine.objects.last()
    said = {"batch": batch and str(batch.number), "machine": machine and str(machine.pk)}
    return {name: text for name, text in said.items() if text}


def _asked(entry: Entry, form: CheckForm) -> Job:
    """What was typed is looked through before the file is kept and the work asked for."""
    file: UploadedFile | None = form.cleaned_data["file"]
    if file is None:
        raise Problem("no file was chosen: choose a drawing or a toolpath first")
    require_taken(file.name or "", file.size or 0)
    batch = batch_of(form.typed["batch"])
    machine = machine_of(form.typed["machine"], batch)
    typed = dict(form.numbers)
    loaded = loaded_for(typed, batch, machine, entry.at)
    asked_of(typed, loaded.push.barrel.barrel_m)
    sent = keep_sent(file.name or "", file.chunks())
    inputs = {
        "file": sent.file,
        "name": sent.name,
        "typed": typed,
        "batch": batch.pk if batch else None,
        "machine": machine.pk if machine else None,
        "of": {"batch": batch.number if batch else None, "machine": str(machine) if machine else ""},
    }
    job = ask(replace(entry, id=f"{entry.id[:47]}.{sent.file[:16]}"), CHECK, inputs)
    if job.inputs["file"] != sent.file:
        let_go(sent)
    return job


def _job(job_id: int) -> Job | None:
    return Job.objects.filter(pk=job_id, kind=CHECK, state="done").first()


@require_safe
def margin_drawn(request: HttpRequest, job_id: int, shape: str) -> HttpResponse:
    job = _job(job_id)
    if job is None or not job.answer.get("margins"):
        return redirect("check")
    if shape not in SHAPES:
        raise Http404("no such drawing")
    return HttpResponse(draw_margin(job.answer["margins"], SHAPES[shape]), content_type="image/svg+xml")


@require_safe
def scaled(request: HttpRequest, job_id: int, ending: str) -> HttpResponse | FileResponse:
    """The scaled drawing while it is kept; after that the page that makes another."""
    job = _job(job_id)
    file = scaled_file(job, ending) if job is not None else None
    if file is None:
        return redirect("check")
    return FileResponse(open(file, "rb"), as_attachment=True, filename=f"scaled-{job_id}.{ending}")
