"""Evidence says only what a reading can bear."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.evidence import Z80, Evidence, Kind, Range, above, below, exact, linear_range, log_range, percent


def test_the_80_percent_half_width_is_that_of_the_normal_law() -> None:
    assert pytest.approx(1.2816, abs=5e-5) == Z80  # any printed table of the normal law


def test_shared_error_widens_the_range() -> None:
    alone = exact("yield_stress_pa", 1000, 0.1)
    with_cone = exact("yield_stress_pa", 1000, 0.1, cone_factor=0.3)
    assert alone.range80() is not None and with_cone.range80() is not None
    assert with_cone.total_sd == pytest.approx((0.1**2 + 0.3**2) ** 0.5)
    assert with_cone.range80().high > alone.range80().high  # type: ignore[union-attr]


@pytest.mark.parametrize("one_sided", [above("x", 368, 0.1), below("x", 100, 0.1)])
def test_one_sided_evidence_has_no_range(one_sided: Evidence) -> None:
    assert one_sided.range80() is None


@pytest.mark.parametrize(
    ("kind", "low", "high", "scatter"),
    [
        (Kind.EXACT, 1.0, 2.0, 0.1),
        (Kind.ABOVE, None, 1.0, 0.1),
        (Kind.BELOW, 1.0, None, 0.1),
        (Kind.BETWEEN, 2.0, 1.0, 0.1),
        (Kind.EXACT, float("nan"), float("nan"), 0.1),
        (Kind.ABOVE, float("inf"), None, 0.1),
        (Kind.EXACT, 1.0, 1.0, -0.1),
        (Kind.EXACT, 1.0, 1.0, float("nan")),
    ],
)
def test_impossible_evidence_is_refused(kind: Kind, low: float | None, high: float | None, scatter: float) -> None:
    with pytest.raises(ValueError):
        Evidence(informs="x", kind=kind, low=low, high=high, scatter=scatter)


@given(st.floats(min_value=1e-3, max_value=1e6), st.floats(min_value=0, max_value=2))
def test_ranges_rise_and_hold_their_middle(mid: float, sd: float) -> None:
    for found in (log_range(mid, sd), linear_range(mid, sd)):
        assert found.low <= found.mid == mid <= found.high
    assert log_range(mid, sd).low > 0


def test_a_falling_range_is_refused() -> None:
    with pytest.raises(ValueError):
        Range(low=2, mid=1, high=3)


def test_a_chance_is_never_called_sure():
    assert [percent(share) for share in (0.0, 0.004, 0.006, 0.5, 0.994, 0.996, 1.0)] == [
        "under 1 %", "under 1 %", "1 %", "50 %", "99 %", "over 99 %", "over 99 %",
    ]  # fmt: skip
