"""A mesh of half a million triangles read, checked, scaled and written. `python -m benchmarks.mesh_speed [triangles]`.

The object is a vessel with a waved wall, made up here. Target of the issue: under 5 s.
"""

from __future__ import annotations

import resource
import sys
import time
from itertools import pairwise

import numpy as np

from slake.ground.evidence import Range
from slake.paste.cartridges import Cartridge
from slake.path.from_mesh import check_mesh
from slake.path.mesh import Mesh
from slake.path.mesh_checked import MeshPrint
from slake.path.mesh_in import read_mesh
from slake.path.mesh_out import write_3mf, write_stl
from slake.path.mesh_view import for_view
from slake.path.shrinking import Bars, Direction, Today
from slake.path.sizes import Bed

USUAL = 500_000


def vessel(triangles: int) -> Mesh:
    """A closed pot of two waved walls and a floor, about so many triangles."""
    up = max(int(np.sqrt(triangles / 16)), 8)
    round_ = triangles // (4 * up)
    turn = np.linspace(0, 2 * np.pi, round_, endpoint=False)
    level = np.linspace(0, 1, up)
    outer = _wall(turn, level * 0.12, 0.045)
    inner = _wall(turn, 0.004 + level * 0.116, 0.041)
    rings = [*outer, *inner[::-1]]
    corners = np.concatenate([*rings, [[0, 0, 0.0]], [[0, 0, 0.004]]])
    faces = []
    here, there = np.arange(round_), np.roll(np.arange(round_), -1)
    for at in range(len(rings) - 1):
        low, high = at * round_, (at + 1) * round_
        faces += [
            np.stack([low + here, low + there, high + there], axis=1),
            np.stack([low + here, high + there, high + here], axis=1),
        ]
    last, middle = (len(rings) - 1) * round_, len(rings) * round_
    faces.append(np.stack([there, here, np.full(round_, middle)], axis=1))
    faces.append(np.stack([last + here, last + there, np.full(round_, middle + 1)], axis=1))
    return Mesh(corners_m=corners, triangles=np.concatenate(faces), name="waved pot")


def _wall(turn: np.ndarray, heights: np.ndarray, radius: float) -> list[np.ndarray]:
    rings = []
    for height in heights:
        around = radius + 0.01 * np.sin(height * 25) + 0.002 * np.sin(9 * turn + height * 40)
        rings.append(np.stack([around * np.cos(turn), around * np.sin(turn), np.full(len(turn), height)], axis=1))
    return rings


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else USUAL
    content = write_stl(vessel(count))
    bars = Bars(
        batch="made up",
        mean={Direction.ALONG: 0.072, Direction.UPRIGHT: 0.091},
        sd={Direction.ALONG: 0.003, Direction.UPRIGHT: 0.004},
        count={Direction.ALONG: 3, Direction.UPRIGHT: 3},
    )
    printing = MeshPrint(
        bead_m=0.0024,
        layer_height_m=0.0012,
        bed=Bed(x_m=0.3, y_m=0.3, z_m=0.3),
        density_kg_m3=Range(low=1450, mid=1500, high=1550),
        cartridge=Cartridge(volume_m3=500e-6),
    )
    clock, worked = [("", time.perf_counter())], time.process_time()
    mesh = read_mesh(content, "pot.stl")
    clock.append(("read", time.perf_counter()))
    found = check_mesh(mesh, bars, Today(batch="made up"), printing)
    clock.append(("checked and scaled", time.perf_counter()))
    stl = write_stl(found.scaled.mesh)
    packed = write_3mf(found.scaled.mesh)
    clock.append(("written as STL and 3MF", time.perf_counter()))
    total, worked = clock[-1][1] - clock[0][1], time.process_time() - worked
    view = for_view(found.scaled.mesh)
    clock.append(("made coarser for view, not counted", time.perf_counter()))
    print(f"{len(mesh.triangles)} triangles, {len(content) / 1e6:.1f} MB in, {len(stl) / 1e6:.1f} MB STL and", end=" ")
    print(f"{len(packed) / 1e6:.1f} MB 3MF out; closed: {found.soundness.closed}; {len(view.triangles)} for view")
    for (_, before), (what, after) in pairwise(clock):
        if what:
            print(f"  {what}: {after - before:.2f} s")
    for finding in found.findings:
        print("  says:", finding.sentence)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    print(f"all of it: {total:.2f} s (target 5 s), {worked:.2f} s of processor, {memory:.0f} MB")


if __name__ == "__main__":
    main()
