"""A bench with three lots, machine, brief and two notebook batches, made through actions; and a reader of forms."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from html.parser import HTMLParser
from itertools import count

import pytest
from django.http import HttpResponse
from django.test import Client

from slake.actions.entry import Entry
from slake.actions.lots import take_lots
from slake.actions.notebook import take_in
from slake.actions.setting_up import describe_machine, set_brief
from slake.records.models import Batch, Lot

TWO_LINES = (
    "shell 300, guar 2.5, alginate 6, water 170 - too runny; cone 26 mm at 60 min\n"
    "shell 300, guar 5, alginate 9, water 130 - good but cracked; cone 14 mm at 60 min\n"
)
MORNING = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)


@pytest.fixture
def client(databases) -> Client:
    return Client(raise_request_exception=True)


@pytest.fixture
def entry() -> Callable[..., Entry]:
    numbers = count(1)
    return lambda minutes=0.0: Entry(id=f"made{next(numbers)}", at=MORNING + timedelta(minutes=minutes))


@dataclass(frozen=True, kw_only=True)
class Bench:
    shell: Lot
    guar: Lot
    alginate: Lot
    runny: Batch
    cracked: Batch


@pytest.fixture
def bench(databases, entry) -> Bench:
    lots = take_lots(
        entry(),
        [
            {"ingredient": "mussel shell", "sieve_um": "125", "dried": "yes", "grams": "2000"},
            {"ingredient": "guar"},
            {"ingredient": "alginate"},
        ],
    )
    describe_machine(entry(), {"name": "ram", "nozzle_mm": "2", "barrel_mm": "60"})
    set_brief(entry(), {"cone_depth_mm": ("11", "17"), "crack_grade": ("", "1")})
    runny, cracked = take_in(entry(), TWO_LINES).batches
    shell, guar, alginate = lots
    return Bench(shell=shell, guar=guar, alginate=alginate, runny=runny, cracked=cracked)


@dataclass
class Form(HTMLParser):
    """What one page asks: names with the values they hold, labels, ids, and alerts."""

    values: dict[str, str] = field(default_factory=dict)
    ids: list[str] = field(default_factory=list)
    labelled: set[str] = field(default_factory=set)
    asked: dict[str, str] = field(default_factory=dict)
    described: set[str] = field(default_factory=set)
    alerts: int = 0

    def __post_init__(self) -> None:
        super().__init__()
        self._area = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.ids += [given["id"]] if "id" in given else []
        self.alerts += given.get("role") == "alert"
        self.described |= set(given.get("aria-describedby", "").split())
        if tag == "label":
            self.labelled.add(given.get("for", ""))
        if tag not in {"input", "select", "textarea"}:
            return
        self._area = given.get("name", "") if tag == "textarea" else ""
        if given.get("type") != "hidden":
            self.asked[given.get("id", "")] = given.get("name", "")
        if given.get("type") not in {"radio", "checkbox"} or "checked" in given:
            self.values[given.get("name", "")] = given.get("value", "")

    def handle_data(self, data: str) -> None:
        if self._area:
            self.values[self._area] = self.values[self._area] + data

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self.values[self._area] = self.values[self._area].removeprefix("\n")
            self._area = ""


@pytest.fixture
def form_in() -> Callable[[HttpResponse], Form]:
    def read(response: HttpResponse) -> Form:
        form = Form()
        form.feed(response.content.decode())
        return form

    return read


@pytest.fixture
def fill(client: Client, form_in) -> Callable[..., HttpResponse]:
    """Open a page, type into its form, send it; a client's own hidden fields go along as a browser sends them."""

    def send(address: str, **typed: str) -> HttpResponse:
        held = form_in(client.get(address)).values
        return client.post(address, {**held, **{name.replace("__", "-"): text for name, text in typed.items()}})

    return send
