"""Damaged and invented G-code thrown at the reader: each either is followed or refused in one sentence.

    python -m benchmarks.path_fuzz 100000          as many files as said, from seed 0
    python -m benchmarks.path_fuzz 25000 75000     so many, beginning with that number

A third of the files are lines made at random, a third a good toolpath with bytes changed, left out, put in or cut off,
a third a good one with odd lines and other numbers among its own. What is read is replayed and judged too. Any other
exception than a Problem is a crash and is printed with its seed.
"""

from __future__ import annotations

import sys
import time
from collections import Counter

import numpy as np

from benchmarks.path_speed import press
from slake.ground.problems import Problem
from slake.path.followed import follow
from tests.path import gcode_lines_made as made
from tests.path.paths import rings, tube

GOOD = (tube(height_m=0.0024, points=24), rings(1, ((60, 60), (120, 60)), extra="G4 P50\nG92 E0 ; remark"))
ARCS = b"G20\nG1 X1 F30 E0.1\nG2 X2 Y0 R0.5 E0.2\nG3 I0.5 J0 E0.4\nG28 X0\nN7 G91 ( x )\nM83\nG1 E-0.01\nX1 Y1 E.02\n"
LONGEST_SENTENCE = 300


def file_of(seed: int) -> bytes:
    rng = np.random.default_rng([seed, 7])
    good = (*GOOD, ARCS)[int(rng.integers(0, 3))]
    if seed % 3 == 0:
        lines = [made.line(rng, float(rng.choice([0.02, 0.1, 0.5]))) for _ in range(int(rng.integers(1, 30)))]
        return ("G1 F600\n" * int(rng.integers(0, 2)) + "\n".join(lines)).encode()
    return made.damaged(good, rng) if seed % 3 == 1 else _mixed(good, rng)


def _mixed(good: bytes, rng: np.random.Generator) -> bytes:
    """A good toolpath with a few of its digits changed and a few odd lines put in."""
    found = bytearray(good)
    digits = np.flatnonzero(np.isin(np.frombuffer(good, dtype=np.uint8), np.frombuffer(b"0123456789", dtype=np.uint8)))
    for place in rng.choice(digits, 4):
        found[int(place)] = int(rng.integers(48, 58))
    lines = bytes(found).split(b"\n")
    for _ in range(int(rng.integers(0, 3))):
        lines.insert(int(rng.integers(0, len(lines))), made.line(rng, 0.5).encode())
    return b"\n".join(lines)


def outcome(content: bytes) -> str:
    try:
        found = follow(content, press())
    except Problem as fault:
        sentence = str(fault)
        assert "\n" not in sentence and len(sentence) < LONGEST_SENTENCE, sentence
        return "refused"
    force = found.force
    assert np.isfinite(force.mid_n).all() and np.isfinite(found.oozing.mid_kg).all()
    assert np.isfinite(found.replayed.flow_m3_s).all() and found.replayed.duration_s > 0
    return "followed"


def main() -> None:
    count, first = int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 0
    seen: Counter[str] = Counter()
    slowest, begun = 0.0, time.perf_counter()
    for seed in range(first, first + count):
        content, start = file_of(seed), time.perf_counter()
        try:
            seen[outcome(content)] += 1
        except Exception as fault:
            seen["crashed"] += 1
            print(f"seed {seed}: {type(fault).__name__}: {str(fault)[:200]}")
        slowest = max(slowest, time.perf_counter() - start)
    print(
        f"{count} files from {first}: {seen['followed']} followed, {seen['refused']} refused, "
        f"{seen['crashed']} crashed; slowest {slowest:.2f} s, {time.perf_counter() - begun:.0f} s in all"
    )


if __name__ == "__main__":
    main()
