"""Before the print, through its page: a toolpath and a drawing checked by the worker; bad files in a sentence."""

from __future__ import annotations

import io
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse

from slake.jobs import checking
from slake.jobs.asking import call_off
from slake.jobs.doing import work
from slake.path.mesh_in import read_mesh
from slake.path.mesh_out import write_stl
from slake.records.models import Action, Job
from tests.path.paths import rings, tube
from tests.path.solids import box, cylinder, ours

TUBE = tube(height_m=0.012, points=40)


@pytest.fixture(autouse=True)
def folder(tmp_path, settings) -> Path:
    """Files sent lie in a folder of this test's own."""
    settings.HOME = type(settings.HOME)(folder=tmp_path)
    return tmp_path / checking.FOLDER


@pytest.fixture
def send(client, bench):
    """Send a file from the page, with what else is said."""

    def sent(content: bytes, name: str = "pot.gcode", **said: str) -> HttpResponse:
        machine = str(bench.cracked.machine.pk)
        return client.post(
            "/check/", {"entry": name[:30], "machine": machine, **said, "file": SimpleUploadedFile(name, content)}
        )

    return sent


@pytest.fixture
def checked(client, send, bench):
    """The page of the work once it is done."""

    def page(content: bytes, name: str = "pot.gcode", **said: str) -> str:
        said = {"batch": str(bench.cracked.number), "e_counts": "ram", **said}
        answer = send(content, name, **said)
        assert answer.status_code == 302, answer.content.decode()
        work()
        return client.get(answer["Location"]).content.decode()

    return page


def refused(answer: HttpResponse) -> str:
    assert answer.status_code == 422 and Job.objects.count() == 0
    return answer.content.decode()


def left(folder: Path) -> list[str]:
    return sorted(file.suffix for file in folder.iterdir()) if folder.exists() else []


def test_a_toolpath_is_told_in_words_a_chart_and_a_table(client, checked, folder):
    page = checked(TUBE)
    for words in (
        "It stands to its top with a chance of",
        "first to go would be",
        "The push against what the ram has",
        "Paste, by cartridge",
        "10 turns of a spiral",
        "It never stops between two beads",
        "The same as a table",
        "A geared ram crushes fingers",
        "keeps the barrel under pressure",
        "mm of ram",
    ):
        assert words in page, words
    job = Job.objects.get()
    for shape in ("wide", "phone"):
        drawn = client.get(f"/check/{job.pk}/margin-{shape}.svg")
        assert drawn["Content-Type"] == "image/svg+xml" and b"how many times its load it bears" in drawn.content
    assert client.get(f"/check/{job.pk}/margin-square.svg").status_code == 404
    assert left(folder) == []
    assert job.inputs["name"] in client.get("/check/").content.decode()


def test_the_batch_is_the_paste(checked, bench):
    """The batch read at 14 mm stands better than the one read at 26 mm."""
    checked(TUBE)
    checked(TUBE, batch=str(bench.runny.number))
    stiff, runny = (row.answer["margins"][-1]["earliest"] for row in Job.objects.order_by("pk"))
    assert stiff > 1.5 * runny


def test_what_would_carry_it_is_worked_out_where_it_falls(checked):
    page = checked(tube(height_m=0.06, points=24), batch="", cone_mm="26")
    assert "Earliest: at layer" in page and "What would carry it" in page and "stiffer paste".capitalize() in page
    assert "worked out anew" in page


def test_stops_are_told_the_dearest_first(checked):
    page = checked(rings(6, ((60, 60), (120, 60))))
    assert "The dearest single stop is at line" in page and "over a gap to another part" in page


def test_the_wrong_meaning_of_e_is_doubted(checked):
    page = checked(TUBE, e_counts="filament")
    assert "E likely counts something else than mm of filament: as mm of ram" in page


def test_a_drawing_is_scaled_and_downloaded(client, checked, folder):
    page = checked(
        write_stl(ours(cylinder(20, 50))), "pot.stl", shrinkage_percent="5", bed_x_mm="200", cartridge_ml="300"
    )
    for words in (
        "Nothing in the drawing stops it",
        "Paste and cartridges",
        "closed",
        "fits",
        "Slopes, spans, thin walls",
    ):
        assert words in page, words
    job = Job.objects.get()
    for ending in ("3mf", "stl"):
        answer = client.get(f"/check/{job.pk}/scaled.{ending}")
        assert answer["Content-Disposition"] == f'attachment; filename="scaled-{job.pk}.{ending}"'
        scaled = read_mesh(b"".join(answer.streaming_content), f"x.{ending}")
        assert scaled.size_m[0] == pytest.approx(0.04 / 0.95, rel=1e-3)
        assert scaled.size_m[2] > 0.05 / 0.95
    assert left(folder) == [".3mf", ".stl"]
    assert client.get(f"/check/{job.pk}/scaled.exe")["Location"].endswith("/check/")
    assert client.get(f"/check/{job.pk}/margin-wide.svg").status_code == 302
    checking.clear_old(job.asked_at + timedelta(days=400))
    assert left(folder) == []
    assert "was kept for a day and is gone" in client.get(f"/jobs/{job.pk}/").content.decode()


def test_an_open_drawing_says_where(checked):
    body = box(30, 30, 30)
    body.update_faces([number > 1 for number in range(len(body.faces))])
    page = checked(write_stl(ours(body)), "open.stl")
    assert "It cannot be printed like this: 1 thing must be put right first" in page
    assert "the surface is open in 1 place".capitalize() in page
    assert "is not known until the surface is closed" in page


def test_inches_are_asked_and_the_answer_is_taken(checked):
    small = write_stl(ours(box(2, 2, 2)))
    assert "which unit is it in" in checked(small, "small.stl")
    assert "50.8 x 50.8 x 50.8 mm" in checked(small, "small.stl", unit="in")


@pytest.mark.parametrize("ending", ["obj", "ply", "3mf"])
def test_every_kind_of_drawing_is_read(checked, ending):
    content = cylinder(20, 50).export(file_type=ending)
    assert "Nothing in the drawing stops it" in checked(
        content if isinstance(content, bytes) else content.encode(), f"a.{ending}"
    )


def test_typed_bores_stand_in_for_a_machine(send):
    said = refused(send(TUBE, machine=""))
    assert "type the bores of its barrel and nozzle" in said
    assert send(TUBE, machine="", nozzle_mm="2", barrel_mm="60").status_code == 302


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("notes.txt", "is neither a mesh nor a toolpath"),
        (".stl", "stl” is neither"),
        ("../../etc/pot.exe", "pot.exe” is neither"),
    ],
)
def test_another_kind_of_file_is_refused_at_the_page(send, folder, name, said):
    assert said in refused(send(b"x", name))
    assert left(folder) == []


def test_no_file_is_said(client, bench):
    assert "no file was chosen" in refused(client.post("/check/", {"entry": "e"}))


def test_wrong_numbers_are_said_at_their_fields_before_a_file_is_kept(send, folder):
    said = refused(send(TUBE, cone_mm="400", bed_x_mm="wide"))
    assert "cone reading" in said and "width of the bed" in said.lower()
    assert left(folder) == []
    assert "what E counts is “bits”" in refused(send(TUBE, e_counts="bits"))


def test_a_large_file_is_refused_with_what_to_do(send, folder, monkeypatch):
    monkeypatch.setattr(checking, "LARGEST_BYTES", 100)
    assert "type slake check FILE" in refused(send(TUBE))
    assert left(folder) == []


def test_a_gigabyte_is_refused_by_its_declared_length_before_it_is_read(client, bench):
    body = io.BytesIO(b"--x\r\n")
    answer = client.generic(
        "POST", "/check/", b"", content_type="multipart/form-data; boundary=x", CONTENT_LENGTH="1073741824",
        **{"wsgi.input": body},
    )  # fmt: skip
    assert answer.status_code == 413 and "20 MB with files" in answer.content.decode()
    assert body.tell() == 0


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("words.stl", b"these are only words, no solid at all\n" * 9, "words.stl"),
        ("cut.stl", write_stl(ours(box()))[:-30], "cut short or damaged"),
        ("words.gcode", b"hello\nworld\n", "line"),
        ("bytes.gcode", bytes(range(256)) * 40, "not text"),
        ("nan.gcode", b"G21\nG1 Xnan Y1 E1 F100\n", "line 2"),
        ("cut.gcode", TUBE[: len(TUBE) // 2 - 3] + b" E-", "line"),
        ("empty.stl", b"", "it is empty"),
        ("empty.gcode", b"", "no"),
        ("x.3mf", b"PK\x03\x04 not really", "x.3mf"),
    ],
)
def test_a_bad_file_ends_in_one_sentence_and_leaves_nothing(client, checked, folder, name, content, said):
    page = checked(content, name)
    job = Job.objects.get()
    assert job.state == "refused" and said in job.words, job.words
    assert "something went wrong inside" not in job.words and "\n" not in job.words
    assert "Refused: " in page
    assert left(folder) == []


@pytest.mark.parametrize(
    "name", ["<script>alert(1)</script>.gcode", "a\u202eb\x07.gcode", "x" * 400 + ".gcode", "'; --.gcode"]
)
def test_a_hostile_name_is_only_shown(client, checked, name):
    page = checked(TUBE, name)
    assert "<script>alert" not in page and "It stands" in page
    assert "<script>alert" not in client.get("/check/").content.decode()


def test_the_same_form_sent_twice_is_one_check(send, folder):
    first, second = send(TUBE), send(TUBE)
    assert first["Location"] == second["Location"] and Job.objects.count() == 1
    assert len(left(folder)) == 1


def test_a_check_can_be_called_off_and_writes_no_record(client, send, folder, entry):
    before = Action.objects.count()
    send(TUBE)
    call_off(entry(), Job.objects.get().pk)
    assert work() == 0 and Job.objects.get().state == "cancelled"
    assert Action.objects.count() == before
    checking.clear_old(Job.objects.get().asked_at + timedelta(days=400))
    assert left(folder) == []


def test_progress_is_told_and_stops_the_work(client, send, folder, entry, monkeypatch):
    """Called off while it runs: it stops at its next word and leaves no file."""
    send(TUBE)
    told = []

    def check(source, loaded, asked, tell):
        tell(1, 15, "reading")
        told.append(Job.objects.get().words)
        call_off(entry(), Job.objects.get().pk)
        tell(2, 15, "reading on")
        raise AssertionError("it went on")

    monkeypatch.setattr(checking, "check_toolpath", check)
    work()
    assert told == ["reading"] and Job.objects.get().state == "cancelled"
    assert left(folder) == []


def test_home_and_batch_lead_there(client, bench):
    assert 'href="/check/"' in client.get("/").content.decode()
    number = bench.cracked.number
    assert f'href="/check/?batch={number}"' in client.get(f"/batches/{number}/").content.decode()
    page = client.get(f"/check/?batch={number}").content.decode()
    assert f'value="{number}" selected' in page


def test_an_address_of_a_check_that_is_not_there_leads_to_the_form(client, bench):
    for address in ("/check/77/margin-wide.svg", "/check/77/scaled.3mf"):
        assert client.get(address)["Location"].endswith("/check/")
