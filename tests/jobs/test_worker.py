"""The worker as a process of its own: started by the one who asks, with the same folder; it ends by itself."""

from __future__ import annotations

import os
import subprocess
import sys
import textwrap
from pathlib import Path

ASKED = """
    import django, os, time
    os.environ["DJANGO_SETTINGS_MODULE"] = "slake.server.settings"
    django.setup()
    from datetime import UTC, datetime
    from django.core.management import call_command
    from slake.actions.entry import Entry
    from slake.actions.past import Asked, keep_sheet, table_of
    from slake.campaign.past.guessing import guess_settled
    from slake.jobs import asking
    from slake.records.models import Batch, Job
    call_command("migrate", database="default", interactive=False, verbosity=0)
    now = datetime.now(UTC)
    sheet = keep_sheet(Entry(id="k", at=now), "x.csv", b"batch;shell (g);water (g)\\n1;300;140\\n2;310;150\\n")
    asked = Asked(settled=guess_settled(table_of(sheet.pk)), picks={"1": {"pick": "new:filler", "moisture": ""}})
    job = asking.ask(Entry(id="a", at=now), "take in sheet", {"sheet": sheet.pk, **asked.plain()})
    (worker,) = asking._started
    ended, done = worker.wait(timeout=100), Job.objects.get()
    print(ended, done.state, Batch.objects.count(), done.worker == worker.pid)
"""


def test_a_worker_is_started_does_what_waits_and_ends(tmp_path: Path):
    env = {**os.environ, "SLAKE_HOME": str(tmp_path / "home")}
    env.pop("DJANGO_SETTINGS_MODULE", None)
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(ASKED)], env=env, capture_output=True, text=True, timeout=120
    )
    assert done.stdout.split() == ["0", "done", "2", "True"], done.stderr
