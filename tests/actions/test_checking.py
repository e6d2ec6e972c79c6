"""What machine, batch and bars on record say of a print to come."""

from __future__ import annotations

import numpy as np
import pytest
from pytest import approx

from slake.actions.checking import from_rows, loaded_for
from slake.actions.notebook import take_in
from slake.actions.reading import log_reading, strike
from slake.actions.setting_up import describe_machine
from slake.ground.problems import NotEnoughEvidence
from slake.path.shrinking import Direction, foreseen
from slake.records.models import Batch, Machine, Reading

LINES = (
    "shell 300, guar 2.5, alginate 6, water 170 - too runny; cone 26 mm at 60 min\n"
    "shell 300, guar 5, alginate 9, water 130 - good; cone 14 mm at 60 min\n"
)


@pytest.fixture
def batches(first_day, entry) -> list[Batch]:
    described = {"name": "ram", "nozzle_mm": "2", "barrel_mm": "60", "cartridge_ml": "200", "layer_height_mm": "1,1"}
    describe_machine(entry(), described)
    return list(take_in(entry(), LINES).batches)


@pytest.fixture
def machine(batches) -> Machine:
    return Machine.objects.get()


def bar(entry, batch: Batch, dry: str, minutes: float) -> Reading:
    return log_reading(entry(minutes), "shrinkage_bar", ("batch", batch.pk), {}, [{"wet_mm": "100", "dry_mm": dry}])


def middle(values) -> float:
    return float(np.median(values))


def test_the_machine_on_record_and_the_batchs_own_stiffness(batches, machine):
    runny, stiff = (loaded_for({}, batch, machine) for batch in batches)
    assert runny.cartridge.volume_m3 == approx(2e-4) and runny.layer_height_m == approx(0.0011)
    assert middle(stiff.laid.strength.at_laying) == approx(
        middle(runny.laid.strength.at_laying) * (26 / 14) ** 2, rel=0.05
    )
    assert middle(stiff.push.yield_stress_pa) > 2 * middle(runny.push.yield_stress_pa)
    assert "read at the bench" in stiff.basis["yield stress"]


def test_a_batch_is_the_paste_of_a_machine_typed_by_hand(batches, machine):
    bores = {"nozzle_mm": "2", "barrel_mm": "60"}
    typed, recorded = loaded_for(bores, batches[1], None), loaded_for({}, batches[1], machine)
    assert middle(typed.laid.strength.at_laying) == approx(middle(recorded.laid.strength.at_laying), rel=0.02)
    with pytest.raises(NotEnoughEvidence):
        loaded_for({}, batches[1], None)


def test_bars_of_the_batch_itself_go_before_others_and_others_are_said(batches, machine, entry):
    runny, stiff = batches
    bar(entry, runny, "95", 100)
    other = loaded_for({}, stiff, machine)
    found = foreseen(Direction.ALONG, other.bars, other.today)
    assert found.shrinkage.mid == approx(0.05) and any("another batch" in words for words in found.warnings)
    assert any("less water" in words for words in found.warnings)
    bar(entry, stiff, "97", 110)
    own = loaded_for({}, stiff, machine)
    found = foreseen(Direction.ALONG, own.bars, own.today)
    assert found.shrinkage.mid == approx(0.03) and found.warnings == ()
    assert loaded_for({}, None, machine).bars is None


def test_a_bar_struck_through_or_wet_tells_nothing(batches, machine, entry):
    row = bar(entry, batches[0], "95", 100)
    log_reading(entry(105), "shrinkage_bar", ("batch", batches[1].pk), {}, [{"wet_mm": "100"}])
    assert from_rows(batches[0], machine).bars is not None
    strike(entry(120), "reading", row.pk, "the wrong bar")
    assert from_rows(batches[0], machine).bars is None
