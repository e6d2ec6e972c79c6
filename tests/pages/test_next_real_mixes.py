"""Ten real mixes of another trade (tests/references/yeh2007.toml) through the same door as anybody's notebook."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from slake.actions.lots import take_lots
from slake.actions.proposing import tried
from slake.actions.setting_up import set_brief
from slake.ground.evidence import Kind
from slake.records.models import Batch, Lot, ProposalGiven, Reading
from slake.records.values import evidence_of

MIXES = tomllib.loads((Path(__file__).parents[1] / "references" / "yeh2007.toml").read_text(encoding="utf-8"))
TABLE = "\n".join(",".join(row) for row in [MIXES["columns"], *MIXES["mixes"]])
SLUMP, WATER = MIXES["columns"].index("SLUMP(cm)"), MIXES["columns"].index("Water")
DRY = ["Cement", "Slag", "Fly ash", "Coarse Aggr.", "Fine Aggr."]
ADDITIVE = "SP"


@pytest.fixture
def taken(client, databases, entry):
    """Six dry ingredients stated dry, a brief of one line, and the table pasted as it is."""
    rows = [{"ingredient": name, "role": "filler", "moisture_percent": "0"} for name in DRY]
    take_lots(entry(), [*rows, {"ingredient": ADDITIVE, "role": "additive", "moisture_percent": "0"}])
    set_brief(entry(), {"slump_mm": ("100", "180")})
    answer = client.post("/notebook/", {"lines": TABLE, "save": "yes"})
    assert answer.status_code == 302, answer.content.decode()
    return client


def test_what_no_bench_test_reads_is_left_out_and_said_so(client, databases, entry):
    """Flow, and compressive strength: the bench's own strength is of bending, another property."""
    page = client.post("/notebook/", {"lines": TABLE, "look": "yes"}).content.decode()
    assert "Left out, because no bench test reads it: FLOW, Compressive Strength" in page


def test_every_figure_of_the_table_is_kept(taken):
    assert Batch.objects.count() == len(MIXES["mixes"]) == 10
    for batch, row in zip(Batch.objects.all(), MIXES["mixes"], strict=True):
        grams = {amount.lot.name if amount.lot else "Water": amount.target_g for amount in batch.amounts.all()}
        for name in [*DRY, ADDITIVE, "Water"]:
            assert grams.get(name.casefold() if name != "Water" else name, grams.get(name, 0.0)) == float(
                row[MIXES["columns"].index(name)]
            )
        assert batch.readings.get().headline_value == 10 * float(row[SLUMP])  # cm to mm


def test_a_slump_of_nothing_says_only_stiffer_than(taken):
    """Under 50 mm the concrete cone cannot tell one stiff mix from another, over 250 mm no soft ones."""
    for reading in Reading.objects.all():
        found = evidence_of(reading)
        if reading.headline_value < 50:
            assert found.kind is Kind.ABOVE and found.low > 0
        elif reading.headline_value > 250:
            assert found.kind is Kind.BELOW
        else:
            assert found.kind is Kind.EXACT
    assert Reading.objects.filter(headline_value=0).count() == 3


def test_the_map_says_which_broke_the_line(taken):
    held = {one.batch.readings.get().headline_value: one.lines[0][1] for one in tried()}
    assert {value: 100 <= value <= 180 for value in held} == held


def test_water_per_dry_is_that_of_the_table(taken):
    for one, row in zip(tried(), MIXES["mixes"], strict=True):
        dry = sum(float(row[MIXES["columns"].index(name)]) for name in [*DRY, ADDITIVE])
        assert one.water_per_dry == pytest.approx(float(row[WATER]) / dry, rel=1e-9)


def test_a_next_mix_comes_out_with_ranges_that_own_up_to_ten_rows(taken):
    """Ten mixes of seven ingredients leave much open: the range must be wide, and wider than the reading's error."""
    assert taken.post("/next/work/").status_code == 302
    answer = ProposalGiven.objects.get().answer
    assert sum(answer["fractions"].values()) == pytest.approx(1, abs=0.005)
    assert set(answer["fractions"]) <= {lot.name for lot in Lot.objects.all()} | {"water"}
    low, mid, high = answer["predictions"]["slump_mm"]
    assert 0 <= low < mid < high <= 300
    assert high - low > 30
    assert answer["chance"][1] < 0.9
    page = taken.get("/next/").content.decode()
    assert "Mix this" in page and "100 to 180" in page
