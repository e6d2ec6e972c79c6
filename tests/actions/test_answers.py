import pytest

from slake.actions.answers import advice
from slake.actions.lots import move_stock, stock_g
from slake.actions.mixing import begin_batch, start_clock
from slake.actions.proposing import propose_next
from slake.actions.reading import log_reading
from slake.actions.setting_up import set_brief


@pytest.fixture
def batch(first_day, entry):
    set_brief(entry(), {"slump_mm": ("100", "150"), "cone_depth_mm": ("12", "18")})
    return start_clock(entry(), begin_batch(entry(), propose_next(entry()).pk, {"dry_g": "300"}).pk)


@pytest.mark.parametrize(("slump_mm", "thinner"), [("60", True), ("220", False)])
def test_another_mould_than_the_typical_one_is_advised_on_with_its_own_forms(batch, entry, slump_mm, thinner):
    fields = {"slump_mm": slump_mm, "mould": "concrete_cone"}
    told = advice(batch, log_reading(entry(60), "slump", ("batch", batch.pk), fields))
    assert (told.add_water_g is not None, told.add_filler_g is not None) == (thinner, not thinner)
    assert told.start_g > 0


def test_too_little_filler_left_is_said_and_breaks_no_page(batch, first_day, entry):
    shell = first_day[0]
    move_stock(entry(), shell.pk, str(stock_g(shell) - 1), "spilled")
    told = advice(batch, log_reading(entry(60), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": "30"}))
    assert "its lot has 1.0 g" in told.words
    assert told.add_filler_g is None
