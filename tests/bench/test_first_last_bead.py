"""First and last bead: points of water apart, from four weighings."""

from __future__ import annotations

import pytest

from slake.bench.declaration import Context
from slake.bench.first_last_bead import TEST
from slake.ground.problems import DoesNotFit, Problem


def read(**typed: str):
    usual = {"first_wet_g": "10", "first_dry_g": "6.6", "last_wet_g": "10", "last_dry_g": "6.8"}
    return TEST.read({**usual, **typed})


def test_thirty_four_and_thirty_two_percent_are_two_points_apart():
    raw = read()
    assert TEST.headline(raw).value == pytest.approx(2.0)
    assert TEST.inverse(raw, Context()).low == pytest.approx(0.02)
    assert "ran ahead" in TEST.headline(raw).words and any(
        "a point apart" in line for line in TEST.says(raw, Context())
    )


def test_alike_is_nothing_and_a_drier_first_bead_is_less():
    assert TEST.headline(read(last_dry_g="6.6")).value == pytest.approx(0.0)
    assert TEST.headline(read(last_dry_g="6.6")).words == ""
    assert TEST.headline(read(last_dry_g="6.4")).value == pytest.approx(-2.0)


def test_a_coarse_scale_knows_less_and_more_paste_more():
    fine, coarse, more = (
        TEST.inverse(raw, Context()).total_sd
        for raw in (
            read(),
            read(scale_step_g="0.5"),
            read(scale_step_g="0.5", first_wet_g="40", first_dry_g="26.4", last_wet_g="40", last_dry_g="27.2"),
        )
    )
    assert fine < more < coarse


def test_the_plug_is_said_beside_the_first_bead():
    lines = TEST.says(read(plug_wet_g="10", plug_dry_g="7.1"), Context())
    assert "the plug left in the barrel holds 29 % water, the first bead 34 %" in lines


@pytest.mark.parametrize(
    "bad", [{"first_dry_g": "10.2"}, {"last_wet_g": "6.8"}, {"first_wet_g": "nan"}, {"last_dry_g": "0"}]
)
def test_what_cannot_be_is_refused(bad: dict[str, str]):
    with pytest.raises(Problem):
        read(**bad)


def test_a_plug_that_grew_or_has_no_wet_mass_is_refused():
    with pytest.raises(DoesNotFit, match="plug weighs"):
        read(plug_wet_g="5", plug_dry_g="6")
    with pytest.raises(DoesNotFit, match="plug weighs"):
        read(plug_dry_g="6")
