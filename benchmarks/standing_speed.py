"""How long it takes to judge whether a vessel stands: `python -m benchmarks.standing_speed [--draws N] [--moves N]`.

A round vessel with a belly, made up, one bead wide, laid in layers of 100 beads or as one spiral. Target: 200 posterior
draws through 20,000 moves in under 2 s, the layers found and widths, curves and leans read off the path included.
"""

from __future__ import annotations

import argparse
import math
import time

import numpy as np

from slake.paste.strength_by_age import Growing
from slake.path.carrying import stack_from
from slake.path.layers import layers_of
from slake.path.replay import Replayed, Travels
from slake.path.standing import Laid, laid_of_yield_stress
from slake.path.stands_answer import stands
from slake.path.stands_fixes import fixes

PER_TURN, HIGH, WIDE, SPEED = 100, 0.0008, 0.003, 0.02


def vessel(moves: int, spiral: bool) -> Replayed:
    """Beads of a vessel whose radius swells and narrows again."""
    place = np.arange(moves + 1)
    turn = place / PER_TURN
    level = turn if spiral else np.minimum(place // PER_TURN, moves // PER_TURN - 1)
    radius = 0.03 + 0.012 * np.sin(math.pi * level / (moves / PER_TURN))
    height = HIGH * turn if spiral else HIGH * (level + 1)
    points = np.column_stack([radius * np.cos(2 * math.pi * turn), radius * np.sin(2 * math.pi * turn), height])
    start, end = points[:-1], points[1:].copy()
    end[:, 2] = end[:, 2] if spiral else start[:, 2]
    length = np.linalg.norm(end - start, axis=1)
    done = np.cumsum(length / SPEED)
    none, places, flat = np.zeros(0), np.zeros(0, dtype=np.int64), np.zeros((0, 3))
    travels = Travels(
        start_m=flat, end_m=flat, start_s=none, end_s=none, wait_s=none, pushed_m3=none, after=places, line=places
    )
    return Replayed(
        start_m=start,
        end_m=end,
        start_s=done - length / SPEED,
        end_s=done,
        flow_m3_s=np.full(moves, SPEED * WIDE * HIGH),
        volume_m3=length * WIDE * HIGH,
        line=np.arange(moves) + 1,
        travels=travels,
        duration_s=float(done[-1]),
    )


def paste(draws: int) -> Laid:
    rng = np.random.default_rng(5)
    grown = Growing(
        at_laying=1500 * np.exp(0.25 * rng.standard_normal(draws)),
        log_per_s=5e-5 * np.exp(0.5 * rng.standard_normal(draws)),
    )
    ratio, density = (v * np.exp(s * rng.standard_normal(draws)) for v, s in ((300.0, 0.6), (1500.0, 0.02)))
    return laid_of_yield_stress(grown, ratio, density)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--draws", type=int, default=200)
    parser.add_argument("--moves", type=int, default=20_000)
    told = parser.parse_args()
    laid = paste(told.draws)
    for spiral in (False, True):
        path = vessel(told.moves, spiral)
        start, busy = time.perf_counter(), time.process_time()
        stack = stack_from(path, layers_of(path))
        carried = time.perf_counter()
        found = stands(stack, laid)
        done = time.perf_counter()
        print(
            f"{'spiral' if spiral else 'layers'}: {told.moves} moves, {len(stack.done_s)} layers, {told.draws} draws: "
            f"stack {carried - start:.2f} s + answer {done - carried:.2f} s = {done - start:.2f} s "
            f"({time.process_time() - busy:.2f} s of processor); falls at {found.earliest.layers:.0f} to "
            f"{found.latest.layers:.0f} layers, chance {found.chance:.2f}"
        )
    start = time.perf_counter()
    fixes(stack, laid)
    print(f"five changes, each searched and worked out anew: {time.perf_counter() - start:.1f} s")


if __name__ == "__main__":
    main()
