"""How long a proposal takes: cold (a new process, imports included) and warm, by number of batches.

    python -m benchmarks.proposal_time [--quick]

First a bench as it is: four lines, every third batch with readings. Then the hard one: six ingredients and water, eight
properties, all of them read in every batch and all in the brief; from it the power by which warm time grows. Wall
times are of this machine as it is; processor time says what another load on it cannot.
"""

from __future__ import annotations

import argparse
import platform
import statistics
import subprocess
import sys
import time
from collections.abc import Callable

import numpy as np

from slake.campaign import Machine, Notebook

COLD = """
import time; start = time.perf_counter()
from benchmarks.proposal_time import {told}
{told}({count}).propose(seed=1)
print(time.perf_counter() - start, time.process_time())
"""
WORDS = ("too runny", "stalled", "fell at layer 9", "good but cracked", "good", "printed well")
COUNTS, FULL_COUNTS, QUICK_COUNTS = (0, 5, 12, 60, 200), (12, 30, 60, 120, 250, 500), (12, 60, 120)
GROWN_FROM = 60
FULL_BRIEF = {
    "cone_depth_mm": (12, 18),
    "ram_force_n": (None, 200),
    "layers_stood": (30, None),
    "springback_percent": (None, 3),
    "shrinkage_percent": (None, 7),
    "crack_grade": (None, 1),
    "strength_mpa": (2, None),
    "density_g_per_ml": (1.3, 1.8),
}


def told(count: int) -> Notebook:
    """A notebook of `count` made-up batches: six parts, every third with readings."""
    parts = ("mussel shell", "spent grain", "guar gum", "sodium alginate", "glycerol")
    brief = {
        "cone_depth_mm": (12, 18),
        "layers_stood": (30, None),
        "crack_grade": (None, 1),
        "shrinkage_percent": (None, 7),
    }
    book = Notebook(lots={p: p for p in parts}, brief=brief, machine=Machine(nozzle_mm=2, barrel_mm=60))
    for i in range(count):
        water = 0.33 + 0.012 * (i % 7)
        rest = {
            "spent grain": 0.05 + 0.01 * (i % 4),
            "guar gum": 0.004 + 0.001 * (i % 3),
            "sodium alginate": 0.009,
            "glycerol": 0.01,
        }
        fractions = {"mussel shell": 1 - water - sum(rest.values()), "water": water, **rest}
        readings = (
            {"cone_depth_mm": (9 + 1.5 * (i % 7), 60), "shrinkage_percent": 3 + 0.4 * (i % 7)} if i % 3 == 0 else {}
        )
        book.add(fractions, outcome=WORDS[i % len(WORDS)], readings=readings)
    return book


def told_in_full(count: int) -> Notebook:
    """Six ingredients and water, all eight properties read in every made-up batch."""
    parts = ("mussel shell", "spent grain", "guar gum", "sodium alginate", "glycerol", "chalk")
    book = Notebook(lots={p: p for p in parts}, brief=FULL_BRIEF, machine=Machine(nozzle_mm=2, barrel_mm=60))
    rng = np.random.default_rng(5)
    book.add_all([_full(rng) for _ in range(count)])
    return book


def _full(rng: np.random.Generator) -> dict[str, object]:
    names = ("water", "spent grain", "guar gum", "sodium alginate", "glycerol", "chalk")
    shares = rng.uniform((0.3, 0.03, 0.003, 0.006, 0.005, 0.05), (0.4, 0.1, 0.008, 0.012, 0.015, 0.2))
    mix = dict(zip(names, map(float, shares), strict=True))
    stiff = float(np.exp(7 - 14 * (mix["water"] - 0.35) + 60 * (mix["guar gum"] - 0.005) + rng.normal(0, 0.15)))
    off = rng.normal(size=6)
    readings = {
        "cone_depth_mm": (float(np.clip(17 * np.sqrt(1000 / stiff), 3, 38)), 60),
        "ram_force_n": float(0.13 * stiff * np.exp(0.1 * off[0])),
        "layers_stood": float(round(35 * (stiff / 1000) ** 0.8)),
        "springback_percent": float(1.5 * np.exp(0.3 * off[1])),
        "shrinkage_percent": float(np.clip(4 + 30 * (mix["water"] - 0.35) + 0.3 * off[2], 0.5, 20)),
        "crack_grade": float(np.clip(round(1 + 8 * (mix["water"] - 0.33) + 0.4 * off[3]), 0, 5)),
        "strength_mpa": float(3 * np.exp(0.2 * off[4])),
        "density_g_per_ml": float(1.6 + 0.02 * off[5]),
    }
    return {"fractions": {"mussel shell": 1 - sum(mix.values()), **mix}, "outcome": "good", "readings": readings}


def cold(told_of: Callable[[int], Notebook], count: int) -> tuple[float, float]:
    run = [sys.executable, "-c", COLD.format(told=told_of.__name__, count=count)]
    found = [subprocess.run(run, capture_output=True, text=True, check=True).stdout.split() for _ in range(3)]
    return statistics.median(float(wall) for wall, _ in found), statistics.median(float(cpu) for _, cpu in found)


def warm(told_of: Callable[[int], Notebook], count: int) -> tuple[float, float]:
    """Wall and processor seconds, medians of three; one proposal of another notebook goes before."""
    told_of(min(count, 12)).propose(seed=0)
    book, walls, busy = told_of(count), [], []
    for seed in range(3):
        start, start_busy = time.perf_counter(), time.process_time()
        book.propose(seed=seed)
        walls.append(time.perf_counter() - start)
        busy.append(time.process_time() - start_busy)
    return statistics.median(walls), statistics.median(busy)


def table(title: str, told_of: Callable[[int], Notebook], counts: tuple[int, ...]) -> dict[int, float]:
    print(f"{title}\nbatches   cold s (processor)   warm s (processor), medians of 3")
    found = {}
    for count in counts:
        (cold_wall, cold_busy), (wall, busy) = cold(told_of, count), warm(told_of, count)
        found[count] = busy
        print(f"{count:7d}   {cold_wall:6.2f} ({cold_busy:.2f})   {wall:12.2f} ({busy:.2f})", flush=True)
    return found


def main() -> None:
    ask = argparse.ArgumentParser(prog="python -m benchmarks.proposal_time")
    ask.add_argument("--quick", action="store_true", help="up to 120 batches")
    quick = ask.parse_args().quick
    print(f"python -m benchmarks.proposal_time, {time.strftime('%d %B %Y')}, {platform.platform()}")
    print(f"Python {platform.python_version()}, numpy {np.__version__}, one BLAS thread\n")
    table("four lines, every third batch read", told, QUICK_COUNTS if quick else COUNTS)
    print()
    busy = table("six ingredients, eight properties, all read", told_in_full, QUICK_COUNTS if quick else FULL_COUNTS)
    counts = [n for n in busy if n >= GROWN_FROM]
    power = np.polyfit(np.log(counts), np.log([busy[n] for n in counts]), 1)[0]
    print(f"warm processor time from {counts[0]} to {counts[-1]} batches grows by the power {power:.2f} (at most 2)")


if __name__ == "__main__":
    main()
