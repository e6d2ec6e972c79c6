"""The header of a PLY file: its elements and the properties of each."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import Problem, as_typed

from .mesh_limits import cut_short

LONGEST_HEADER = 20_000
MOST_PROPERTIES = 200
TYPES = {
    "char": "i1", "uchar": "u1", "short": "i2", "ushort": "u2", "int": "i4", "uint": "u4", "float": "f4",
    "double": "f8", "int8": "i1", "uint8": "u1", "int16": "i2", "uint16": "u2", "int32": "i4", "uint32": "u4",
    "float32": "f4", "float64": "f8",
}  # fmt: skip
ORDERS = {b"ascii": "", b"binary_little_endian": "<", b"binary_big_endian": ">"}
FACE_LISTS = ("vertex_indices", "vertex_index")


@dataclass(frozen=True, kw_only=True)
class Property:
    """kind: of the number; how_many: kind of the count before a list, "" where it is one number."""

    name: str
    kind: str
    how_many: str = ""


@dataclass(frozen=True, kw_only=True)
class Element:
    name: str
    count: int
    properties: list[Property] = field(default_factory=list)

    @property
    def has_list(self) -> bool:
        return any(item.how_many for item in self.properties)

    def row_type(self) -> np.dtype[np.void]:
        return np.dtype([(item.name, item.kind) for item in self.properties])

    def corner_places(self, name: str) -> list[int]:
        """Where x, y, z stand. Raises Problem where they are not there as numbers."""
        names = [item.name for item in self.properties]
        if self.has_list or not {"x", "y", "z"} <= set(names):
            raise Problem(f"“{name}” has corners without x, y and z: save the object as a mesh")
        return [names.index(axis) for axis in ("x", "y", "z")]


@dataclass(frozen=True, kw_only=True)
class Header:
    """body: where the numbers begin. text: whether they are written out."""

    elements: list[Element]
    text: bool
    body: int


def read_header(content: bytes, name: str) -> Header:
    """Raises Problem for what is no PLY header, or one that never ends."""
    end = content.find(b"end_header", 0, LONGEST_HEADER)
    line_end = content.find(b"\n", end) if end >= 0 else -1
    if not content.startswith(b"ply") or line_end < 0:
        raise cut_short(name, "no whole PLY header")
    lines = content[:end].split(b"\n")
    elements: list[Element] = []
    order: str | None = None
    for number, line in enumerate(lines, 1):
        words = line.split()
        if words[:1] == [b"format"] and len(words) > 1:
            order = ORDERS.get(words[1])
        elif words[:1] in ([b"element"], [b"property"]):
            _take(words, order or "", elements, f"“{name}”, line {number}")
    if order is None:
        raise Problem(f"“{name}” does not say whether it is text or binary: save it again as PLY")
    return Header(elements=elements, text=order == "", body=line_end + 1)


def _take(words: list[bytes], order: str, elements: list[Element], where: str) -> None:
    """One line of the header into the elements."""
    texts = [word.decode("ascii", "replace") for word in words]
    if texts[0] == "element" and len(texts) == 3 and texts[2].isascii() and texts[2].isdecimal() and len(texts[2]) < 12:
        elements.append(Element(name=texts[1], count=int(texts[2])))
        return
    found = _property(texts, order) if elements and texts[0] == "property" else None
    if found is None or _taken(found.name, elements[-1]):
        raise Problem(f"{where}: “{as_typed(' '.join(texts))}” is not understood: save it again as PLY")
    elements[-1].properties.append(found)


def _taken(name: str, element: Element) -> bool:
    return len(element.properties) >= MOST_PROPERTIES or any(item.name == name for item in element.properties)


def _property(texts: list[str], order: str) -> Property | None:
    if len(texts) == 3 and texts[1] in TYPES:
        return Property(name=texts[2], kind=order + TYPES[texts[1]])
    if len(texts) == 5 and texts[1] == "list" and texts[2] in TYPES and texts[3] in TYPES and TYPES[texts[2]][0] != "f":
        return Property(name=texts[4], kind=order + TYPES[texts[3]], how_many=order + TYPES[texts[2]])
    return None


def indices(numbers: NDArray[np.generic]) -> NDArray[np.int64]:
    """Corner numbers of any kind as whole numbers; what is none becomes -1, which no mesh has."""
    if numbers.dtype.kind != "f":
        return numbers.astype(np.int64)
    whole = np.where(np.isfinite(numbers) & (np.abs(numbers) < 2**40), numbers, -1.0)
    return whole.astype(np.int64)
