"""One result a waste, peer and seed, kept under a checksum of every file that could change it."""

from __future__ import annotations

import hashlib
import json
import os
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any

from .families import named

ROOT = Path(__file__).parents[2]
RESULTS = ROOT / "benchmarks" / "results" / "campaigns"
ROOMS = ("campaign", "bench", "paste", "ground")
OF_SLAKE = (*(f"src/slake/{room}" for room in ROOMS), *(f"benchmarks/campaigns/{f}.py" for f in ("book", "moved")))
OF_PEERS = ("benchmarks/peers", "benchmarks/requirements.txt")
BOTH = "slake-and-peers"
Experiment = Callable[[Any, int, int, str, int], dict[str, Any]]


@dataclass(frozen=True, kw_only=True)
class Task:
    """One campaign. `drawn`: the seed the wastes come from; `file`: the module of the experiment."""

    experiment: str
    family: str
    number: int
    drawn: int
    peer: str
    seed: int

    def path(self, file: str) -> Path:
        name = f"{self.number:03d}-of-{self.drawn}-seed-{self.seed}-{mark(self.family, self.peer, file)}.json"
        return RESULTS / self.experiment / self.family / self.peer / name


@cache
def mark(family: str, peer: str, file: str) -> str:
    of_peer = (*OF_SLAKE, *OF_PEERS) if peer == BOTH else OF_SLAKE if peer.startswith("slake") else OF_PEERS
    here = ROOT / "benchmarks"
    watched = [here / "families" / family, Path(file)]
    watched += [here / "campaigns" / f"{shared}.py" for shared in ("families", "histories", "cold")]
    watched += [ROOT / p for p in of_peer]
    sums = hashlib.sha256()
    for place in watched:
        files = sorted(place.rglob("*")) if place.is_dir() else [place]
        for found in files:
            if found.suffix in {".py", ".toml", ".txt"}:
                sums.update(found.read_bytes())
    return sums.hexdigest()[:10]


def result(task: Task, run: Experiment, file: str, fresh: bool) -> dict[str, Any]:
    """From the kept file where there is one, else run and kept."""
    path = task.path(file)
    if path.exists() and not fresh:
        return dict(json.loads(path.read_text()))
    begin = time.perf_counter()
    family = named(task.family)
    found = run(family, task.number, task.drawn, task.peer, task.seed)
    found |= {"task": asdict(task), "version": family.VERSION, "seconds": round(time.perf_counter() - begin, 2)}
    path.parent.mkdir(parents=True, exist_ok=True)
    half = path.with_suffix(f".{os.getpid()}")
    half.write_text(json.dumps(found))
    half.rename(path)
    return found
