"""Batches until a recipe truly meets every line: slake and general-purpose peers on families of made-up wastes.

    python -m benchmarks.campaigns [--quick] [--family kitchen ...] [--wastes 40] [--seeds 2] [--peer random ...]

A recipe counts when its noise-free truth at 60 minutes holds every line of the brief; 30 batches without one count as
31. Peers but `random` and `mixture` run in an environment of their own (benchmarks/requirements.txt), named by
--peers-python or SLAKE_PEERS_PYTHON. Every result is kept under benchmarks/results/ and used again while the code that
made it is the same: what is stopped goes on where it was.
"""

from __future__ import annotations

import argparse
import os
import platform
import sys
import time
from collections import defaultdict
from concurrent.futures import ProcessPoolExecutor, as_completed
from typing import Any

import slake

from . import cold
from .asking import PEERS, PYTHON, can_run
from .families import known, named
from .figures import best, header, line, ratio
from .kept import Task, mark, result

QUICK = ("random", "mixture", "processes-4", "botorch-improvement-4")


def read_line() -> argparse.Namespace:
    ask = argparse.ArgumentParser(prog="python -m benchmarks.campaigns", description=(__doc__ or "").splitlines()[0])
    ask.add_argument("--quick", action="store_true", help="two wastes a family, one seed, four peers: about 5 minutes")
    ask.add_argument("--family", nargs="+", default=list(known()), choices=known())
    ask.add_argument("--wastes", type=int, default=40, help="of each family, for slake")
    ask.add_argument("--peer-wastes", type=int, default=20, help="of each family, for the peers")
    ask.add_argument("--from", dest="first", type=int, default=0, help="number of the first waste")
    ask.add_argument("--drawn", type=int, default=2026, help="seed of the wastes: another number, wastes never seen")
    ask.add_argument("--seeds", type=int, default=2, help="campaigns of slake on each waste")
    ask.add_argument("--peer-seeds", type=int, default=1)
    ask.add_argument("--peer", nargs="*", default=list(PEERS), choices=PEERS, help="none: only slake")
    ask.add_argument("--without-slake", action="store_true")
    ask.add_argument("--peers-python", default=os.environ.get(PYTHON), help="interpreter the peers run under")
    ask.add_argument("--jobs", type=int, default=2)
    ask.add_argument("--fresh", action="store_true", help="ignore kept results")
    said = ask.parse_args()
    if said.quick:
        said.wastes, said.peer_wastes, said.seeds, said.peer_seeds = 2, 2, 1, 1
        said.peer = [p for p in said.peer if p in QUICK]
    return said


def tasks_of(said: argparse.Namespace, experiment: str) -> list[Task]:
    found = []
    for family in said.family:
        for peer in [*([] if said.without_slake else ["slake"]), *said.peer]:
            own = peer == "slake"
            for number in range(said.first, said.first + (said.wastes if own else said.peer_wastes)):
                for seed in range(1, 1 + (said.seeds if own else said.peer_seeds)):
                    task = Task(
                        experiment=experiment, family=family, number=number, drawn=said.drawn, peer=peer, seed=seed
                    )
                    found.append(task)
    return found


def run_all(said: argparse.Namespace, tasks: list[Task]) -> list[dict[str, Any]]:
    found, begin, told = [], time.monotonic(), 0.0
    with ProcessPoolExecutor(said.jobs) as pool:
        work = [pool.submit(result, t, cold.cold, cold.__file__, said.fresh) for t in tasks]
        for done in as_completed(work):
            found.append(done.result())
            now = time.monotonic() - begin
            if now - told > 15 or len(found) == len(work):
                told = now
                print(f"  {len(found)} of {len(work)} campaigns, {now:.0f} s", file=sys.stderr, flush=True)
    return found


def settings(said: argparse.Namespace) -> list[str]:
    families = ", ".join(f"{f} v{named(f).VERSION} {mark(f, 'slake', cold.__file__)}" for f in said.family)
    return [
        "command: python -m benchmarks.campaigns " + " ".join(a for a in sys.argv[1:] if "/" not in a),
        f"{time.strftime('%Y-%m-%d')}, {platform.machine()}, {os.cpu_count()} cores,"
        f" Python {platform.python_version()}, slake {slake.__version__}",
        f"families (version, checksum with slake's code): {families}; wastes {said.first} to"
        f" {said.first + said.wastes - 1} of seed {said.drawn}, {said.seeds} campaigns each (peers:"
        f" {said.peer_wastes} wastes, {said.peer_seeds})",
        f"at most {cold.MOST} batches, a miss counts {cold.MISS}; [90 % bootstrap intervals over wastes]",
    ]


def by_peer(results: list[dict[str, Any]], family: str | None) -> dict[str, dict[tuple[str, int], list[float]]]:
    found: dict[str, dict[tuple[str, int], list[float]]] = defaultdict(lambda: defaultdict(list))
    for r in sorted(results, key=lambda r: r["task"]["seed"]):
        task = r["task"]
        if family in (None, task["family"]):
            found[task["peer"]][(task["family"], task["number"])].append(r["score"])
    return {p: dict(s) for p, s in found.items()}


def table(results: list[dict[str, Any]], family: str | None) -> list[str]:
    scores = by_peer(results, family)
    lines = [f"\n{family or 'all families'}", header()]
    lines += [line(p, scores[p], cold.MISS) for p in ("slake", *PEERS) if p in scores]
    peers = {p: s for p, s in scores.items() if p != "slake"}
    if peers and "slake" in scores:
        first = best(peers)
        value, low, high = ratio(scores["slake"], peers[first])
        lines.append(f"median of slake over that of the best peer, {first}: {value:.2f} [{low:.2f}, {high:.2f}]")
    return lines


def main() -> int:
    said = read_line()
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    if said.peers_python:
        os.environ[PYTHON] = said.peers_python
    absent = [p for p in said.peer if not can_run(p)]
    said.peer = [p for p in said.peer if p not in absent]
    if absent:
        print(f"left out, for their environment is not here (--peers-python): {', '.join(absent)}")
    print("\n".join(settings(said)), flush=True)
    results = run_all(said, tasks_of(said, "cold"))
    for family in [*said.family, *([None] if len(said.family) > 1 else [])]:
        print("\n".join(table(results, family)))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
