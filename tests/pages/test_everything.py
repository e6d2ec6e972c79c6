"""Everything of a bench taken along on one page, downloaded, and moved into an empty bench on another."""

from __future__ import annotations

import os
import zipfile
from io import BytesIO

import pytest
from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile

from slake.jobs import moving
from slake.jobs.doing import work
from slake.records.models import Action, Batch, Job, Reading
from slake.records.which import OWN, SAMPLE, using
from slake.server import start


@pytest.fixture(autouse=True)
def folder(tmp_path, settings):
    """Packed files lie in a folder of this test's own."""
    settings.HOME = type(settings.HOME)(folder=tmp_path)
    return tmp_path / moving.FOLDER


def kept_rows() -> dict[str, list[tuple[object, ...]]]:
    """Every row of the bench one is at but its work in hand."""
    models = (m for m in apps.get_app_config("records").get_models() if m is not Job)
    return {m._meta.model_name or "": list(m.objects.order_by("pk").values_list()) for m in models}


@pytest.fixture
def packed(client, bench) -> tuple[str, bytes]:
    """The own bench packed by its page; the address of the zip and what it holds."""
    answer = client.post("/past/everything/", {"pack": "yes", "entry": "p"})
    assert answer.status_code == 302
    work()
    page = client.get(answer["Location"]).content.decode()
    at = f"/past/everything/{Job.objects.get().pk}.zip"
    assert at in page and at in client.get("/past/everything/").content.decode()
    answer = client.get(at)
    assert answer["Content-Type"] == "application/zip" and "attachment" in answer["Content-Disposition"]
    return at, b"".join(answer.streaming_content)


def send(client, content: bytes, door: str = "/sample"):
    return client.post(f"{door}/past/everything/", {"entry": "m", "box": SimpleUploadedFile("x.zip", content)})


def test_out_of_one_bench_and_into_an_empty_one_gives_equal_rows(client, packed, folder):
    answer = send(client, packed[1])
    assert answer.status_code == 302, answer.content.decode()
    with using(SAMPLE):
        work()
        assert Job.objects.get().state == "done", Job.objects.get().words
        moved = kept_rows()
    assert moved["reading"] and moved["action"] and moved == kept_rows()
    page = client.get(answer["Location"]).content.decode()
    assert "rows moved in" in page and "batch" in page
    assert [file for file in folder.iterdir() if file.name.startswith("sent-")] == []


def test_asking_twice_is_asking_once(client, bench):
    first = client.post("/past/everything/", {"pack": "yes", "entry": "p"})
    assert client.post("/past/everything/", {"pack": "yes", "entry": "p"})["Location"] == first["Location"]
    assert Job.objects.count() == 1


def test_the_files_are_for_their_owner_only(packed, folder):
    assert os.stat(folder).st_mode & 0o077 == 0
    assert [os.stat(file).st_mode & 0o077 for file in folder.iterdir()] == [0]


def test_a_bench_that_is_not_empty_takes_nothing_in(client, packed):
    before = kept_rows()
    answer = send(client, packed[1], door="")
    page = answer.content.decode()
    assert answer.status_code == 422 and "this bench is not empty" in page and page.count('role="alert"') == 1
    assert kept_rows() == before and Job.objects.count() == 1


def test_a_bench_that_was_filled_while_the_work_waited_takes_nothing_in(client, packed):
    send(client, packed[1])
    with using(SAMPLE):
        Action.objects.create(name="x", entry="x", at=Job.objects.get().asked_at, inputs={}, answer={}, version="0")
        work()
        job = Job.objects.get()
        assert job.state == "refused" and "not empty" in job.words and not Batch.objects.exists()


@pytest.mark.parametrize("content", [b"", b"PK", b"no zip " * 100])
def test_another_file_is_refused_and_leaves_nothing(client, databases, content, folder):
    answer = send(client, content, door="")
    if answer.status_code == 302:
        work()
        assert "no packed bench" in client.get(answer["Location"]).content.decode()
    else:
        assert answer.status_code == 422
    assert not Action.objects.exists() and list(folder.glob("*.zip")) == []


def test_a_changed_box_leaves_nothing(client, packed):
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(packed[1])) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            new.writestr(name, old.read(name).replace(b"too runny", b"printed  "))
    send(client, out.getvalue())
    with using(SAMPLE):
        work()
        assert "not those that were packed" in Job.objects.get().words
        assert not Reading.objects.exists() and not Batch.objects.exists()


def test_no_file_is_asked_for(client, databases):
    assert "no file was chosen" in client.post("/past/everything/", {"entry": "m"}).content.decode()


def test_what_is_packed_goes_after_a_day(client, packed, folder):
    at, _ = packed
    [file] = list(folder.iterdir())
    day_ago = file.stat().st_mtime - moving.KEPT_FOR.total_seconds() - 60
    os.utime(file, (day_ago, day_ago))
    client.post("/past/everything/", {"pack": "yes", "entry": "next"})
    work()
    assert not file.exists()
    assert client.get(at)["Location"] == "/past/everything/"
    page = client.get(f"/jobs/{Job.objects.first().pk}/").content.decode()
    assert "It was kept for a day and is gone" in page


def test_packing_that_is_called_off_leaves_no_file(client, bench, folder, monkeypatch):
    def pack(file, at, progress):
        file.write_bytes(b"half")
        Job.objects.update(state="cancelled")
        progress(1, 2)

    monkeypatch.setattr(moving, "pack", pack)
    client.post("/past/everything/", {"pack": "yes", "entry": "p"})
    work()
    assert Job.objects.get().state == "cancelled" and list(folder.iterdir()) == []


def test_the_sample_is_packed_by_its_own_door(client, databases):
    client.post("/sample/past/everything/", {"pack": "yes", "entry": "p"})
    with using(SAMPLE):
        assert Job.objects.count() == 1
    with using(OWN):
        assert not Job.objects.exists()


def test_the_daily_look_of_the_server_deletes_it_too(client, packed, folder, settings, monkeypatch):
    monkeypatch.setattr(start, "back_up_daily", lambda *what: None)
    start.keep_copies(settings.HOME)
    [file] = list(folder.iterdir())
    day_ago = file.stat().st_mtime - moving.KEPT_FOR.total_seconds() - 60
    os.utime(file, (day_ago, day_ago))
    start.keep_copies(settings.HOME)
    assert list(folder.iterdir()) == []
