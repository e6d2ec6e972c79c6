"""slake and two general-purpose models on open tables of real mixtures.

    python -m benchmarks.replay [--quick] [--table yeh2007 ...] [--splits 10] [--briefs 50] [--fresh]

Half of the rows are told, the other half foretold: error (root mean square) over the better of a ridge-held quadratic
blend and a Gaussian process of scikit-learn, and how many of the readings the 80 % ranges hold. Then rows are drawn
until one meets a brief that 3 % of the rows meet, after three rows by chance, each chooser taking the row likeliest to
meet it. Needs scikit-learn (the developer's environment has it). Results are kept under benchmarks/results/replay.
"""

from __future__ import annotations

import argparse
import os
import platform
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from typing import Any

import numpy as np
import sklearn

import slake

from .kept import mark, result
from .open_tables import described, opened
from .trials import CHOOSERS, FIRST, MET_BY, MODELS, MOST_DRAWN, MOST_ROWS, halves, until_met

QUICK_SPLITS, QUICK_BRIEFS, QUICK_TABLES = 2, 5, ("yeh2007", "bash2021")
LOCKED = ("langner2020_wf3",)
Task = tuple[str, str, str, int, bool]
"""Table, "halves" or "until-met", chooser, seed, whether kept results are ignored."""


def read_line() -> argparse.Namespace:
    ask = argparse.ArgumentParser(prog="python -m benchmarks.replay", description=(__doc__ or "").splitlines()[0])
    ask.add_argument("--quick", action="store_true", help="two tables, two splits, five briefs: about 2 minutes")
    ask.add_argument("--table", nargs="+", choices=list(described()), help=f"asked by name only: {LOCKED[0]}")
    ask.add_argument("--splits", type=int, default=10)
    ask.add_argument("--briefs", type=int, default=50)
    ask.add_argument("--jobs", type=int, default=2)
    ask.add_argument("--fresh", action="store_true", help="ignore kept results")
    said = ask.parse_args()
    if said.quick:
        said.splits, said.briefs, said.table = QUICK_SPLITS, QUICK_BRIEFS, said.table or list(QUICK_TABLES)
    said.table = said.table or [name for name in described() if name not in LOCKED]
    return said


def done(task: Task) -> dict[str, Any]:
    name, what, chooser, seed, fresh = task
    open_table, of_slake = opened(name), what == "halves" or chooser == "slake"

    def run() -> dict[str, Any]:
        return halves(open_table, seed) if what == "halves" else until_met(open_table, chooser, seed)

    return result(f"{name}/{what}/{chooser}-{seed:03d}", of_slake, run, fresh)


def main() -> None:
    said = read_line()
    threads = os.environ.get("OPENBLAS_NUM_THREADS", "all")
    print(f"python -m benchmarks.replay {' '.join(sys.argv[1:])}  slake {slake.__version__} {mark(True)}")
    print(f"{time.strftime('%d %B %Y')}, {platform.platform()}, {os.cpu_count()} cores, BLAS threads {threads}")
    print(f"Python {platform.python_version()}, numpy {np.__version__}, scikit-learn {sklearn.__version__}")
    print(f"{said.splits} splits in halves; {said.briefs} briefs met by {MET_BY:.0%} of at most {MOST_ROWS} rows,")
    print(f"{FIRST} first rows by chance, {MOST_DRAWN + 1} where none met it; 90 % intervals over splits and briefs\n")
    with ProcessPoolExecutor(max_workers=said.jobs) as pool:
        for name in said.table:
            _report(name, said, pool)


def _report(name: str, said: argparse.Namespace, pool: ProcessPoolExecutor) -> None:
    open_table = opened(name)
    print(f"{name}: {len(open_table)} rows, {len(open_table.parts)} parts. {open_table.what}")
    found = list(pool.map(done, [(name, "halves", "all", seed, said.fresh) for seed in range(said.splits)]))
    for reading in open_table.readings:
        _report_halves(reading, [one[reading] for one in found])
    for chooser in CHOOSERS if said.briefs else ():
        tasks = [(name, "until-met", chooser, seed, said.fresh) for seed in range(said.briefs)]
        drawn = np.array([one["drawn"] for one in pool.map(done, tasks)], dtype=float)
        mean, low, high = with_interval(drawn)
        print(f"  rows until the brief is met, {chooser:10s} {mean:6.1f} [{low:.1f}, {high:.1f}]", flush=True)
    print()


def _report_halves(reading: str, splits: list[dict[str, dict[str, float]]]) -> None:
    error = {model: np.array([one[model]["error"] for one in splits]) for model in ("slake", *MODELS)}
    better = min(MODELS, key=lambda model: float(error[model].mean()))
    each = np.column_stack([error["slake"], error[better]])
    ratio = float(each[:, 0].mean() / each[:, 1].mean())
    again = np.random.default_rng(1).integers(len(each), size=(1000, len(each)))
    low, high = np.quantile(each[again, 0].mean(axis=1) / each[again, 1].mean(axis=1), [0.05, 0.95])
    held = {model: with_interval(np.array([100 * one[model]["held"] for one in splits])) for model in error}
    errors = ", ".join(f"{model} {float(values.mean()):.4g}" for model, values in error.items())
    ranges = ", ".join(f"{model} {m:.0f} [{a:.0f}, {b:.0f}]" for model, (m, a, b) in held.items())
    print(f"  {reading}: error {errors}; slake over {better} {ratio:.2f} [{low:.2f}, {high:.2f}]")
    print(f"    within the 80 % range, %: {ranges}", flush=True)


def with_interval(values: np.ndarray) -> tuple[float, float, float]:
    """Mean, and the 5 and 95 % ends of it over what is drawn again with repeats."""
    again = np.random.default_rng(1).integers(len(values), size=(1000, len(values)))
    low, high = np.quantile(values[again].mean(axis=1), [0.05, 0.95])
    return float(values.mean()), float(low), float(high)


if __name__ == "__main__":
    main()
