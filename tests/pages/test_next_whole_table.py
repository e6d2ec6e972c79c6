"""All 103 real mixes (tests/references/yeh2007.csv) with flow and strength as a lab declares them: told, then proposed
for a stated brief.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from slake.actions.campaign import MOST_TOLD, tell
from slake.actions.lots import take_lots
from slake.actions.own_readings import declare_reading
from slake.actions.setting_up import set_brief
from slake.bench import shelf
from slake.records.models import Batch, ProposalGiven, Reading
from slake.records.own_tests import declared_here

TABLE = Path(__file__).parents[1] / "references" / "yeh2007.csv"
DRY = ["cement", "slag", "fly ash", "coarse aggregate", "fine aggregate"]
HEADINGS = {
    "mix": "No",
    "slump (cm)": "SLUMP(cm)",
    "flow (cm)": "flow_cm",
    "28-day strength (MPa)": "strength_at_28_days_mpa",
}
BRIEF = {"slump_mm": ("100", "200"), "flow_cm": ("40", "60"), "strength_at_28_days_mpa": ("35", "")}


def as_pasted() -> str:
    with TABLE.open(encoding="utf-8", newline="") as file:
        first, *rows = list(csv.reader(file))
    headings = [HEADINGS.get(name, name.removesuffix(" (kg/m3)")) for name in first]
    return "\n".join(",".join(row) for row in [headings, *rows])


@pytest.fixture
def taken(client, databases, entry):
    shelf.lend(declared_here)
    rows = [{"ingredient": name, "role": "filler", "moisture_percent": "0"} for name in DRY]
    take_lots(entry(), [*rows, {"ingredient": "superplasticizer", "role": "additive", "moisture_percent": "0"}])
    declare_reading(entry(), {"title": "Flow", "unit": "cm", "floor": "20"})
    declare_reading(entry(), {"title": "Strength at 28 days", "unit": "MPa", "floor": "0"})
    set_brief(entry(), BRIEF)
    answer = client.post("/notebook/", {"lines": as_pasted(), "save": "yes"})
    assert answer.status_code == 302, answer.content.decode()
    yield client
    shelf.lend(None)


def test_the_whole_table_is_told_with_its_ends_one_sided(taken):
    assert (Batch.objects.count(), Reading.objects.count()) == (103, 309)
    told = tell()
    assert len(told.batches) == 103 <= MOST_TOLD and told.left_out == 0
    sites = told.book.belief().sites
    flow = [site for site in sites if site.source == "flow_cm"]
    assert sum(math.isinf(site.low) for site in flow) == 17  # did not spread: the cone's own base
    slump = [site for site in sites if site.source == "slump_mm"]
    assert sum(math.isinf(site.high) for site in slump) == 17  # under 50 mm: stiffer than the cone can tell
    assert sum(math.isinf(site.low) for site in slump) == 13  # over 250 mm


def test_a_next_mix_for_the_stated_brief_comes_out(taken):
    assert taken.post("/next/work/").status_code == 302
    answer = ProposalGiven.objects.get().answer
    assert sum(answer["fractions"].values()) == pytest.approx(1, abs=0.005)
    for name, (low, high) in BRIEF.items():
        least, middle, most = answer["predictions"][name]
        assert least < middle < most
        assert most > float(low) and least < (float(high) if high else math.inf)
    assert all(chance > 0.25 for chance in answer["line_chances"].values())


def test_of_a_hundred_batches_it_is_worked_out_too_whether_one_is_good_enough(taken):
    waiting = taken.get("/next/").content.decode()
    assert "103 batches are looked through" in waiting and "<progress" in waiting
    taken.post("/next/work/")
    stands = ProposalGiven.objects.get().answer["stands"]
    assert stands["surest"] is not None and "does not work out" not in " ".join(stands["sentences"])
    page = taken.get("/next/").content.decode()
    assert stands["sentences"][0].split(":")[0] in page and 'id="stands"' in page
