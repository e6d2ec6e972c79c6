"""What is typed, on record or usual becomes the paste and machine of a check."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from pytest import approx

from slake.actions.check_question import NUMBERS, FromRows, loaded_of
from slake.campaign.verdict import Paste, Press, Question, Tried
from slake.campaign.verdict.cone import cone_stress
from slake.campaign.verdict.draws import draw
from slake.campaign.verdict.inputs import Lengths
from slake.campaign.verdict.spread import READ, known
from slake.ground.problems import NotEnoughEvidence, OutsideRange
from slake.paste.ram import Barrel
from slake.path.force_law import Run
from slake.path.shrinking import Direction, Today

BORES = {"nozzle_mm": "2", "barrel_mm": "60"}
BARREL = Barrel(barrel_m=0.06, nozzle_m=0.002)
EXACT = Question(
    paste=Paste(yield_stress_pa=known(800.0)),
    press=Press(barrel=BARREL, lengths=Lengths(land_m=known(0.01), fill_m=known(0.1), speed_m_s=known(0.02))),
)


def test_two_bores_are_enough_and_one_is_not():
    assert loaded_of(BORES).push.barrel == BARREL
    with pytest.raises(NotEnoughEvidence, match="bores of its barrel and nozzle"):
        loaded_of({"nozzle_mm": "2"})
    with pytest.raises(OutsideRange, match="narrower"):
        loaded_of({"nozzle_mm": "20", "barrel_mm": "10"})


def test_the_push_is_that_of_the_verdict_on_the_same_machine():
    """The same draws of the same law give the same force at the same speed and filling."""
    loaded = loaded_of({}, FromRows(question=EXACT))
    need = loaded.push.need_n(np.zeros((1, 1)), Run(speed_m_s=np.full((1, 1), 0.02), fill_m=np.full((1, 1), 0.1)))
    assert np.median(need) == approx(np.median(draw(EXACT, 1024).need_n), rel=1e-9)
    assert np.quantile(need, 0.9) == approx(np.quantile(draw(EXACT, 1024).need_n, 0.9), rel=1e-9)


def test_a_machine_that_stalled_on_such_a_paste_counts():
    tried = Tried(pushed=False, yield_stress_pa=known(500.0), barrel=BARREL, lengths=EXACT.press.lengths)
    press = Press(barrel=BARREL, lengths=EXACT.press.lengths, tried=(tried,))
    plain, stalled = (
        loaded_of({}, FromRows(question=Question(paste=EXACT.paste, press=one))).push for one in (EXACT.press, press)
    )

    def has(push):
        return (push.have_n * push.weight).sum() / push.weight.sum()

    assert has(stalled) < has(plain)


def test_a_stress_typed_has_no_doubt_of_a_cone_and_a_cone_reading_has():
    told, read = loaded_of({**BORES, "yield_pa": "800"}).laid, loaded_of({**BORES, "cone_mm": "17"}).laid

    def wide(laid):
        return float(np.std(np.log(laid.strength.at_laying)))

    assert wide(told) == approx(0.15, rel=0.1) and wide(read) > 2 * wide(told)
    assert np.median(read.strength.at_laying) == approx(np.sqrt(3) * cone_stress(17).mid, rel=0.02)


def test_waiting_stiffens_what_is_pushed_and_what_stands():
    now, later = loaded_of(BORES), loaded_of({**BORES, "wait_min": "60"})
    assert np.all(later.push.yield_stress_pa > now.push.yield_stress_pa)
    assert np.all(later.laid.strength.at_laying > now.laid.strength.at_laying)
    aged = loaded_of({}, FromRows(question=EXACT, aged_s=3600.0))
    assert np.median(aged.laid.strength.at_laying) > np.median(
        loaded_of({}, FromRows(question=EXACT)).laid.strength.at_laying
    )


def test_only_a_bleed_that_was_read_wets_the_foot():
    assert np.all(loaded_of({}, FromRows(question=EXACT)).laid.bleed == 0)
    paste = replace(EXACT.paste, bleed=known(0.02, 0.1, READ))
    weeps = loaded_of(
        {}, FromRows(question=replace(EXACT, paste=paste), today=Today(batch="x", water_per_dry=0.5))
    ).laid
    assert np.median(weeps.bleed) == approx(0.02, rel=0.01)
    assert weeps.press_pa == 9e4 and weeps.water_per_dry == 0.5 and np.all(weeps.water_slope > 0)


def test_typed_goes_before_what_is_on_record():
    rows = FromRows(question=EXACT, cartridge_m3=3e-4, bead_m=0.003, layer_height_m=0.001)
    loaded = loaded_of({}, rows)
    assert (loaded.cartridge.volume_m3, loaded.bead_m, loaded.layer_height_m) == (3e-4, 0.003, 0.001)
    typed = {
        "cartridge_ml": "500",
        "bead_mm": "4",
        "layer_mm": "2",
        "nozzle_mm": "3",
        "force_n": "400",
        "land_mm": "12",
    }
    other = loaded_of(typed, rows)
    assert (other.cartridge.volume_m3, other.bead_m, other.layer_height_m) == approx((5e-4, 0.004, 0.002))
    assert other.push.barrel.nozzle_m == 0.003 and np.median(other.push.have_n) == approx(400, rel=0.01)
    assert np.median(other.push.land_m) == approx(0.012, rel=0.01)
    assert "typed here" in other.basis["force the ram has"]


def test_a_shrinkage_typed_is_one_bar_of_this_paste():
    bars = loaded_of({**BORES, "shrinkage_percent": "6"}).bars
    assert bars is not None and bars.mean == {Direction.ALONG: approx(0.06)}
    assert loaded_of(BORES).bars is None


def test_a_small_cartridge_keeps_a_tenth_in_its_cone():
    assert loaded_of({**BORES, "cartridge_ml": "20"}).cartridge.residue_m3 == approx(2e-6)
    assert loaded_of({**BORES, "cartridge_ml": "3000"}).cartridge.residue_m3 == approx(3e-5)


@pytest.mark.parametrize("name", sorted(NUMBERS))
def test_every_number_has_its_limits(name):
    with pytest.raises(OutsideRange):
        loaded_of({**BORES, name: "9999999"})
    loaded_of({**BORES, name: "don't know"} if name not in BORES else BORES)
