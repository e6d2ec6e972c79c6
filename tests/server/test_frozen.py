"""A bench as each landing left it still opens: brought up to date, read whole, and proposed from.

tests/frozen/ holds one file a landing, the sample workshop (invented) told by that landing's program.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

FROZEN = sorted((Path(__file__).parents[1] / "frozen").glob("*.sqlite3"))
LEFT = {"landing_01": (12, 8, 12), "landing_02": (14, 10, 14), "landing_03": (14, 10, 14)}
"""Batches, lots, and batches a proposal is worked out from, in each."""
OPEN = """
import json
from datetime import UTC, datetime
import django; django.setup()
from slake.actions.entry import Entry
from slake.actions.proposing import propose_next, tried
from slake.records.models import Batch, Lot, Reading
from slake.records.values import evidence_of
from slake.server.home import home
from slake.server.start import bring_up
now = datetime(2026, 12, 24, tzinfo=UTC)
bring_up(home(), now, lambda said: None)
kinds = [evidence_of(reading).kind.value for reading in Reading.objects.all()]
answer = propose_next(Entry(id="frozen", at=now)).answer
print(json.dumps([Batch.objects.count(), Lot.objects.count(), len(kinds), len(tried()), answer["water_per_dry"]]))
"""


def test_there_is_one_of_every_landing():
    assert FROZEN


@pytest.mark.parametrize("file", FROZEN, ids=lambda file: file.stem)
def test_it_opens_and_a_next_batch_comes_out(tmp_path, file):
    home = tmp_path / "home"
    home.mkdir(mode=0o700)
    shutil.copy(file, home / "bench.sqlite3")
    env = {**os.environ, "SLAKE_HOME": str(home), "DJANGO_SETTINGS_MODULE": "slake.server.settings"}
    said = subprocess.run([sys.executable, "-c", OPEN], env=env, capture_output=True, text=True, check=True).stdout
    batches, lots, readings, drawn, water = json.loads(said.splitlines()[-1])
    assert (batches, lots, drawn) == LEFT[file.stem]
    assert readings > 20 and 0.2 < water < 2
