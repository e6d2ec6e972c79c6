"""Packs of a workshop and cartridges of a print, from a recipe and the moisture of today's lots."""

from __future__ import annotations

import math

import pytest

from slake.actions.lots import describe_lot
from slake.actions.notebook import take_in
from slake.actions.packing import filling, packing
from slake.ground.problems import OutsideRange
from slake.ground.units import from_si, to_si
from slake.paste.cartridges import Cartridge, two_ways
from slake.records.models import Recipe

LINE = "mussel shell 300, guar 5, alginate 9, water 160 - good; cone 14 mm at 60 min\n"


@pytest.fixture
def kept(first_day, entry) -> Recipe:
    (batch,) = take_in(entry(), LINE).batches
    return batch.recipe


def test_ten_packs_of_120_g_dry_are_twelve_with_their_totals(kept, first_day):
    found = packing(kept, 10, to_si(120, "g"), 0.2)
    assert len(found.packs) == 12 and found.asked == 10
    assert from_si(found.plan.dry_kg, "g") == pytest.approx(1440, abs=0.2)
    premix = math.fsum(from_si(p.premix_kg, "g") for p in found.packs)
    assert premix == pytest.approx(sum(row.grams for row in found.to_weigh), abs=0.05)
    water = math.fsum(from_si(p.water_kg + p.held_kg, "g") for p in found.packs)
    assert water == pytest.approx(found.water_g, abs=0.05)
    assert found.allergens == ["molluscs"]


def test_water_of_the_packs_follows_the_moisture_of_todays_lots(kept, first_day, entry):
    def shell(packed):
        return next(row.grams for row in packed.to_weigh if row.lot == first_day[0])

    before = packing(kept, 10, to_si(120, "g"), 0.2)
    describe_lot(entry(), first_day[0].pk, {"moisture_percent": "9"})
    after = packing(kept, 10, to_si(120, "g"), 0.2)
    assert after.water_g < before.water_g and shell(after) != shell(before)
    assert after.plan.water_kg / after.plan.dry_kg == pytest.approx(kept.water_per_dry, rel=1e-3)


def test_missing_stock_is_said_and_not_refused(kept, first_day):
    """2000 g of shell, 30 packs of 120 g and a fifth: 36 x 120 x 0.95 g of it."""
    short = {row.lot.name: row.short_g for row in packing(kept, 30, to_si(120, "g"), 0.2).to_weigh}
    assert short[first_day[0].name] > 2000 and short["guar gum"] == 0


@pytest.mark.parametrize(("asked", "dry", "spare"), [(0, 0.12, 0.2), (-1, 0.12, 0.2), (10, 0.0, 0.2), (10, 0.12, -1)])
def test_bad_packs_are_refused(kept, asked, dry, spare):
    with pytest.raises(OutsideRange):
        packing(kept, asked, dry, spare)


def test_cartridges_two_ways_with_grams_and_time(kept):
    cartridge = Cartridge(volume_m3=500e-6)
    found = filling(kept, cartridge, two_ways(1240e-6, cartridge), 0.058e-6)
    assert found.fewer.paste_kg == pytest.approx(found.ways.fewer_paste_m3 * found.density_kg_m3, rel=1e-3)
    assert found.more.paste_kg > found.fewer.paste_kg
    assert found.begun == (1, 2, 2) and found.mixings == (2, 2, 4)
    open_ = filling(kept, cartridge, two_ways(100e-6, cartridge), None)
    assert open_.fewer is None and open_.lasts_s is None and open_.mixings is None
