"""Long work on a page: how far it is, what came of it, and calling it off."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from slake.jobs.asking import INTERRUPTED, OPEN, ask, call_off, start_worker, state_of
from slake.jobs.checking import CHECK, scaled_file
from slake.jobs.kinds import KINDS
from slake.jobs.moving import packed_file
from slake.records.models import Job

from ..asking import entry_of, show
from ..forms import Asking

STATE_WORDS = {
    "waiting": "waiting for its turn",
    "running": "at work",
    "done": "done",
    "refused": "refused",
    "interrupted": "interrupted",
    "cancelled": "called off",
}


@require_safe
def one_job(request: HttpRequest, job_id: int) -> HttpResponse:
    """Comes again by itself while the work is open."""
    job = Job.objects.filter(pk=job_id).first()
    if job is None:
        return show(request, "jobs/none.html", number=job_id)
    state = state_of(job, timezone.now())
    kind = KINDS.get(job.kind)
    return show(
        request,
        "jobs/one.html",
        Asking(),
        job=job,
        state=state,
        state_words=STATE_WORDS[state],
        words=INTERRUPTED if state == "interrupted" else job.words,
        is_open=state in OPEN,
        again=_without_bad_rows(job),
        title=kind.title if kind else job.kind,
        result=kind.template if kind else "",
        answer=job.answer,
        packed=packed_file(job) is not None,
        is_check=job.kind == CHECK,
        scaled=scaled_file(job, "3mf") is not None,
    )


def _without_bad_rows(job: Job) -> bool:
    """Whether work that was refused for bad rows can be asked for once more with the good ones only."""
    return job.state == "refused" and bool(job.answer.get("troubles_count")) and bool(job.answer.get("good"))


@require_POST
def go_on(request: HttpRequest, job_id: int) -> HttpResponse:
    """Ask for it again without its bad rows; or, where it only waits, see to it that somebody works."""
    job = get_object_or_404(Job, pk=job_id)
    if _without_bad_rows(job):
        job = ask(entry_of(request), job.kind, {**job.inputs, "only_good": True})
    start_worker()
    return redirect("job", job.pk)


@require_POST
def call_off_work(request: HttpRequest, job_id: int) -> HttpResponse:
    job = get_object_or_404(Job, pk=job_id)
    return redirect("job", call_off(entry_of(request), job.pk).pk)
