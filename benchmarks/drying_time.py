"""How long a drying plan takes: without and with weighings, and how often its range holds a made-up truth.

Run: python -m benchmarks.drying_time
"""

from __future__ import annotations

import time

import numpy as np

from slake.paste.drying_run import Way, drawn, dry_s, long_enough_s, run
from slake.paste.drying_schedule import around
from slake.paste.drying_unknowns import draw_scores
from slake.paste.drying_weighed import Weighed, corrected
from slake.path.drying_answer import DRAWS, answer
from slake.path.drying_asked import asked_of

ASK = {"wall_mm": "4", "air_c": "20", "humidity_percent": "50", "bed": "closed", "kind": "mineral"}
SCALE_KG, PIECE_KG, PIECES, HOUR_S = 4e-5, 0.3, 40, 3600.0
WAY = Way(covered_s=10 * HOUR_S, freed_s=8 * HOUR_S)
SERIES = ((1, 6), (1, 20), (1, 6, 12, 24), (1, 6, 12, 24, 36, 48))


def timed(typed: dict[str, str]) -> float:
    begun = time.perf_counter()
    answer(asked_of(typed))
    return time.perf_counter() - begun


def held(hours: tuple[float, ...]) -> tuple[int, float]:
    """Of made-up pieces drawn from what may be: how many dry within the corrected range, and its usual width."""
    asked = asked_of(ASK).drying
    truths = drawn(asked, draw_scores(np.random.default_rng(5), PIECES))
    done = run(asked, truths, WAY, long_enough_s(asked, truths))
    dry, within, widths = dry_s(done, truths.rest), 0, []
    for n in range(PIECES):
        noise = np.random.default_rng(n).normal(0, SCALE_KG, len(hours))
        masses = PIECE_KG * np.interp(np.array(hours) * HOUR_S, done.times_s, done.mass[:, n]) + noise
        weighed = Weighed(at_s=tuple(h * HOUR_S for h in hours), mass_kg=tuple(masses), mass_sd_kg=SCALE_KG)
        scores = draw_scores(np.random.default_rng(1000 + n), DRAWS)
        found = drawn(asked, corrected(asked, scores, WAY, weighed, np.random.default_rng(2000 + n)))
        span = around(dry_s(run(asked, found, WAY, long_enough_s(asked, found)), found.rest))
        within += span.low <= dry[n] <= span.high
        widths.append(span.high / span.low)
    return within, float(np.median(widths))


def main() -> None:
    weighed = {"hours_1": "1", "grams_1": "312", "hours_2": "20", "grams_2": "274"}
    print(f"a pot, {DRAWS} draws: {timed(ASK):.2f} s; with two weighings {timed({**ASK, **weighed}):.2f} s more")
    for hours in SERIES:
        within, width = held(hours)
        print(f"weighed at {hours} h: {within} of {PIECES} dry within the range, which runs over {width:.2f} times")


if __name__ == "__main__":
    main()
