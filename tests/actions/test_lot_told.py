"""Grain sizes and nozzle of a lot, a blend's grains, and readings of a lot that look like a slip."""

import pytest

from slake.actions.blending import blend_lots
from slake.actions.details import recipe_rows
from slake.actions.grain_sizes import nozzle_line, sizes_um
from slake.actions.lots import describe_lot, move_stock, take_lots
from slake.actions.notebook import take_in
from slake.actions.reading import log_reading
from slake.actions.usual_values import far_from_usual
from slake.ground.problems import DoesNotFit
from slake.records.values import grains_of

SPLIT = {"put_in_g": "20", "pan_g": "8"}
ROWS = [
    {"opening_um": "125", "kept_g": "8"},
    {"opening_um": "250", "kept_g": "3,5"},
    {"opening_um": "500", "kept_g": "0,5"},
]


@pytest.fixture
def lots(databases, entry):
    rows = [
        {"ingredient": "mussel shell", "sieve_um": "500", "dried": "yes", "grams": "2000"},
        {"ingredient": "oyster shell", "dried": "yes", "grams": "500", "sieve_um": "250"},
    ]
    return take_lots(entry(), rows)


def split(entry, lot):
    return log_reading(entry(), "sieve_split", ("lot", lot.pk), SPLIT, ROWS)


def test_a_blend_that_was_not_sieved_has_the_coarsest_grain_and_fibre_of_its_parents(lots, entry):
    shell, oyster = lots
    log_reading(entry(), "sieve_split", ("lot", shell.pk), {**SPLIT, "longest_fibre_mm": "3"}, ROWS)
    parts = [{"lot": str(shell.pk), "grams": "100"}, {"lot": str(oyster.pk), "grams": "50"}]
    blend = blend_lots(entry(), parts, {"ingredient": "both shells", "name": "both"})
    found = grains_of(blend)
    assert found.largest_m == grains_of(shell).largest_m and found.fibre_m == pytest.approx(3e-3)
    assert "fibres of 3 mm" in nozzle_line(blend)
    describe_lot(entry(), blend.pk, {"sieve_um": "200"})
    blend.refresh_from_db()
    assert grains_of(blend).largest_m == pytest.approx(200e-6) and grains_of(blend).fibre_m is None


def test_a_blend_of_which_one_parent_is_not_known_says_nothing_of_its_grains(lots, entry):
    unsieved = take_lots(entry(), [{"ingredient": "eggshell", "grams": "500"}])[0]
    parts = [{"lot": str(lots[0].pk), "grams": "100"}, {"lot": str(unsieved.pk), "grams": "50"}]
    blend = blend_lots(entry(), parts, {"ingredient": "shells", "name": "shells"})
    assert grains_of(blend).largest_m is None and nozzle_line(blend) == ""


def test_a_lot_says_its_sizes_and_what_they_ask_of_a_nozzle(lots, entry):
    """Of 20 g put in 8, 8, 3.5 and 0.5 g: half is finer than an opening between 125 and 250 um."""
    shell, oyster = lots
    assert sizes_um(oyster) == {} and "250 um" in nozzle_line(oyster)
    split(entry, shell)
    found = sizes_um(shell)
    assert 125 < found["d50"] < 250 < found["d90"] < 500
    assert "nozzle" in nozzle_line(shell)


def test_ten_times_the_usual_water_is_asked_about_and_the_usual_is_not(lots, entry):
    shell = lots[0]
    usual = log_reading(entry(), "water_demand", ("lot", shell.pk), {"powder_g": "10", "water_g": "3,5"})
    slip = log_reading(entry(), "water_demand", ("lot", shell.pk), {"powder_g": "10", "water_g": "35"})
    assert far_from_usual(usual) == ""
    assert "times more than usual for mussel shell" in far_from_usual(slip) and "a slip?" in far_from_usual(slip)


def test_grains_on_a_wider_sieve_than_the_lot_is_said_to_have_passed_are_asked_about(lots, entry):
    shell, oyster = lots
    assert far_from_usual(split(entry, shell)) == ""
    assert "passed a sieve of 250 um" in far_from_usual(split(entry, oyster))


def test_less_than_nothing_is_no_stock_and_the_sentence_says_what_to_type(lots, entry):
    with pytest.raises(
        DoesNotFit, match="2000 g in the book, and a difference of -99999 g would leave less than nothing"
    ):
        move_stock(entry(), lots[0].pk, "-99999", "put right")
    assert move_stock(entry(), lots[0].pk, "-100", "put right").grams == -100


def test_a_recipe_taken_along_says_the_sizes_and_the_nozzle_of_its_lots(lots, entry):
    split(entry, lots[0])
    take_lots(entry(), [{"ingredient": "guar"}])
    batch = take_in(entry(), "mussel shell 300, guar 5, water 130 - good").batches[0]
    found = {row["field"]: row for row in recipe_rows(batch.recipe) if row["of"] == lots[0].name}
    assert {"d50", "d90", "nozzle"} <= set(found) and found["d90"]["unit"] == "um"
    assert found["d90"]["value"] == pytest.approx(sizes_um(lots[0])["d90"])
