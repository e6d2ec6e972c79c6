"""3MF: a packed file of XML. Its unit is honoured; nothing is unpacked to disk, no name in it is used as a path."""

from __future__ import annotations

import io
import zipfile
import zlib

import numpy as np

from slake.ground.problems import Problem

from .mesh import FloatArray, IntArray
from .mesh_limits import MeshLimits, cut_short, require_triangles
from .model_xml import Model, Part, Placed, read_model

MOST_INSTANCES = 10_000
DEEPEST = 30
PACKINGS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
"""The only two the open description allows; others can ask for gigabytes to unpack."""
MAIN = "3d/3dmodel.model"
_UNREADABLE = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError, ValueError)
Models = dict[str, Model]


def read_3mf(content: bytes, name: str, limits: MeshLimits) -> tuple[FloatArray, IntArray, str]:
    """Corners in the unit of the file, triangles, and that unit as the file says it. Raises Problem."""
    models = _models(content, name, limits)
    main = next((path for path in models if path.endswith(MAIN) or len(models) == 1), None)
    if main is None:
        raise cut_short(name, "no model part in it")
    placed = [item for item in models[main].build if _is_printed(models, main, item)]
    counts: dict[tuple[str, str], tuple[int, int]] = {}
    sums = [_count(models, _key(main, item), counts, DEEPEST) for item in placed]
    if sum(instances for _, instances in sums) > MOST_INSTANCES:
        raise Problem(f"“{name}” places more than {MOST_INSTANCES} copies of its parts: save it as one mesh")
    require_triangles(sum(triangles for triangles, _ in sums), name, limits)
    pieces = [piece for item in placed for piece in _pieces(models, main, item, DEEPEST)]
    corners, triangles, known = [], [], 0
    for piece_corners, piece_triangles in pieces:
        corners.append(piece_corners)
        triangles.append(piece_triangles + known)
        known += len(piece_corners)
    return np.concatenate(corners), np.concatenate(triangles), models[main].unit


def _models(content: bytes, name: str, limits: MeshLimits) -> Models:
    """Every model part, by its path in lower case without the leading slash."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            entries = packed.infolist()
            _require_harmless(entries, name, limits)
            parts = [entry for entry in entries if entry.filename.lower().endswith(".model")]
            texts = {entry.filename.lower().lstrip("/"): packed.read(entry) for entry in parts}
    except _UNREADABLE:
        raise cut_short(name, "its packing cannot be opened") from None
    return {path: read_model(text, name, limits) for path, text in texts.items()}


def _require_harmless(entries: list[zipfile.ZipInfo], name: str, limits: MeshLimits) -> None:
    """From the list of contents alone, before anything is unpacked. Raises Problem."""
    unpacked, packed = sum(e.file_size for e in entries), sum(e.compress_size for e in entries)
    if any(entry.flag_bits & 1 for entry in entries):
        raise Problem(f"“{name}” is locked with a password: save it without one")
    if any(entry.compress_type not in PACKINGS for entry in entries):
        raise Problem(f"“{name}” is packed in a way no 3MF is: save it again")
    if len(entries) > limits.most_packed_files or unpacked > limits.most_unpacked_bytes:
        raise Problem(
            f"“{name}” would unpack to {unpacked / 1e6:.0f} MB in {len(entries)} files, but at most "
            f"{limits.most_unpacked_bytes / 1e6:.0f} MB in {limits.most_packed_files} are opened: save the mesh alone"
        )
    if unpacked > 1e6 and unpacked > limits.most_packing * max(packed, 1):
        raise Problem(
            f"“{name}” would swell {unpacked / max(packed, 1):.0f} times when unpacked, which no mesh does "
            f"(at most {limits.most_packing:.0f} times): it was not opened"
        )


def _key(within: str, item: Placed) -> tuple[str, str]:
    return (item.path.lower().lstrip("/") or within, item.object_id)


def _part(models: Models, key: tuple[str, str]) -> Part:
    model = models.get(key[0])
    part = model.parts.get(key[1]) if model is not None else None
    if part is None:
        raise Problem(f"the 3MF places part {key[1][:20]} that is not in it: save it again")
    return part


def _is_printed(models: Models, within: str, item: Placed) -> bool:
    return _part(models, _key(within, item)).kind in ("model", "solidsupport", "surface", "")


def _count(
    models: Models, key: tuple[str, str], known: dict[tuple[str, str], tuple[int, int]], deep: int
) -> tuple[int, int]:
    """Triangles and copies a part comes to with all parts in it, without placing one. Raises Problem."""
    if key not in known:
        if deep <= 0:
            raise Problem(f"the parts of the 3MF hold one another more than {DEEPEST} deep: save it as one mesh")
        part = _part(models, key)
        inner = [_count(models, _key(key[0], item), known, deep - 1) for item in part.holds]
        known[key] = (part.triangle_count + sum(t for t, _ in inner), 1 + sum(c for _, c in inner))
    return known[key]


def _pieces(models: Models, within: str, item: Placed, deep: int) -> list[tuple[FloatArray, IntArray]]:
    """Every mesh a placed item comes to, where it stands. A mirrored one has its triangles turned back outwards."""
    key = _key(within, item)
    part = _part(models, key)
    found = [part.mesh()] if part.triangle_count else []
    for held in part.holds:
        found += _pieces(models, key[0], held, deep - 1)
    turn = item.turn()
    mirrored = np.linalg.det(turn[:3]) < 0
    return [
        (corners @ turn[:3] + turn[3], triangles[:, ::-1] if mirrored else triangles) for corners, triangles in found
    ]
