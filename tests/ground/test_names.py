"""Every public quantity of the science of paste is in names.toml, and every number's source in sources.toml."""

from __future__ import annotations

import ast
import re
import tomllib
from pathlib import Path

import pytest

from slake.ground.units import UNITS

SLAKE = Path(__file__).parents[2] / "src" / "slake"
NAMES = tomllib.loads((SLAKE / "ground" / "names.toml").read_text(encoding="utf-8"))
SOURCES = tomllib.loads((SLAKE / "ground" / "sources.toml").read_text(encoding="utf-8"))
PASTE = sorted((SLAKE / "paste").glob("*.py"))
PATH = sorted((SLAKE / "path").glob("*.py"))
SUFFIXES = {"kg": "kg", "m": "m", "m3": "m3", "pa": "Pa", "s": "s", "k": "K", "deg": "deg"}
NUMBER = {"float", "float | None", "Known", "Known | None"}
QUALIFIED = re.compile(r"^(old|new|needed|held|carried|wanted|planned|more|weighed|later|still|added|usable|exact)_")
PLAIN_WORDS = {"low", "mid", "high", "count", "place", "resolution", "demand", "typical"}


def quantities(path: Path) -> set[str]:
    """Names of number-valued fields and parameters that a caller from another room can see."""
    found: set[str] = set()
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            args = [*node.args.args, *node.args.kwonlyargs]
            found |= {a.arg for a in args if a.annotation and ast.unparse(a.annotation) in NUMBER}
        if isinstance(node, ast.ClassDef):
            fields = [n for n in node.body if isinstance(n, ast.AnnAssign)]
            found |= {ast.unparse(n.target) for n in fields if ast.unparse(n.annotation) in NUMBER}
    return found


@pytest.mark.parametrize("path", [*PASTE, *PATH], ids=lambda path: path.stem)
def test_every_quantity_of_paste_and_path_has_a_name(path: Path) -> None:
    known = set(NAMES) | PLAIN_WORDS
    unknown = {n for n in quantities(path) if n not in known and QUALIFIED.sub("", n) not in known}
    assert not unknown, f"{path.name}: add {sorted(unknown)} to names.toml, or call them by the name they have there"


@pytest.mark.parametrize("name", sorted(NAMES))
def test_a_name_has_meaning_and_unit_and_a_ratio_its_basis(name: str) -> None:
    row = NAMES[name]
    assert row["meaning"] and "unit" in row
    assert row["unit"] or row["basis"], f"{name}: a ratio says on what basis"
    suffix = name.rsplit("_", 1)[-1]
    if (
        suffix in SUFFIXES
        and "unit" in row
        and not name.endswith(("n_m", "per_kg", "kg_m3", "m3_s", "m2_s", "m_s", "per_s"))
    ):
        assert row["unit"] == SUFFIXES[suffix]
    assert row["unit"].split("/")[0] in {*UNITS, "", "K", "as the values", "m2", "m3", "N.m"}


@pytest.mark.parametrize("key", sorted(SOURCES))
def test_a_source_says_what_it_is_and_how_it_is_known(key: str) -> None:
    row = SOURCES[key]
    assert row["title"] and row["where"]
    assert row["how"] in {"read", "secondary", "memory", "practice", "own"}
    if row["how"] in {"read", "secondary"}:
        assert row["seen"], f"{key}: say what was seen of it"


@pytest.mark.parametrize("path", [*PASTE, *PATH], ids=lambda path: path.stem)
def test_every_source_a_docstring_names_exists(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    named = {
        key
        for sentence in re.findall(r"Sources?: ([^.)]*)", text, re.I)
        for key in re.findall(r"[a-z_]+\d\w*", sentence)
    }
    assert named <= set(SOURCES)


def test_the_manual_names_only_sources_that_exist_and_every_law() -> None:
    manual = (SLAKE.parents[1] / "docs" / "formulas.md").read_text(encoding="utf-8")
    assert set(re.findall(r"\[([a-z]\w+)\](?!\()", manual)) <= set(SOURCES)
    for module in (
        "flow",
        "standing",
        "standing_growing",
        "strength_by_age",
        "buckling",
        "buckling_edges",
        "buckling_ring",
        "buckling_shapes",
        "buckling_yielding",
        "tilting",
        "sagging",
        "wetting",
        "drying",
        "lot",
        "heating",
        "mixtures",
        "cartridges",
        "bases",
        "recipe",
        "interactions",
        "doses",
        "keeping",
        "fresh",
        "bucket",
        "end_point",
        "blending",
        "stock",
        "packs",
        "pipe",
        "ram",
        "air",
        "slug",
        "squeeze",
        "spreading",
        "syringe",
        "lands",
        "ageing",
        "uneven_drying",
        "moist_air",
        "evaporating",
        "diffusing",
        "drying_slab",
        "drying_unknowns",
        "drying_run",
        "drying_schedule",
        "drying_weighed",
        "drying_cracks",
        "dose_curve",
        "swapping",
    ):
        for node in ast.parse((SLAKE / "paste" / f"{module}.py").read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_") and node.name != "in_words":
                assert f"`{node.name}`" in manual, f"docs/formulas.md does not say where {node.name} holds"


def test_the_manual_says_where_no_published_value_exists() -> None:
    """Extrusion force of a known paste, and slump beside a rheometer: said where the formulas stand."""
    manual = " ".join((SLAKE.parents[1] / "docs" / "formulas.md").read_text(encoding="utf-8").split())
    assert "extrusion force of a known paste" in manual
    assert "measured table of a bench reading against a rheometer could be read" in manual.replace("*", "")
