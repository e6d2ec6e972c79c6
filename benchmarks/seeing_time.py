"""How long a map, a curve and a look back take, on made-up batches (benchmarks/families/toys).

    python -m benchmarks.seeing_time

Processor seconds of one core, the science alone: no rows are read and nothing is drawn.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import time
from collections.abc import Callable

import numpy as np

from benchmarks.campaigns.book import open_book
from benchmarks.families import toys
from slake.campaign.seen_curve import curve
from slake.campaign.seen_left_out import foretold_of, parts
from slake.campaign.seen_map import cut
from slake.campaign.seen_outlook import outlook

COUNTS = (12, 30, 60, 120, 200)
WASTE, SEED = 9, 7


def seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def main() -> None:
    print("batches  what is known  one map  one curve  look back at all")
    waste = toys.draw(WASTE, SEED)
    for count in COUNTS:
        rng = np.random.default_rng(SEED)
        rows = toys.within(*waste.limits(), count, rng)
        book = open_book(waste, [toys.mix(waste, row, rng) for row in rows])
        seen = outlook(book, np.random.default_rng(SEED))
        known = seconds(lambda: outlook(book, np.random.default_rng(SEED)))  # noqa: B023
        one_map = seconds(lambda: cut(seen, *seen.axes[:2], seen.best))  # noqa: B023
        one_curve = seconds(lambda: curve(seen, seen.axes[0], seen.best))  # noqa: B023
        some = parts(count)
        back = seconds(lambda: foretold_of(book, some[0], {})) * len(some)  # noqa: B023
        print(f"{count:7d}  {known:13.2f}  {one_map:7.2f}  {one_curve:9.2f}  {back:16.1f}")


if __name__ == "__main__":
    main()
