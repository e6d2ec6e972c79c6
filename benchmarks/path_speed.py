"""How fast a toolpath is read, replayed and judged, beside a bare parse of the same file in the same run.

    python benchmarks/path_speed.py            50,000 and 1,000,000 moves
    python benchmarks/path_speed.py 10000000   as many moves as said

Each file is measured in a process of its own, so that its peak memory is its own.

The file is an invented double-curved vessel as one spiral, with comments, and a second one in layers with travels.
Judged: clock (at even speed, and speeding up at 0.5 m/s2 with look-ahead), layers, cartridges, force with 200 draws,
stops and ooze.
"""

from __future__ import annotations

import inspect
import math
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from slake.ground.evidence import Range
from slake.paste.cartridges import Cartridge
from slake.paste.ram import Barrel
from slake.path.followed import Followed, Press, follow
from slake.path.force_law import PushDraws, Sliding
from slake.path.pushing import Motion, ram_mm

BARREL_M, DRAWS = 0.06, 200


def bare_parse(path: Path) -> list[tuple[float, ...]]:
    rows, at = [], dict.fromkeys("XYZEF", 0.0)
    with path.open() as lines:
        for line in lines:
            for word in line.split(";")[0].split():
                if word[0] in at:
                    at[word[0]] = float(word[1:])
            rows.append(tuple(at.values()))
    return rows


def write_spiral(path: Path, moves: int) -> None:
    """About forty letters a line: a spiral vessel, 400 points a turn, a bead of 2.4 x 1.2 mm; E is mm of ram."""
    with path.open("w") as out:
        out.write("; an invented vessel\nG21\nG90\nM82\nG1 F1200\n")
        pushed = 0.0
        for first in range(0, moves, 100_000):
            number = np.arange(first, min(first + 100_000, moves))
            angle, z = 2 * math.pi * number / 400, 1.2 + 1.2 * number / 400 * min(1.0, 50_000 / moves)
            radius = 45 + 5 * np.sin(z / 20)
            x, y = 100 + radius * np.cos(angle), 100 + radius * np.sin(angle)
            e = pushed + np.cumsum(2 * math.pi * radius / 400 * 2.4 * 1.2 / (math.pi * (BARREL_M * 500) ** 2))
            pushed = float(e[-1])
            out.writelines(f"G1 X{a:.4f} Y{b:.4f} Z{c:.4f} E{d:.6f}\n" for a, b, c, d in zip(x, y, z, e, strict=True))


def write_layers(path: Path, moves: int) -> None:
    """Rings of 200 points, two to a layer, a travel between them, E set back at each layer, remarks on every layer."""
    step = 2 * math.pi * 30 / 200
    per = step * 2.4 * 1.2 / (math.pi * (BARREL_M * 500) ** 2)
    with path.open("w") as out:
        out.write("G21\nG90\nM82\n")
        for ring in range(moves // 201):
            layer, side = divmod(ring, 2)
            out.write("" if side else f"; layer {layer}\nG92 E0\n")
            out.write(
                f"G0 X{80 + 70 * side + 30:.4f} Y100 Z{1.2 * min(1, 5e4 / moves) * (layer + 1):.4f} F3000\nG1 F1200\n"
            )
            for point in range(1, 201):
                angle = 2 * math.pi * point / 200
                x, y = 80 + 70 * side + 30 * math.cos(angle), 100 + 30 * math.sin(angle)
                out.write(f"G1 X{x:.4f} Y{y:.4f} E{(side * 200 + point) * per:.6f}\n")


def press(acceleration_m_s2: float | None = 0.5) -> Press:
    rng = np.random.default_rng([5, DRAWS])

    def around(mid: float, sd_log: float) -> np.ndarray:
        return mid * np.exp(sd_log * rng.standard_normal(DRAWS))

    law = Sliding(entry=around(1.7, 0.25), wall=around(0.5, 0.4), added=around(1.45, 0.35), power=around(0.4, 0.3))
    draws = PushDraws(
        barrel=Barrel(barrel_m=BARREL_M, nozzle_m=0.002),
        law=law,
        yield_stress_pa=around(1000, 0.3),
        stiffening_per_s=around(3e-5, 0.4),
        land_m=around(0.015, 0.2),
        ring_n=around(20, 0.3),
        have_n=around(180, 0.2),
        weight=np.ones(DRAWS),
    )
    return Press(
        pushed=ram_mm(BARREL_M),
        cartridge=Cartridge(volume_m3=5e-4),
        draws=draws,
        air_fraction=Range(low=0.01, mid=0.02, high=0.03),
        density_kg_m3=Range(low=1200.0, mid=1300.0, high=1400.0),
        motion=Motion(acceleration_m_s2=acceleration_m_s2),
    )


def timed(work: Callable[[], object]) -> tuple[float, float, object]:
    """Seconds on the clock and of one processor, and what came out."""
    begun, used = time.perf_counter(), time.process_time()
    result = work()
    return time.perf_counter() - begun, time.process_time() - used, result


def measure(write: Callable[[Path, int], None], moves: int, acceleration_m_s2: float | None) -> None:
    asked = press(acceleration_m_s2)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "object.gcode"
        write(path, moves)
        took, used, found = timed(lambda: follow(path, asked))
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        assert isinstance(found, Followed)
        beside = "" if moves > 2_000_000 else against(used, path)
        speed = "speeding up" if acceleration_m_s2 else "even speed"
        print(
            f"{write.__name__:12} {speed:11} {moves:>9} moves {path.stat().st_size / 1e6:6.1f} MB: {took:6.2f} s, "
            f"{used:5.2f} s of one processor{beside}; peak memory {peak:5.0f} MB; "
            f"{len(found.layers.height_m)} layers, {found.use.count} cartridges, {len(found.stops.after)} stops, "
            f"{found.oozing.total_kg.mid * 1000:.0f} g oozed",
            flush=True,
        )


def against(used: float, path: Path) -> str:
    took, bare_used, _ = timed(lambda: bare_parse(path))
    return f", bare parse {took:5.2f} s, {bare_used:5.2f} s of one processor, ratio {used / bare_used:4.2f}"


if __name__ == "__main__":
    if len(sys.argv) == 4:
        measure(globals()[sys.argv[2]], int(sys.argv[1]), float(sys.argv[3]) or None)
    else:
        print(inspect.getsource(bare_parse))
        for moves in sys.argv[1:] or ["50000", "1000000"]:
            for write in (write_spiral, write_layers):
                for acceleration in ("0", "0.5"):
                    subprocess.run([sys.executable, __file__, moves, write.__name__, acceleration], check=True)
