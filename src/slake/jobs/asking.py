"""Work is asked for, looked at, and called off; a worker process is started where something waits."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings

from slake.actions.entry import Entry, recorded
from slake.records.models import Job
from slake.records.which import current_bench

from .kinds import kind_named

OPEN = ("waiting", "running")
SILENT_AFTER = timedelta(minutes=3)
INTERRUPTED = "its worker ended before it was done; nothing half written was kept: ask for it again"
CALLED_OFF = "called off; nothing was kept"
_started: list[subprocess.Popen[bytes]] = []
"""Workers this process began, so that one that ended is not left behind as a dead entry of the process table."""


def ask(entry: Entry, kind: str, inputs: dict[str, Any]) -> Job:
    """Ask for long work, once per entry, and see to it that somebody does it."""
    job = put_down(entry, kind, inputs)
    start_worker()
    return job


def put_down(entry: Entry, kind: str, inputs: dict[str, Any]) -> Job:
    """Work that waits for whoever comes to do it."""
    return _asked(entry, kind, inputs) if kind_named(kind).logged else _job(entry, kind, inputs)


def _asked(entry: Entry, kind: str, inputs: dict[str, Any]) -> Job:
    with recorded(entry, "ask for work", {"kind": kind, "inputs": inputs}) as log:
        if log.before is not None:
            return Job.objects.get(pk=log.before["job"])
        job = _job(entry, kind, inputs)
        log.answer = {"job": job.pk}
        return job


def _job(entry: Entry, kind: str, inputs: dict[str, Any]) -> Job:
    said = {"kind": kind, "inputs": inputs, "asked_at": entry.at, "person_id": entry.person, "words": "waiting"}
    return Job.objects.get_or_create(entry=entry.id, defaults=said)[0]


def call_off(entry: Entry, job_id: int) -> Job:
    """Stop work that waits or runs; a running worker stops at its next word. What is done stays done."""
    job = Job.objects.get(pk=job_id)
    if not kind_named(job.kind).logged:
        return _stopped(entry, job)
    with recorded(entry, "call off work", {"job": job_id}) as log:
        return job if log.before is not None else _stopped(entry, job)


def _stopped(entry: Entry, job: Job) -> Job:
    ended = {"state": "cancelled", "words": CALLED_OFF, "ended_at": entry.at}
    Job.objects.filter(pk=job.pk, state__in=OPEN).update(**ended)
    job.refresh_from_db()
    return job


def is_alive(job: Job, now: datetime) -> bool:
    """Whether the worker of a running job still works on it: heard of lately, and its process there."""
    if job.seen_at is None or now - job.seen_at > SILENT_AFTER or job.worker is None:
        return False
    _reap()
    return os.name != "posix" or _process_is_there(job.worker)


def state_of(job: Job, now: datetime) -> str:
    """The state as it really is: work whose worker died is interrupted, whether or not anybody wrote that down."""
    return "interrupted" if job.state == "running" and not is_alive(job, now) else job.state


def mark_interrupted(now: datetime) -> int:
    """Write down which running jobs have no worker any more; for the start of a server or worker."""
    gone = [job.pk for job in Job.objects.filter(state="running") if not is_alive(job, now)]
    return Job.objects.filter(pk__in=gone, state="running").update(state="interrupted", words=INTERRUPTED, ended_at=now)


def start_worker() -> None:
    """One worker process for this bench, with the same settings and folder; it ends when nothing waits."""
    if not settings.WORK_IN_OWN_PROCESS or not Job.objects.filter(state="waiting").exists():
        return
    _reap()
    env = {**os.environ, "SLAKE_HOME": str(settings.HOME.folder), "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, "-m", "slake.jobs.worker", current_bench.get()]
    _started.append(
        subprocess.Popen(
            command,
            env=env,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
    )


def _reap() -> None:
    _started[:] = [worker for worker in _started if worker.poll() is None]


def _process_is_there(number: int) -> bool:
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True
