"""One reading beside the window the brief gives its test. Reads only."""

from __future__ import annotations

from slake.bench.declaration import BenchTest
from slake.ground.evidence import Range, linear_range
from slake.records.models import Brief
from slake.records.values import windows_of


def windows() -> dict[str, tuple[float | None, float | None]]:
    return dict(windows_of(Brief.objects.last()))


def headline_range(test: BenchTest, value: float, times: float = 1.0) -> Range:
    """80 % range of one reading on its own scale, calibration left out: it cancels against a window read alike.

    times: own scatter over the declared one.
    """
    return linear_range(value, times * test.scatter(value))


def in_window(test: BenchTest, value: float, window: tuple[float | None, float | None], times: float = 1.0) -> str:
    around = headline_range(test, value, times)
    low, high = (float("-inf") if window[0] is None else window[0]), (float("inf") if window[1] is None else window[1])
    if around.low >= low and around.high <= high:
        return "inside"
    return "outside" if around.high < low or around.low > high else "unsure"
