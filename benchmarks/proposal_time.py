"""How long a proposal takes: cold (a new process, imports included) and warm, after 0 to 200 batches.

python -m benchmarks.proposal_time
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time

from slake.campaign import Machine, Notebook

COLD = """
import time; start = time.perf_counter()
from benchmarks.proposal_time import told
told({count}).propose(seed=1)
print(time.perf_counter() - start)
"""
WORDS = ("too runny", "stalled", "fell at layer 9", "good but cracked", "good", "printed well")


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


def main() -> None:
    print(f"python -m benchmarks.proposal_time, Python {sys.version.split()[0]}, one BLAS thread")
    print("batches   cold s (median of 3)   warm s (median of 3)")
    for count in (0, 5, 12, 60, 103, 200):
        run = [sys.executable, "-c", COLD.format(count=count)]
        cold = [float(subprocess.run(run, capture_output=True, text=True, check=True).stdout) for _ in range(3)]
        book, warm = told(count), []
        for seed in range(3):
            start = time.perf_counter()
            book.propose(seed=seed)
            warm.append(time.perf_counter() - start)
        print(f"{count:7d}   {statistics.median(cold):20.2f}   {statistics.median(warm):20.2f}")


if __name__ == "__main__":
    main()
