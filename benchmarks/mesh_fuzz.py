"""Every reader of a mesh or a series, fed damaged and made-up files: each must answer, or say why not in one sentence.

python -m benchmarks.mesh_fuzz [--kind stl|text_stl|obj|ply|text_ply|3mf|model|series] [--count 100000] [--seed 1]
                               [--piece 0/1]

Half of the inputs are good files with bytes changed, cut, doubled or swapped; a quarter are words of the format in any
order; a quarter are bytes at random after a good beginning. What is read is also checked for openings. A `--piece k/n`
does every n-th input, so that a long run can be done in pieces. Kind "model" is the XML of a 3MF, changed before
packing.
"""

from __future__ import annotations

import argparse
import io
import resource
import sys
import time
import traceback
import warnings
import zipfile

import numpy as np
import trimesh

from slake.ground.problems import Problem
from slake.path.mesh_checks import check_closed
from slake.path.mesh_in import read_mesh
from slake.path.mesh_limits import MeshLimits
from slake.path.series import read_series

LIMITS = MeshLimits(most_bytes=2_000_000, most_triangles=50_000, most_unpacked_bytes=4_000_000)
ENDINGS = {"stl": ".stl", "text_stl": ".stl", "obj": ".obj", "ply": ".ply", "text_ply": ".ply", "3mf": ".3mf"}
WORDS = {
    "stl": b"solid\0\0\0\0",
    "text_stl": b"solid facet normal outer loop vertex endloop endfacet endsolid 0 1 -1 1e999 nan inf 1e-300 \n",
    "obj": b"v f vt vn o g usemtl mtllib 1 -1 0 2/3/4 // 1e400 nan \\\n \n # 999999999999999999999",
    "ply": b"ply format binary_little_endian element vertex face property list uchar int float x y z end_header\n -1 3",
    "text_ply": b"ply format ascii 1.0 element vertex face property list uchar int float x y z end_header\n -1 3 nan",
    "3mf": b"PK\x03\x04 PK\x01\x02 PK\x05\x06",
    "series": b'1 2,5 -3e2 ; , \t \n \n \xff " day rain 2024-05-01 nan 1e999 1.234.567 \xe2\x88\x92',
    "model": b'<vertex x="1" /> <triangle v1="0" v2="1" v3="2"/> <object id="1"> </object> <mesh> <build> '
    b'<item objectid="1" transform="1 0 0"/> <component objectid="1"/> <!DOCTYPE &a; nan -1 1e999 <![CDATA[ ]]>',
}


def good(kind: str) -> list[bytes]:
    if kind == "series":
        return [b"rain\n1,5\n2\n3\n4,25\n", b"day;rain\n1;5\n2;6,5\n3;7\n4;8\n", b"a,b,c\n1,2,3\n4,5,6\n7,8,9\n"]
    bodies = [trimesh.creation.box((10, 20, 30)), trimesh.creation.icosphere(subdivisions=1, radius=20)]
    ply = trimesh.exchange.ply.export_ply
    write = {
        "stl": lambda body: body.export(file_type="stl"),
        "text_stl": lambda body: body.export(file_type="stl_ascii").encode(),
        "obj": lambda body: body.export(file_type="obj").encode(),
        "ply": lambda body: ply(body, encoding="binary"),
        "text_ply": lambda body: ply(body, encoding="ascii"),
        "3mf": lambda body: body.export(file_type="3mf"),
        "model": lambda body: zipfile.ZipFile(io.BytesIO(body.export(file_type="3mf"))).read("3D/3dmodel.model"),
    }[kind]
    return [bytes(write(body)) for body in bodies]


def damaged(content: bytes, rng: np.random.Generator) -> bytes:
    """A good file with a few things done to it."""
    data = bytearray(content)
    for _ in range(int(rng.integers(1, 6))):
        if not data:
            break
        at, to = sorted(int(n) for n in rng.integers(0, len(data) + 1, 2))
        match int(rng.integers(0, 7)):
            case 0:
                data[min(at, len(data) - 1)] = int(rng.integers(0, 256))
            case 1:
                del data[at : at + int(rng.integers(1, 20))]
            case 2:
                del data[at:]
            case 3:
                data[at:at] = data[at : min(to, at + 200)]
            case 4:
                data[at:at] = bytes(rng.integers(0, 256, int(rng.integers(1, 30)), dtype=np.uint8))
            case 5:
                data[at : at + 4] = rng.choice([b"\xff\xff\xff\xff", b"\0\0\0\0", b"\0\0\xc0\x7f", b"9999", b" -1 "])
            case _:
                digits = [n for n in range(len(data)) if 48 <= data[n] <= 57]
                if digits:
                    data[int(rng.choice(digits))] = int(rng.choice(list(b"0123456789-.e nx")))
    return bytes(data)


def worded(kind: str, rng: np.random.Generator) -> bytes:
    words = WORDS[kind].split(b" ")
    return b" ".join(words[n] for n in rng.integers(0, len(words), int(rng.integers(1, 200))))


def one(kind: str, files: list[bytes], rng: np.random.Generator) -> bytes:
    content = files[int(rng.integers(0, len(files)))]
    dice = rng.random()
    if dice < 0.5:
        made = damaged(content, rng)
    elif dice < 0.75:
        made = content[: int(rng.integers(0, min(len(content), 400)))] + worded(kind, rng)
    else:
        begun = content[: int(rng.integers(0, len(content)))]
        made = begun + bytes(rng.integers(0, 256, int(rng.integers(0, 400)), dtype=np.uint8))
    return packed(made) if kind == "model" else made


def packed(text: bytes) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_STORED) as archive:
        archive.writestr("3D/3dmodel.model", text)
    return file.getvalue()


def taken(kind: str, content: bytes, name: str) -> None:
    if kind == "series":
        read_series(content)
    else:
        check_closed(read_mesh(content, name, LIMITS))


def run(kind: str, count: int, seed: int, piece: tuple[int, int]) -> int:
    """How many crashed."""
    files, name = good(kind), "fuzz" + ENDINGS.get(kind, ".3mf")
    seen = {"read": 0, "refused": 0, "crashed": 0}
    slowest, began = 0.0, time.perf_counter()
    for number in range(piece[0], count, piece[1]):
        content = one(kind, files, np.random.default_rng([seed, number]))
        start = time.perf_counter()
        try:
            taken(kind, content, name)
            seen["read"] += 1
        except Problem as problem:
            seen["refused"] += 1
            if "\n" in str(problem) or len(str(problem)) > 500:
                print(f"{kind} {number}: not one short sentence: {str(problem)[:200]!r}")
                seen["crashed"] += 1
        except Exception:
            seen["crashed"] += 1
            print(f"{kind}, input {number} of seed {seed}:")
            traceback.print_exc()
            if seen["crashed"] > 20:
                break
        slowest = max(slowest, time.perf_counter() - start)
    took = time.perf_counter() - began
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    print(
        f"{kind}: {sum(seen.values())} inputs, {seen['read']} read, {seen['refused']} refused, {seen['crashed']}",
        end="",
    )
    print(f" crashed; {took:.0f} s, slowest {slowest * 1e3:.0f} ms, {memory:.0f} MB", flush=True)
    return seen["crashed"]


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--kind", choices=sorted(WORDS), action="append")
    asked.add_argument("--count", type=int, default=100_000)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--piece", default="0/1")
    given = asked.parse_args()
    which, of = (int(n) for n in given.piece.split("/"))
    warnings.simplefilter("error")
    kinds = given.kind or sorted(WORDS)
    sys.exit(1 if sum(run(kind, given.count, given.seed, (which, of)) for kind in kinds) else 0)


if __name__ == "__main__":
    main()
