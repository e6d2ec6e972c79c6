"""Help made from the declarations, what the numbers rest on, and the log of everything done."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from slake.bench.declaration import BenchTest, Choice
from slake.bench.describe import HOW, known_sources
from slake.bench.shelf import all_tests
from slake.records.models import Action, Batch, Lot

from ..asking import show
from ..log_words import told
from ..readings import limits_words

LINES_A_PAGE = 100


@require_safe
def tests(request: HttpRequest) -> HttpResponse:
    tests = [(test, read_of_words(test)) for test in all_tests().values()]
    return show(request, "pages/tests/list.html", tests=tests)


@require_safe
def test_help(request: HttpRequest, test_id: str) -> HttpResponse:
    """How one test is done and where it holds, from its declaration alone."""
    test = all_tests().get(test_id)
    if test is None:
        raise Http404("no such test")
    asked = [*test.inputs, *(test.rows.columns if test.rows else ())]
    return show(
        request,
        "pages/tests/help.html",
        test=test,
        property=_property(test.informs),
        numbers=[(item, limits_words(item)) for item in asked if not isinstance(item, Choice)],
        choices=[item for item in asked if isinstance(item, Choice)],
        sources=_sources(test.sources),
        lots=Lot.objects.order_by("name") if test.read_of("lot") else [],
        batches=Batch.objects.order_by("-number")[:12] if test.read_of("batch") else [],
    )


def read_of_words(test: BenchTest) -> str:
    """Of what it may be read: "batch, also lot"."""
    also = [about.value for about in test.also_about]
    return f"{test.about.value}, also {' or '.join(also)}" if also else test.about.value


def _property(informs: str) -> str:
    """What a property is, in words, where names.toml says it."""
    return str(_names().get(informs, {}).get("meaning", informs.replace("_", " ")))


@cache
def _names() -> dict[str, dict[str, str]]:
    return tomllib.loads(files("slake.ground").joinpath("names.toml").read_text(encoding="utf-8"))


def _sources(keys: tuple[str, ...] | None = None) -> list[dict[str, object]]:
    listed = known_sources()
    wanted = listed if keys is None else {key: listed[key] for key in keys if key in listed}
    return [{**row, "key": key, "how_words": HOW[str(row["how"])]} for key, row in wanted.items()]


@require_safe
def sources(request: HttpRequest) -> HttpResponse:
    return show(request, "pages/sources/list.html", sources=_sources())


@require_safe
def log(request: HttpRequest) -> HttpResponse:
    """The newest actions first; `before` goes further back."""
    text = request.GET.get("before", "")
    rows = Action.objects.select_related("person")
    if text.isascii() and text.isdigit() and len(text) < 12:
        rows = rows.filter(pk__lt=int(text))
    return show(request, "pages/log/list.html", lines=told(rows[:LINES_A_PAGE]), most=LINES_A_PAGE)
