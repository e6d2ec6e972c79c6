"""Long work: asked for once, done in order, told how far, called off, and interrupted said where its worker died."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from slake.actions.entry import Entry
from slake.ground.problems import Problem
from slake.jobs import asking, doing
from slake.jobs import kinds as kinds_room
from slake.jobs.kinds import KINDS, Kind
from slake.records.models import Job
from slake.records.which import SAMPLE, using

NOW = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


@pytest.fixture
def kind(monkeypatch, databases) -> Callable[[Callable], None]:
    def put(do: Callable) -> None:
        monkeypatch.setattr(kinds_room, "KINDS", {**KINDS, "try": Kind(title="Trying", do=do, template="")})

    return put


def ask(number: int = 1) -> Job:
    return asking.ask(Entry(id=f"ask{number}", at=NOW), "try", {"n": number})


def test_work_is_asked_for_once_and_done_oldest_first(kind):
    done: list[int] = []

    def do(entry, inputs, tell):
        done.append(inputs["n"])
        tell(1, 2, "half way")
        return {"n": inputs["n"]}

    kind(do)
    assert ask(1).pk == ask(1).pk
    ask(2)
    assert doing.work() == 2 and done == [1, 2] and doing.work() == 0
    first = Job.objects.get(entry="ask1")
    assert (first.state, first.answer, first.done, first.total) == ("done", {"n": 1}, 2, 2)
    assert first.worker == os.getpid() and first.ended_at is not None


def test_a_problem_is_said_and_a_fault_gives_an_id(kind):
    def do(entry, inputs, tell):
        if inputs["n"] == 1:
            raise Problem("the sheet has no water: say which column holds it")
        raise ZeroDivisionError

    kind(do)
    ask(1), ask(2)
    doing.work()
    one, two = Job.objects.all()
    assert (one.state, one.words) == ("refused", "the sheet has no water: say which column holds it")
    assert two.state == "refused" and "report it with the id" in two.words and "ZeroDivision" not in two.words


def test_work_called_off_stops_at_its_next_word(kind):
    reached: list[str] = []

    def do(entry, inputs, tell):
        tell(1, 3, "one")
        asking.call_off(Entry(id="off", at=NOW), Job.objects.get().pk)
        reached.append("called off")
        tell(2, 3, "two")
        reached.append("too far")
        return {}

    kind(do)
    ask()
    doing.work()
    assert reached == ["called off"] and Job.objects.get().state == "cancelled"


def test_waiting_work_that_is_called_off_never_begins(kind):
    kind(lambda entry, inputs, tell: pytest.fail("it began"))
    job = ask()
    asking.call_off(Entry(id="off", at=NOW), job.pk)
    assert doing.work() == 0 and Job.objects.get().state == "cancelled"


def test_what_was_done_before_the_call_stays_done(kind):
    def do(entry, inputs, tell):
        asking.call_off(Entry(id="off", at=NOW), Job.objects.get().pk)
        return {"kept": True}

    kind(do)
    ask()
    doing.work()
    assert (Job.objects.get().state, Job.objects.get().answer) == ("done", {"kept": True})


@pytest.mark.skipif(os.name != "posix", reason="asks for a process by number")
def test_work_whose_worker_died_is_interrupted(kind):
    kind(lambda entry, inputs, tell: {})
    job = ask()
    with subprocess.Popen([sys.executable, "-c", ""]) as gone:
        gone.wait()
    Job.objects.update(state="running", worker=gone.pid, seen_at=NOW)
    job.refresh_from_db()
    assert asking.state_of(job, NOW) == "interrupted"
    assert Job.objects.get().state == "running"  # looking wrote nothing
    assert asking.mark_interrupted(NOW) == 1
    job.refresh_from_db()
    assert job.state == "interrupted" and "ask for it again" in job.words


def test_a_worker_that_lives_is_left_alone_and_a_silent_one_is_not(kind):
    kind(lambda entry, inputs, tell: {})
    job = ask()
    Job.objects.update(state="running", worker=os.getpid(), seen_at=NOW)
    job.refresh_from_db()
    assert asking.state_of(job, NOW + timedelta(seconds=30)) == "running"
    assert asking.mark_interrupted(NOW + timedelta(seconds=30)) == 0
    assert doing.work(lambda: NOW) == 0  # one worker at a time
    assert asking.state_of(job, NOW + asking.SILENT_AFTER + timedelta(seconds=1)) == "interrupted"


def test_the_two_benches_have_work_of_their_own(kind):
    kind(lambda entry, inputs, tell: {})
    with using(SAMPLE):
        ask()
    assert doing.work() == 0 and not Job.objects.exists()
    with using(SAMPLE):
        assert doing.work() == 1


def test_unknown_work_is_refused(databases):
    with pytest.raises(Problem, match="no work called"):
        asking.ask(Entry(id="x", at=NOW), "magic", {})
    assert not Job.objects.exists()
