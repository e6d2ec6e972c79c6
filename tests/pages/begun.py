"""A batch ready to weigh on a bench that was empty: three made-up lots, a brief with a cone line, a proposal as given.

Run as a script it does the same in a bench that a server in another process is serving (SLAKE_HOME).
"""

from __future__ import annotations

import os
import sys
from datetime import UTC, datetime

import django

if __name__ == "__main__":
    os.environ["DJANGO_SETTINGS_MODULE"] = "slake.server.settings"
    django.setup()

from slake.actions.entry import Entry
from slake.actions.lots import take_lots
from slake.actions.mixing import begin_batch
from slake.actions.setting_up import set_brief
from slake.records.models import Batch, Lot, ProposalGiven

LOTS = [
    {"ingredient": "mussel shell", "name": "grey shell", "grams": "50000", "moisture_percent": "2"},
    {"ingredient": "guar gum", "name": "pale guar", "grams": "5000", "moisture_percent": "10"},
    {"ingredient": "sodium alginate", "name": "fine alginate", "moisture_percent": "12"},
]


def begin(name: str = "begun") -> Batch:
    """The batch. Its proposal is written by hand: what is tested is the bench, not the proposing."""

    def entry(what: str) -> Entry:
        return Entry(id=f"{name}.{what}", at=datetime.now(UTC))

    shell, guar, alginate = (lot.name for lot in Lot.objects.all()[:3] or take_lots(entry("lots"), LOTS))
    set_brief(entry("brief"), {"cone_depth_mm": ("15", "25"), "shrinkage_percent": ("", "5")})
    answer = {
        "parts": {shell: 0.94, guar: 0.04, alginate: 0.02},
        "water_per_dry": 0.45,
        "predictions": {"cone_depth_mm": [16.0, 20.0, 25.0]},
        "windows": {"cone_depth_mm": [15, 25]},
        "line_words": {"cone_depth_mm": "how deep the cone sinks"},
        "line_chances": {"cone_depth_mm": 0.7},
        "read_at_min": 60,
    }
    given = ProposalGiven.objects.create(
        at=datetime.now(UTC), seen=f"made by hand {name}", inputs={}, answer=answer, version="test"
    )
    return begin_batch(entry("batch"), given.pk, {"dry_g": "300"})


if __name__ == "__main__":
    print(begin(sys.argv[1]).number)
