"""A declaration dropped into a folder is found by page, command, importer, help and belief, with no other edit."""

from __future__ import annotations

import os
import subprocess
import sys

from django.test import Client

from slake.actions.campaign import tell
from slake.actions.lots import take_lots
from slake.actions.notebook import take_in
from slake.actions.proposing import propose_next
from slake.actions.setting_up import describe_machine, set_brief
from slake.records.models import Reading
from tests.actions.conftest import entry
from tests.bench.own_test import OWN_READING, OWN_TITLE, own_spread

__all__ = ["entry", "own_spread"]
LINE = "shell 300, guar 2, water {water} - too runny; flow 120 mm at 30 min"


def test_a_dropped_declaration_is_found_everywhere(own_spread, databases, entry):
    take_lots(entry(), [{"ingredient": "mussel shell"}, {"ingredient": "guar"}])
    describe_machine(entry(), {"nozzle_mm": "2", "barrel_mm": "60"})
    set_brief(entry(), {OWN_READING: ("90", "110")})
    batch = take_in(entry(), LINE.format(water=200)).batches[0]
    kept = batch.readings.get()
    assert (kept.test, kept.headline_value, kept.age_s) == (own_spread, 120, 1800)

    book = tell().book
    assert book.brief.line(OWN_READING) is not None
    answer = propose_next(entry()).answer
    assert OWN_READING in answer["predictions"]
    assert answer["water_per_dry"] < batch.recipe.water_per_dry

    page = Client()
    assert OWN_TITLE in page.get("/tests/").content.decode()
    assert "Pour 50 mL on a level wet plate." in page.get(f"/tests/{own_spread}/").content.decode()
    form = page.get(f"/read/{own_spread}/batch/{batch.pk}/").content.decode()
    assert "width of the cake" in form.lower() and f'name="in_{OWN_READING}"' in form
    page.post(f"/read/{own_spread}/batch/{batch.pk}/", {f"in_{OWN_READING}": "95,5", "entry": "own-1"})
    assert Reading.objects.filter(test=own_spread, headline_value=95.5).count() == 1


def test_the_command_finds_it_too(own_spread, tmp_path):
    run = [sys.executable, "-c", "from slake.cli import main; main()"]
    env = {**os.environ, "SLAKE_HOME": str(tmp_path)}
    said = subprocess.run(
        [*run, "read", own_spread, f"{OWN_READING}=120"], env=env, capture_output=True, text=True, check=True
    )
    assert "Pa" in said.stdout
    listed = subprocess.run([*run, "tests"], env=env, capture_output=True, text=True, check=True)
    assert own_spread in listed.stdout
