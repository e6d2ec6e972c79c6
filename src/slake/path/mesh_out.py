"""Meshes written: 3MF in millimetres, and STL whose header says so. The same mesh gives the same bytes."""

from __future__ import annotations

import io
import zipfile
from xml.sax.saxutils import quoteattr

import numpy as np

from slake.ground.problems import OutsideRange
from slake.ground.units import from_si

from .mesh import FloatArray, IntArray, Mesh, cross_m2

MOST_WRITTEN = 5_000_000
STL_HEADER = b"binary STL, lengths in millimetres"
_STL = np.dtype([("normal", "<f4", (3,)), ("corners", "<f4", (3, 3)), ("more", "<u2")])
_DATE = (1980, 1, 1, 0, 0, 0)
CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
MODEL_TYPE = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"
RELATIONS_TYPE = "application/vnd.openxmlformats-package.relationships+xml"
IS_MODEL = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
"""Names the open 3MF core description demands, letter for letter."""
PACKING = 1
AT_ONCE = 20_000


def write_stl(mesh: Mesh) -> bytes:
    """Binary STL in millimetres, normals outwards. STL itself carries no unit: its header says it in words."""
    _require_size(mesh)
    crossed = cross_m2(mesh)
    length = np.linalg.norm(crossed, axis=1, keepdims=True)
    rows = np.zeros(len(mesh.triangles), dtype=_STL)
    rows["normal"] = np.divide(crossed, length, out=np.zeros_like(crossed), where=length > 0)
    rows["corners"] = _in_mm(mesh)[mesh.triangles]
    return bytes(STL_HEADER.ljust(80) + len(rows).to_bytes(4, "little") + rows.tobytes())


def write_3mf(mesh: Mesh, title: str = "") -> bytes:
    """3MF in millimetres, to a ten-thousandth of one: one object, one place in the build."""
    _require_size(mesh)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED, compresslevel=PACKING) as file:
        for name, text in (
            ("[Content_Types].xml", _types()),
            ("_rels/.rels", _relations()),
            ("3D/3dmodel.model", _model(mesh, title)),
        ):
            entry = zipfile.ZipInfo(name, date_time=_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            file.writestr(entry, text, compresslevel=PACKING)
    return packed.getvalue()


def _require_size(mesh: Mesh) -> None:
    if len(mesh.triangles) > MOST_WRITTEN:
        raise OutsideRange("triangles", got=len(mesh.triangles), low=1, high=MOST_WRITTEN, do="make the mesh coarser")


def _in_mm(mesh: Mesh) -> FloatArray:
    return np.asarray(mesh.corners_m * from_si(1.0, "mm"))


def _model(mesh: Mesh, title: str) -> str:
    name = quoteattr("".join(letter for letter in (title or mesh.name) if letter.isprintable())[:80])
    corners = _rows('<vertex x="%.4f" y="%.4f" z="%.4f"/>', _in_mm(mesh))
    triangles = _rows('<triangle v1="%d" v2="%d" v3="%d"/>', mesh.triangles)
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<model unit="millimeter" xml:lang="en" xmlns="{CORE}"><resources>'
        f'<object id="1" type="model" name={name}><mesh><vertices>{corners}</vertices><triangles>{triangles}'
        '</triangles></mesh></object></resources><build><item objectid="1"/></build></model>'
    )


def _rows(form: str, rows: FloatArray | IntArray) -> str:
    """One element a row, written many at a time."""
    blocks = (rows[at : at + AT_ONCE] for at in range(0, len(rows), AT_ONCE))
    return "".join((form * len(block)) % tuple(block.ravel().tolist()) for block in blocks)


def _types() -> str:
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<Types xmlns="{TYPES}"><Default Extension="rels" '
        f'ContentType="{RELATIONS_TYPE}"/><Default Extension="model" ContentType="{MODEL_TYPE}"/></Types>'
    )


def _relations() -> str:
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<Relationships xmlns="{RELATIONS}">'
        f'<Relationship Target="/3D/3dmodel.model" Id="rel0" Type="{IS_MODEL}"/></Relationships>'
    )
