from datetime import UTC, datetime

import pytest

from slake.actions.entry import Entry
from slake.actions.lots import take_lots
from slake.actions.reading import log_reading
from slake.paste.ingredients import HowKnown
from slake.records.values import moisture_of

AT = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)
DISH = {"tare_g": "10", "wet_mass_g": "110"}


@pytest.fixture
def shell(databases):
    return take_lots(Entry(id="lots", at=AT), [{"ingredient": "mussel shell", "dried": "yes"}])[0]


def oven(lot, name, *masses):
    rows = [{"hours": str(3 + n), "mass_g": mass} for n, mass in enumerate(masses)]
    return log_reading(Entry(id=name, at=AT), "oven_moisture", ("lot", lot.pk), DISH, rows)


def test_a_sample_not_yet_dry_is_a_lower_bound_not_forgotten(shell):
    before = moisture_of(shell).value
    oven(shell, "once", "80")  # 100 g of sample lost 30 g so far
    known = moisture_of(shell)
    assert known.how is not HowKnown.MEASURED
    assert before.high < 0.30 <= known.value.low < known.value.mid < known.value.high


def test_a_bound_does_not_undo_an_earlier_dry_reading(shell):
    oven(shell, "dry", "104", "104")  # 100 g of sample lost 6 g and stays
    oven(shell, "once", "106")  # at least 4 %
    known = moisture_of(shell)
    assert known.how is HowKnown.MEASURED
    assert known.value.mid == pytest.approx(0.06, abs=1e-6)


def test_a_nearly_dry_lot_has_no_water_below_none(shell):
    oven(shell, "dry", "110", "110")
    assert moisture_of(shell).value.low == 0
