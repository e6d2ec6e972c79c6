"""Whoever chooses the next recipe: slake in this process, a peer in a process of its own speaking JSON lines."""

from __future__ import annotations

import atexit
import json
import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from .book import in_order, proposed
from .families import Array, as_json, batch_json
from .moved import moved_book

ROOT = Path(__file__).parents[2]
PYTHON = "SLAKE_PEERS_PYTHON"
"""Interpreter of the environment of benchmarks/requirements.txt, where it is not this one."""
MOVED = "slake-priors-moved"
KIND_OF = {"random": "plain", "mixture": "plain", "processes": "processes", "botorch": "torch"}
PEERS = (
    "random", "mixture", "processes-4", "processes-8",
    "botorch-chance-4", "botorch-chance-8", "botorch-improvement-4", "botorch-improvement-8",
)  # fmt: skip
Suggest = Callable[[Sequence[Any], int], Array]
_running: dict[str, subprocess.Popen[str]] = {}


def suggest(name: str, waste: Any) -> Suggest:
    """(batches so far, seed) -> the next recipe, in the order of the waste's names."""
    if name == "slake":
        return lambda batches, seed: proposed(waste, batches, seed)
    if name == MOVED:
        return lambda batches, seed: in_order(waste, moved_book(waste, batches, seed).propose(seed=seed).fractions)
    problem = as_json(waste)

    def from_peer(batches: Sequence[Any], seed: int) -> Array:
        asked = {"peer": name, "problem": problem, "batches": [batch_json(b) for b in batches], "seed": seed}
        return np.array(answered(name, asked)["recipe"])

    return from_peer


def answered(name: str, asked: dict[str, Any]) -> dict[str, Any]:
    """One line to the peer's process, one line back. Raises RuntimeError with what the peer said went wrong."""
    process = _process(KIND_OF[name.split("-")[0]])
    assert process.stdin and process.stdout
    process.stdin.write(json.dumps(asked) + "\n")
    process.stdin.flush()
    line = process.stdout.readline()
    said = json.loads(line) if line else {"error": f"the process of {name} ended"}
    if "error" in said:
        raise RuntimeError(said["error"])
    return dict(said)


def _process(kind: str) -> subprocess.Popen[str]:
    found = _running.get(kind)
    if found is None or found.poll() is not None:
        python = sys.executable if kind == "plain" else os.environ.get(PYTHON, sys.executable)
        threads = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}
        found = _running[kind] = subprocess.Popen(
            [python, "-m", "benchmarks.peers", kind],
            cwd=ROOT, env={**os.environ, **threads}, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )  # fmt: skip
        atexit.register(found.terminate)
    return found


def can_run(name: str) -> bool:
    """Whether the environment the peer needs is there."""
    module = {"plain": "numpy", "processes": "sklearn", "torch": "botorch"}[KIND_OF[name.split("-")[0]]]
    python = sys.executable if module == "numpy" else os.environ.get(PYTHON, sys.executable)
    found = "import importlib.util, sys; sys.exit(importlib.util.find_spec(sys.argv[1]) is None)"
    try:
        return subprocess.run([python, "-c", found, module], cwd=ROOT).returncode == 0
    except OSError:
        return False
