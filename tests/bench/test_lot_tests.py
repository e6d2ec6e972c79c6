"""Water demand, gum run-out, sieve split, jar humidity, drying curve, mould: what each says and where it stops."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from slake.bench import drying_curve, gum_run_out, jar_humidity, mould_watch, sieve_split, water_demand
from slake.bench.declaration import Context
from slake.ground.evidence import Kind
from slake.ground.problems import DoesNotFit, Problem
from tests.bench.good_readings import GOOD


def good(test, *, rows=None, **fields):
    typed, usual = GOOD[test.id]
    return test.read({**typed, **fields}, usual if rows is None else rows)


def sieves(*pairs):
    return [{"opening_um": str(opening), "kept_g": str(kept)} for opening, kept in pairs]


# water demand
def test_water_demand_counts_the_lots_own_water_as_drunk():
    """6.2 g in 10 g at 10 % wet basis: (0.62 + 0.1) / 0.9 = 0.8 g per g dry. Own arithmetic."""
    raw = good(water_demand.TEST, water_g="6.2")
    dry = water_demand.TEST.inverse(raw, Context())
    moist = water_demand.TEST.inverse(raw, replace(Context(), moisture_wet_basis=0.1))
    assert (dry.low, moist.low) == (pytest.approx(0.62), pytest.approx(0.8))
    assert water_demand.TEST.forward(0.8, replace(Context(), moisture_wet_basis=0.1)) == pytest.approx(0.62)


@pytest.mark.parametrize(("stopped", "kind"), [("crumbs", Kind.ABOVE), ("sticky", Kind.BELOW), ("ball", Kind.EXACT)])
def test_where_it_was_stopped_makes_it_a_bound(stopped, kind):
    assert water_demand.TEST.inverse(good(water_demand.TEST, stopped_at=stopped), Context()).kind is kind


# gum run-out
def test_gum_that_does_not_run_only_says_thicker_and_gum_like_water_thinner():
    assert gum_run_out.TEST.inverse(good(gum_run_out.TEST, ended="stood"), Context()).kind is Kind.ABOVE
    thin = gum_run_out.TEST.inverse(good(gum_run_out.TEST, gum_run_out_s="12.5", water_s="12"), Context())
    assert thin.kind is Kind.BELOW and "twice as much" in thin.note


# sieve split
def test_sieve_sizes_and_the_nozzle_they_want():
    raw = good(sieve_split.TEST)
    lines = " ".join(sieve_split.TEST.says(raw, Context()))
    assert "d10" in lines and "d50" in lines and "d90" in lines and "common practice" in lines
    assert 125 < sieve_split.TEST.headline(raw).value < 250
    assert sieve_split.largest_grain_m(raw) == (pytest.approx(500e-6), False)


def test_a_sieve_that_gains_mass_is_refused():
    with pytest.raises(DoesNotFit, match="gained mass"):
        good(sieve_split.TEST, put_in_g="20", pan_g="9", rows=sieves((250, 6), (125, 9)))


def test_a_loss_is_said_and_two_sieves_of_one_opening_are_refused():
    lossy = good(sieve_split.TEST, put_in_g="20", pan_g="8", rows=sieves((250, 2), (125, 8.5)))
    assert any("not found again" in line for line in sieve_split.TEST.says(lossy, Context()))
    with pytest.raises(DoesNotFit, match="same opening"):
        good(sieve_split.TEST, rows=sieves((250, 6), (250, 8)))


def test_too_coarse_for_the_widest_sieve_only_says_coarser():
    raw = good(sieve_split.TEST, put_in_g="20", pan_g="4", rows=sieves((250, 10), (125, 6)))
    found = sieve_split.TEST.inverse(raw, Context())
    assert found.kind is Kind.ABOVE and found.low == pytest.approx(250e-6)
    assert any("coarser still" in line for line in sieve_split.TEST.says(raw, Context()))


def test_an_opening_of_an_old_table_is_said():
    raw = good(sieve_split.TEST, put_in_g="20", pan_g="10", rows=sieves((841, 0.2), (420, 9.6)))
    lines = " ".join(sieve_split.TEST.says(raw, Context()))
    assert "850 um" in lines and "425 um" in lines


def test_fibres_count_against_the_nozzle():
    lines = " ".join(sieve_split.TEST.says(good(sieve_split.TEST, longest_fibre_mm="2"), Context()))
    assert "6 mm" in lines  # three times two


# jar humidity
def test_the_salt_takes_the_hygrometers_error_off():
    found = jar_humidity.TEST.inverse(
        good(jar_humidity.TEST, humidity_percent="58", salt_shown_percent="78"), Context()
    )
    unchecked = jar_humidity.TEST.inverse(
        good(jar_humidity.TEST, humidity_percent="58", salt="none", salt_shown_percent=""), Context()
    )
    assert found.low == pytest.approx(0.55) and unchecked.low == pytest.approx(0.58)
    assert unchecked.total_sd > found.total_sd
    with pytest.raises(DoesNotFit, match="more than 15 points off"):
        good(jar_humidity.TEST, salt_shown_percent="40")


def test_too_damp_to_store_is_said():
    damp = jar_humidity.TEST.inverse(good(jar_humidity.TEST, humidity_percent="82"), Context())
    assert "too damp to store" in damp.note
    assert any(
        "most moulds" in line
        for line in jar_humidity.TEST.says(good(jar_humidity.TEST, humidity_percent="88"), Context())
    )


# drying curve
def test_a_drying_curve_says_how_far_and_when():
    raw = good(drying_curve.TEST, dry_after_h="")
    found = drying_curve.TEST.inverse(raw, Context())
    assert found.kind is Kind.EXACT and 24 < found.low / 3600 < 120
    lines = " ".join(drying_curve.TEST.says(raw, Context()))
    assert "g an hour" in lines and "is gone" in lines and "do not coat before" in lines


def test_too_early_to_tell_is_said_and_not_guessed():
    early = [{"hours": h, "mass_g": m} for h, m in (("0", "60"), ("2", "57.1"), ("4", "54.3"))]
    found = drying_curve.TEST.inverse(good(drying_curve.TEST, rows=early), Context())
    assert found.kind is Kind.ABOVE and "not slowed down" in found.note
    assert drying_curve.TEST.headline(good(drying_curve.TEST, rows=early)).words.startswith("too early")


def test_two_weighings_are_no_curve_yet_but_are_kept():
    rows = [{"hours": "0", "mass_g": "60"}, {"hours": "1", "mass_g": "58"}]
    raw = good(drying_curve.TEST, dry_after_h="", rows=rows)
    assert drying_curve.TEST.says_nothing_yet(raw)
    assert "weigh it again" in drying_curve.TEST.headline(raw).words


# mould watch
def looks(*pairs):
    return [{"day": str(day), "mould_grade": str(grade)} for day, grade in pairs]


def test_mould_lies_between_the_last_clean_look_and_the_first_with_it():
    found = mould_watch.TEST.inverse(good(mould_watch.TEST, rows=looks((1, 0), (3, 0), (5, 2))), Context())
    assert (found.kind, found.low, found.high) == (Kind.BETWEEN, 3 * 86400, 5 * 86400)
    assert "look daily" in found.note


def test_still_clean_is_later_than_this_and_there_at_first_is_before():
    clean = mould_watch.TEST.inverse(good(mould_watch.TEST, rows=looks((1, 0), (9, 0))), Context())
    there = mould_watch.TEST.inverse(good(mould_watch.TEST, rows=looks((2, 1))), Context())
    assert (clean.kind, clean.low) == (Kind.ABOVE, 9 * 86400)
    assert there.kind is Kind.BETWEEN and (there.low, there.high) == (0.0, 2 * 86400)


def test_two_grades_on_one_day_are_refused():
    with pytest.raises(DoesNotFit, match="keep one of them"):
        good(mould_watch.TEST, rows=looks((3, 0), (3, 2)))


@pytest.mark.parametrize(
    ("test", "fields"),
    [
        (water_demand.TEST, {"powder_g": "0"}),
        (gum_run_out.TEST, {"gum_run_out_s": "0"}),
        (sieve_split.TEST, {"put_in_g": "0"}),
        (jar_humidity.TEST, {"humidity_percent": "101"}),
        (drying_curve.TEST, {"scale_step_g": "0"}),
        (mould_watch.TEST, {"kept": "in a hat"}),
    ],
    ids=lambda value: getattr(value, "id", ""),
)
def test_numbers_no_bench_has_are_refused(test, fields):
    with pytest.raises(Problem):
        good(test, **fields)


def test_a_split_says_what_line_it_follows_and_where_it_lacks_grains():
    """Shares made from a Rosin-Rammler line of 150 um and 2.2 by its own form."""
    openings = (500, 355, 250, 125, 63)
    coarser = [0.0, *(100 * math.exp(-((um / 150) ** 2.2)) for um in openings[1:])]
    kept = [coarser[0], *(b - a for a, b in pairwise(coarser))]
    rows = sieves(*((um, round(max(g, 0.0) / 5, 4)) for um, g in zip(openings, kept, strict=True)))
    pan = 20 - sum(float(row["kept_g"]) for row in rows)
    said = " ".join(sieve_split.TEST.says(good(sieve_split.TEST, rows=rows, pan_g=f"{pan:.4f}"), Context()))
    assert "it follows a Rosin-Rammler line of size 15" in said and "spread 2." in said
    assert "too little go through" in said and "a finer powder blended in fills it" in said


def test_two_powders_in_one_split_are_no_line():
    rows = sieves((1000, 0), (800, 8), (500, 1), (250, 0.5), (125, 0.5))
    said = " ".join(sieve_split.TEST.says(good(sieve_split.TEST, rows=rows, pan_g="10"), Context()))
    assert "no milled powder of one kind" in said


def test_a_split_too_coarse_for_its_sieves_names_a_sieve_to_add():
    found = sieve_split.TEST.inverse(good(sieve_split.TEST, rows=sieves((250, 8), (125, 6)), pan_g="6"), Context())
    assert found.kind is Kind.ABOVE and "such as 355 um" in found.note
