"""docs/bench-tests.md is what the declarations say."""

from __future__ import annotations

from pathlib import Path

from slake.bench.describe import bench_tests_page, known_sources
from slake.bench.shelf import all_tests

PAGE = Path(__file__).parents[2] / "docs" / "bench-tests.md"


def test_the_page_is_not_stale():
    made = bench_tests_page(all_tests().values(), known_sources())
    assert PAGE.read_text(encoding="utf-8") == made, "run: python -m slake.bench.describe > docs/bench-tests.md"


def test_every_test_shows_its_steps_limits_cautions_and_sources():
    page = bench_tests_page(all_tests().values(), known_sources())
    for test in all_tests().values():
        section = page.split(f"## {test.title}\n")[1].split("\n## ")[0]
        for said in (*test.procedure, *test.cautions, test.validity, *test.sources):
            assert said in section
    assert "not listed" not in page
    assert "| height lost (`slump_mm`) | 0 to 300 mm | must be said |" in page


def test_a_source_that_is_unknown_is_said_to_be():
    assert "not listed" in bench_tests_page(all_tests().values(), {})
