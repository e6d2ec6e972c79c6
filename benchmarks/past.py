"""How long a table of 10,000 rows takes to come in: seven ingredients, two readings, an ending, a day. Made-up rows.

Run as `python benchmarks/past.py`; it works in a throw-away folder and prints the progress as it is told.
"""

from __future__ import annotations

import os
import tempfile
import time
from datetime import UTC, datetime

import django

os.environ["SLAKE_HOME"] = tempfile.mkdtemp(prefix="slake-past-")
os.environ["DJANGO_SETTINGS_MODULE"] = "slake.server.settings"
django.setup()

from django.core.management import call_command  # noqa: E402

from slake.actions.entry import Entry  # noqa: E402
from slake.actions.past import Asked, keep_sheet, table_of, take_in_sheet  # noqa: E402
from slake.campaign.past.guessing import guess_settled  # noqa: E402
from slake.campaign.past.meanings import Means  # noqa: E402
from slake.records.models import Amount, Batch, Reading  # noqa: E402

ROWS = 10_000
DRY = ["shell", "sand", "fibre", "starch", "guar", "clay", "ash"]


def table() -> bytes:
    """Every row another recipe, so that nothing is shared."""
    lines = ["batch;date;" + ";".join(f"{name} (g)" for name in DRY) + ";water (g);slump (cm);cone (mm);minutes;ended"]
    for n in range(ROWS):
        day = f"{1 + n % 28:02d}.{1 + n % 12:02d}.2024"
        amounts = [f"{40 + (n * (7 + k)) % 9973 / 100:.2f}".replace(".", ",") for k in range(len(DRY))]
        water, slump, cone = 150 + n % 97, n % 28, 5 + n % 25
        lines.append(f"b{n};{day};{';'.join(amounts)};{water};{slump};{cone};60;{'good' if n % 3 else 'too runny'}")
    return "\n".join(lines).encode()


def main() -> None:
    call_command("migrate", database="default", interactive=False, verbosity=0)
    now, start = datetime.now(UTC), time.perf_counter()

    def tell(done: int, total: int, words: str) -> None:
        if done % 2000 == 0:
            print(f"  {time.perf_counter() - start:5.1f} s  {words}: {done} of {total}", flush=True)

    sheet = keep_sheet(Entry(id="keep", at=now), "past.csv", table())
    settled = guess_settled(table_of(sheet.pk))
    picks = {str(c.at): {"pick": "new:filler", "moisture": "0"} for c in settled.of(Means.AMOUNT)}
    answer = take_in_sheet(Entry(id="in", at=now), sheet.pk, Asked(settled=settled, picks=picks), tell)
    seconds = time.perf_counter() - start
    counts = f"{Batch.objects.count()} batches, {Amount.objects.count()} amounts, {Reading.objects.count()} readings"
    print(f"{answer['taken']} rows taken in after {seconds:.1f} s ({counts})")


if __name__ == "__main__":
    main()
