"""The page about every bench test, made from the declarations.

`python -m slake.bench.describe > docs/bench-tests.md`
"""

from __future__ import annotations

import sys
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from importlib.resources import files

from slake.ground.problems import plain

from .declaration import BenchTest, Choice, Scalar
from .shelf import all_tests

HOW = {
    "read": "read",
    "secondary": "seen in a text that reports it",
    "memory": "from memory, unverified",
    "practice": "common practice, no source",
    "own": "our own arithmetic",
}
Sources = Mapping[str, Mapping[str, object]]


def known_sources() -> Sources:
    """Every source a number may rest on, by key."""
    return tomllib.loads(files("slake.ground").joinpath("sources.toml").read_text(encoding="utf-8"))


def bench_tests_page(tests: Iterable[BenchTest], sources: Sources) -> str:
    """The whole page as Markdown."""
    declared = list(tests)
    lines = [
        "# Bench tests",
        "",
        "Made from the declarations in `src/slake/bench/` by `python -m slake.bench.describe`; a test fails when this",
        "page is stale. Do 2 or 3 readings and keep the middle one. Every number a test gives has a range, meant to",
        "hold the truth 8 times in 10, the calibration error shared by like readings included.",
        "",
        "| test | of a | read | notebook name | says something of | minutes |",
        "|---|---|---|---|---|---|",
    ]
    lines += [_list_row(test) for test in declared]
    for test in declared:
        lines += ["", *_section(test, sources)]
    return "\n".join(lines) + "\n"


def _list_row(test: BenchTest) -> str:
    reading = f"`{test.notebook_name}` ({test.notebook_unit or 'number'})"
    link = f"[{test.title}](#{_anchor(test.title)})"
    cells = (
        link,
        ", ".join(about.value for about in (test.about, *test.also_about)),
        test.brief_words,
        reading,
        f"`{test.informs}`",
        plain(test.minutes),
    )
    return f"| {' | '.join(cells)} |"


def _anchor(title: str) -> str:
    return title.lower().replace(" ", "-")


def _section(test: BenchTest, sources: Sources) -> Iterator[str]:
    yield f"## {test.title}"
    yield ""
    yield f"`{test.id}`, version {test.version}."
    yield ""
    yield from (f"{number}. {step}" for number, step in enumerate(test.procedure, 1))
    yield ""
    yield "| you type | limits | left open |"
    yield "|---|---|---|"
    yield from (_input_row(item) for item in test.inputs)
    if test.rows:
        yield from (_input_row(column, f"each of {_rows(test)}: ") for column in test.rows.columns)
    yield ""
    yield f"Holds: {test.validity}"
    yield ""
    yield f"Scatter of one reading: {_scatter(test)}."
    yield ""
    yield from (f"- Mind: {caution}" for caution in test.cautions)
    yield from (f"- Rests on `{key}`: {_source(sources.get(key, {}))}" for key in test.sources)


def _rows(test: BenchTest) -> str:
    assert test.rows is not None
    return f"{test.rows.at_least} to {test.rows.at_most} {test.rows.label}"


def _input_row(item: Scalar | Choice, before: str = "") -> str:
    if isinstance(item, Choice):
        left_open = item.words[item.typical] if item.typical is not None else "must be said"
        return f"| {before}{item.label} (`{item.name}`) | {'; '.join(item.words.values())} | {left_open} |"
    unit = f" {item.unit}" if item.unit else ""
    typical = f"{plain(item.typical)}{unit} (typical)" if item.typical is not None else "must be said"
    left_open = item.open_means or typical
    limits = f"{plain(item.low)} to {plain(item.high)}{unit}{', whole' if item.whole else ''}"
    return f"| {before}{item.label} (`{item.name}`) | {limits} | {left_open} |"


def _scatter(test: BenchTest) -> str:
    unit = "points of %" if test.notebook_unit == "%" else test.notebook_unit
    parts = []
    if test.scatter_absolute:
        parts.append(f"{plain(test.scatter_absolute)} {unit}".strip())
    if test.scatter_share:
        parts.append(f"{plain(100 * test.scatter_share)} % of the reading")
    return " or ".join(parts) + (", whichever is more" if len(parts) > 1 else "")


def _source(source: Mapping[str, object]) -> str:
    if not source:
        return "not listed"
    who = ", ".join(str(source[key]) for key in ("authors", "year") if key in source)
    return f"{f'{who}: ' if who else ''}{source['title']}; {source['where']} ({HOW[str(source['how'])]})"


if __name__ == "__main__":
    sys.stdout.write(bench_tests_page(all_tests().values(), known_sources()))
