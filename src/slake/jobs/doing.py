"""Waiting work is taken and done, its progress written outside of any transaction."""

from __future__ import annotations

import logging
import os
import secrets
import time
from collections.abc import Callable
from datetime import UTC, datetime

from django.db import transaction
from django.db.models import F

from slake.actions.entry import Entry
from slake.ground.problems import Problem
from slake.records.checks import LONGEST_TEXT
from slake.records.models import Job
from slake.records.which import current_bench

from .asking import is_alive, mark_interrupted
from .kinds import kind_named

log = logging.getLogger("slake.jobs")
WRITE_EVERY_S = 0.5
SHOWN_TROUBLES = 500
Clock = Callable[[], datetime]


class CalledOff(Exception):
    """Somebody asked for this work to stop."""


def now_utc() -> datetime:
    return datetime.now(UTC)


def work(clock: Clock = now_utc) -> int:
    """Do all that waits on this bench, unless another worker is at it; how many jobs were done."""
    mark_interrupted(clock())
    count = 0
    while (job := _claimed(clock())) is not None:
        _do(job, clock)
        count += 1
    return count


def _claimed(now: datetime) -> Job | None:
    """The oldest waiting job, marked as ours; None where none waits or another worker is at one."""
    with transaction.atomic(using=current_bench.get()):
        others = Job.objects.filter(state="running")
        if any(is_alive(job, now) for job in others):
            return None
        job = Job.objects.filter(state="waiting").order_by("id").first()
        if job is None:
            return None
        job.state, job.worker, job.seen_at, job.words = "running", os.getpid(), now, "beginning"
        job.save(update_fields=["state", "worker", "seen_at", "words"])
        return job


def _do(job: Job, clock: Clock) -> None:
    entry = Entry(id=f"job{job.pk}.{job.entry}"[:40], at=job.asked_at, person=job.person_id)
    try:
        answer = kind_named(job.kind).do(entry, job.inputs, _Telling(job, clock))
    except CalledOff:
        return
    except Problem as problem:
        _end(job, "refused", str(problem), clock, answer=_said_of(problem))
    except Exception:
        error_id = secrets.token_hex(4)
        log.exception("%s job %d (%s)", error_id, job.pk, job.kind)
        _end(job, "refused", f"something went wrong inside slake: report it with the id {error_id}", clock)
    else:
        _end(job, "done", "done", clock, answer=answer)


def _said_of(problem: Problem) -> dict[str, object]:
    """Troubles a problem carries, row by row."""
    troubles = getattr(problem, "troubles", ())
    said = [[one.number, one.why] for one in troubles[:SHOWN_TROUBLES]]
    return {"troubles": said, "troubles_count": len(troubles), "good": getattr(problem, "good", 0)}


def _end(job: Job, state: str, words: str, clock: Clock, answer: dict[str, object] | None = None) -> None:
    """What was done is done, also where it was called off too late."""
    ours = Job.objects.filter(pk=job.pk)
    if state != "done":
        ours = ours.filter(state="running")
    now = clock()
    far = {"done": F("total")} if state == "done" else {}
    ours.update(state=state, words=words[:LONGEST_TEXT], answer=answer or {}, ended_at=now, seen_at=now, **far)


class _Telling:
    """Writes progress now and then, and stops the work where its job is no longer running."""

    def __init__(self, job: Job, clock: Clock) -> None:
        self.job, self.clock, self.last, self.words = job, clock, 0.0, ""

    def __call__(self, done: int, total: int, words: str) -> None:
        moment = time.monotonic()
        if words == self.words and moment - self.last < WRITE_EVERY_S:
            return
        self.last, self.words = moment, words
        running = Job.objects.filter(pk=self.job.pk, state="running")
        if not running.update(done=done, total=total, words=words, seen_at=self.clock()):
            raise CalledOff
