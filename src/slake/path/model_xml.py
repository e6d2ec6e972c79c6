"""The XML of a 3MF model part, read word by word so that nothing but numbers is kept. Any document type is refused."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from xml.parsers import expat

import numpy as np

from slake.ground.problems import Problem, as_typed

from .mesh import FloatArray, IntArray
from .mesh_limits import MeshLimits, cut_short, require_triangles

MOST_PARTS = 100_000
FURTHEST = 1e12
DEEPEST_XML = 64
AS_IT_IS = "1 0 0 0 1 0 0 0 1 0 0 0"
Attributes = Mapping[str, str]


@dataclass(frozen=True, kw_only=True)
class Placed:
    """A part placed in the build or in another part; path is "" within the same model part."""

    object_id: str
    transform: str = AS_IT_IS
    path: str = ""

    def turn(self) -> FloatArray:
        """(4, 3): rows times a corner, then the shift. Raises Problem."""
        try:
            numbers = np.array([float(word) for word in self.transform.split()])
        except ValueError:
            numbers = np.empty(0)
        if numbers.shape != (12,) or not np.isfinite(numbers).all() or np.abs(numbers).max() > FURTHEST:
            raise Problem(f"the 3MF places a part by “{as_typed(self.transform)}”, which is no place: save it again")
        return numbers.reshape(4, 3)


@dataclass(frozen=True, kw_only=True)
class Part:
    """One object: its own mesh, or parts it holds."""

    kind: str
    corners: array[float] = field(default_factory=lambda: array("d"))
    places: array[int] = field(default_factory=lambda: array("q"))
    holds: list[Placed] = field(default_factory=list)

    @property
    def triangle_count(self) -> int:
        return len(self.places) // 3

    def mesh(self) -> tuple[FloatArray, IntArray]:
        """Corners and triangles. Raises Problem where a triangle has a corner that is not there."""
        corners = np.frombuffer(self.corners, dtype=np.float64).reshape(-1, 3) if self.corners else np.empty((0, 3))
        triangles = np.frombuffer(self.places, dtype=np.int64).reshape(-1, 3)
        if not (np.abs(corners) < FURTHEST).all():
            raise Problem("a part of the 3MF has corners that are not finite numbers, or very far out: save it again")
        if triangles.min() < 0 or triangles.max() >= len(corners):
            raise Problem("a triangle of the 3MF has a corner that is not in its part: save it again")
        return corners, triangles


@dataclass(frozen=True, kw_only=True)
class Model:
    unit: str
    parts: dict[str, Part]
    build: list[Placed]


def read_model(text: bytes, name: str, limits: MeshLimits) -> Model:
    """Raises Problem for XML that is not whole, has a document type or entities, or names numbers that are none."""
    reader = _Reader(name, limits)
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.StartElementHandler = reader.start
    parser.EndElementHandler = reader.end
    parser.StartDoctypeDeclHandler = reader.refuse
    parser.EntityDeclHandler = reader.refuse
    try:
        parser.Parse(text, True)
    except expat.ExpatError as error:
        raise cut_short(name, f"XML, line {error.lineno}") from None
    except (KeyError, ValueError, OverflowError, LookupError):
        raise cut_short(name, f"XML, line {parser.CurrentLineNumber}: a number or a name is missing") from None
    return Model(unit=reader.unit, parts=reader.parts, build=reader.build)


class _Reader:
    """Takes one opening tag after the other."""

    def __init__(self, name: str, limits: MeshLimits) -> None:
        self.name, self.limits = name, limits
        self.unit = ""
        self.parts: dict[str, Part] = {}
        self.build: list[Placed] = []
        self.now = Part(kind="")
        self.left = limits.most_triangles
        self.deep = 0
        self.takes: dict[str, Callable[[Attributes], None]] = {
            "vertex": self.vertex,
            "triangle": self.triangle,
            "model": self.model,
            "object": self.part,
            "component": lambda given: self.now.holds.append(_placed(given)),
            "item": lambda given: self.build.append(_placed(given)),
            "beamlattice": self.lattice,
        }

    def start(self, tag: str, given: dict[str, str]) -> None:
        self.deep += 1
        if self.deep > DEEPEST_XML:
            raise Problem(f"the XML of “{self.name}” is over {DEEPEST_XML} deep, which no model is: it was not read")
        take = self.takes.get(tag.rsplit(" ", 1)[-1])
        if take is not None:
            take(given)

    def end(self, tag: str) -> None:
        self.deep -= 1

    def refuse(self, *_: object) -> None:
        raise Problem(f"“{self.name}” declares a document type or entities, which a 3MF must not: it was not read")

    def vertex(self, given: Attributes) -> None:
        self.now.corners.extend((float(given["x"]), float(given["y"]), float(given["z"])))
        if len(self.now.corners) > 9 * self.limits.most_triangles:
            raise Problem(f"“{self.name}” has over {3 * self.limits.most_triangles} corners: save it coarser")

    def triangle(self, given: Attributes) -> None:
        self.now.places.extend((int(given["v1"]), int(given["v2"]), int(given["v3"])))
        self.left -= 1
        if self.left < 0:
            require_triangles(self.limits.most_triangles + 1, self.name, self.limits)

    def model(self, given: Attributes) -> None:
        self.unit = given.get("unit", "")

    def part(self, given: Attributes) -> None:
        self.now = Part(kind=given.get("type", ""))
        self.parts[given["id"]] = self.now
        if len(self.parts) > MOST_PARTS:
            raise Problem(f"“{self.name}” holds over {MOST_PARTS} parts: save it as one mesh")

    def lattice(self, given: Attributes) -> None:
        raise Problem(f"“{self.name}” holds a lattice of beams, which is not read here: save it as a plain mesh")


def _placed(given: Attributes) -> Placed:
    path = next((value for key, value in given.items() if key.rsplit(" ", 1)[-1] == "path"), "")
    return Placed(object_id=given["objectid"], transform=given.get("transform", AS_IT_IS), path=path)
