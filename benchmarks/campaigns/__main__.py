"""slake and general-purpose peers on families of made-up wastes: batches until a recipe truly meets every line.

    python -m benchmarks.campaigns [--quick] [--family kitchen ...] [--wastes 40] [--seeds 2] [--peer random ...]
    python -m benchmarks.campaigns --calendar | --new-lot | --kin | --stopping | --coverage | --priors-moved

A recipe counts when its noise-free truth at 60 minutes holds every line of the brief; 30 batches (or days) without one
count as 31. Peers but `random` and `mixture` run in an environment of their own (benchmarks/requirements.txt), named
by --peers-python or SLAKE_PEERS_PYTHON. Every result is kept under benchmarks/results/ and used again while the code
that made it is the same: what is stopped goes on where it was.
"""

from __future__ import annotations

import argparse
import os
import platform
import sys
import time
from concurrent.futures import ProcessPoolExecutor, as_completed
from typing import Any

import slake

from . import tables
from .asking import PEERS, PYTHON, can_run
from .coverage import PEERS as FORECASTING
from .experiments import TRIALS, Trial
from .families import known, named
from .kept import Task, mark, result

QUICK = ("random", "mixture", "processes-4", "processes-8", "botorch-chance-4")
QUICK_WASTES = 3
LOCKED = ("shore",)
"""Written blind, and run once when all is settled: only where it is asked for by name."""


def read_line() -> argparse.Namespace:
    ask = argparse.ArgumentParser(prog="python -m benchmarks.campaigns", description=(__doc__ or "").splitlines()[0])
    for name, trial in TRIALS.items():
        if name != "cold":
            said = trial.title.replace("%", "%%")
            ask.add_argument(f"--{name}", dest="trial", action="store_const", const=name, help=said)
    ask.add_argument("--quick", action="store_true", help=f"{QUICK_WASTES} wastes a family, one seed: about 5 minutes")
    open_ones = [f for f in known() if f not in LOCKED]
    ask.add_argument("--family", nargs="+", default=open_ones, choices=known(), help=f"asked by name only: {LOCKED[0]}")
    ask.add_argument("--wastes", type=int, default=40, help="of each family, for slake")
    ask.add_argument("--peer-wastes", type=int, default=20, help="of each family, for the peers")
    ask.add_argument("--from", dest="first", type=int, default=0, help="number of the first waste")
    ask.add_argument("--drawn", type=int, default=2026, help="seed of the wastes: another number, wastes never seen")
    ask.add_argument("--seeds", type=int, default=2, help="campaigns of slake on each waste")
    ask.add_argument("--peer-seeds", type=int, default=1)
    ask.add_argument("--peer", nargs="*", choices=PEERS, help="none after it: only slake; left out: all")
    ask.add_argument("--without-slake", action="store_true")
    ask.add_argument("--peers-python", default=os.environ.get(PYTHON), help="interpreter the peers run under")
    ask.add_argument("--jobs", type=int, default=2)
    ask.add_argument("--fresh", action="store_true", help="ignore kept results")
    return with_quick(ask.parse_args())


def with_quick(said: argparse.Namespace) -> argparse.Namespace:
    said.trial = said.trial or "cold"
    allowed = TRIALS[said.trial].peers
    said.peer = [p for p in (PEERS if said.peer is None else said.peer) if p in allowed]
    if said.quick:
        said.wastes = said.peer_wastes = QUICK_WASTES
        said.seeds = said.peer_seeds = 1
        said.peer = [p for p in said.peer if p in QUICK]
    return said


def tasks_of(said: argparse.Namespace) -> list[Task]:
    """The slowest contenders first, so that none is left alone at the end."""
    trial = TRIALS[said.trial]
    kept_as = "cold" if said.trial == "priors-moved" else said.trial
    who = [(p, said.peer_wastes, said.peer_seeds) for p in reversed(said.peer)]
    who += [] if said.without_slake else [(p, said.wastes, said.seeds) for p in trial.ours]
    return [
        Task(experiment=kept_as, family=family, number=number, drawn=said.drawn, peer=peer, seed=seed)
        for peer, wastes, seeds in who
        for family in said.family
        for number in range(said.first, said.first + wastes)
        for seed in range(1, 1 + seeds)
    ]


def run_all(said: argparse.Namespace, trial: Trial) -> tuple[list[dict[str, Any]], list[str]]:
    """Results, and what went wrong in campaigns that broke off; the others go on."""
    found: list[dict[str, Any]] = []
    wrong: list[str] = []
    begin, told = time.monotonic(), 0.0
    with ProcessPoolExecutor(said.jobs) as pool:
        work = {pool.submit(result, t, trial.run, trial.file, said.fresh): t for t in tasks_of(said)}
        for done in as_completed(work):
            if done.exception() is None:
                found.append(done.result())
            else:
                wrong.append(f"{work[done]}: {done.exception()}")
            now = time.monotonic() - begin
            if now - told > 15 or len(found) + len(wrong) == len(work):
                told = now
                print(f"  {len(found)} of {len(work)} campaigns, {now:.0f} s", file=sys.stderr, flush=True)
    return found, wrong


def settings(said: argparse.Namespace, trial: Trial) -> list[str]:
    own = trial.ours[0]
    families = ", ".join(f"{f} v{named(f).VERSION} {mark(f, own, trial.file)}" for f in said.family)
    last = said.first + said.wastes - 1
    return [
        "command: python -m benchmarks.campaigns " + " ".join(a for a in sys.argv[1:] if "/" not in a),
        f"{time.strftime('%Y-%m-%d')}, {platform.machine()}, {os.cpu_count()} cores,"
        f" Python {platform.python_version()}, slake {slake.__version__}",
        f"families (version, checksum of all code behind {own}): {families}",
        f"wastes {said.first} to {last} of seed {said.drawn}, {said.seeds} campaigns each; peers: {said.peer_wastes}"
        f" wastes, {said.peer_seeds}; a miss counts {trial.miss}; [90 % bootstrap intervals over wastes]",
    ]


def printed(said: argparse.Namespace, results: list[dict[str, Any]], family: str | None) -> list[str]:
    if said.trial == "coverage":
        return [*tables.kept_their_word(results, family), *tables.calibrated(results, family)]
    lines = tables.scored(results, family, TRIALS[said.trial])
    return [*lines, tables.said_enough(results, family)] if said.trial == "stopping" else lines


def main() -> int:
    said = read_line()
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    if said.peers_python:
        os.environ[PYTHON] = said.peers_python
    absent = [p for p in (FORECASTING if said.trial == "coverage" else said.peer) if not can_run(p)]
    if absent:
        print(f"left out, for their environment is not here (--peers-python): {', '.join(absent)}")
        if said.trial == "coverage":
            return 1
    said.peer = [p for p in said.peer if p not in absent]
    print("\n".join(settings(said, TRIALS[said.trial])), flush=True)
    results, wrong = run_all(said, TRIALS[said.trial])
    for family in [*said.family, *([None] if len(said.family) > 1 else [])]:
        print("\n".join(printed(said, results, family)))
    if wrong:
        print(f"\n{len(wrong)} campaigns broke off and are in no table:", *wrong, sep="\n")
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
