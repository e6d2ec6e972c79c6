"""Results kept under a checksum of every file that could change them: what was stopped goes on where it was."""

from __future__ import annotations

import hashlib
import json
import os
import time
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

from .open_tables import FOLDER

ROOT = Path(__file__).parents[2]
RESULTS = ROOT / "benchmarks" / "results" / "replay"
OF_SLAKE = [ROOT / "src" / "slake" / room for room in ("campaign", "bench", "paste", "ground")]
HERE = Path(__file__).parent


@cache
def mark(of_slake: bool) -> str:
    """Of slake's own rooms too where it takes part; of the tables and of this benchmark always."""
    sums = hashlib.sha256()
    for folder in (*(OF_SLAKE if of_slake else ()), HERE, FOLDER):
        for path in sorted(folder.rglob("*")):
            if path.suffix in {".py", ".toml", ".csv"}:
                sums.update(path.read_bytes())
    return sums.hexdigest()[:10]


def result(name: str, of_slake: bool, run: Callable[[], dict[str, Any]], fresh: bool) -> dict[str, Any]:
    path = RESULTS / f"{name}-{mark(of_slake)}.json"
    if path.exists() and not fresh:
        return dict(json.loads(path.read_text(encoding="utf-8")))
    begin = time.perf_counter()
    found = run() | {"seconds": round(time.perf_counter() - begin, 2)}
    path.parent.mkdir(parents=True, exist_ok=True)
    half = path.with_suffix(f".{os.getpid()}")
    half.write_text(json.dumps(found), encoding="utf-8")
    half.rename(path)
    return found
