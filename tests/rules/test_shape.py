"""The shape of the code: sizes, arguments, names of files, and where things may be imported."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "slake"
MODULE_LINES, FUNCTION_LINES, ARGUMENTS = 250, 25, 5
DRAWERS = {"utils", "util", "helpers", "helper", "common", "misc", "tools", "stuff", "core", "base"}


def modules() -> list[Path]:
    return [path for path in sorted(SOURCE.rglob("*.py")) if "migrations" not in path.parts]


def functions(tree: ast.AST) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    return (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef))


def code_lines(function: ast.FunctionDef | ast.AsyncFunctionDef, text: list[str]) -> int:
    """Lines of a function without its decorators, docstring, blank lines and lines that are only a comment."""
    first = function.body[0]
    has_doc = (
        isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant) and isinstance(first.value.value, str)
    )
    doc = range(first.lineno, (first.end_lineno or first.lineno) + 1) if has_doc else range(0)
    lines = (n for n in range(function.lineno, (function.end_lineno or function.lineno) + 1) if n not in doc)
    return sum(1 for n in lines if text[n - 1].strip() and not text[n - 1].strip().startswith("#"))


def argument_count(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    spec = function.args
    names = [a.arg for a in (*spec.posonlyargs, *spec.args, *spec.kwonlyargs) if a.arg not in {"self", "cls"}]
    return len(names)


def imports_inside(tree: ast.AST) -> list[int]:
    return [
        node.lineno
        for function in functions(tree)
        for node in ast.walk(function)
        if isinstance(node, ast.Import | ast.ImportFrom)
    ]


def here(path: Path) -> str:
    return str(path.relative_to(ROOT))


def test_no_module_is_too_long():
    long = {here(p): n for p in modules() if (n := len(p.read_text(encoding="utf-8").splitlines())) > MODULE_LINES}
    assert long == {}


def test_no_function_is_too_long():
    long = {}
    for path in modules():
        text = path.read_text(encoding="utf-8")
        for function in functions(ast.parse(text)):
            lines = code_lines(function, text.splitlines())
            if lines > FUNCTION_LINES:
                long[f"{here(path)}:{function.name}"] = lines
    assert long == {}


def test_no_function_takes_too_many_arguments():
    """Commands are let off: their arguments are the options a person types."""
    many = {
        f"{here(path)}:{function.name}": argument_count(function)
        for path in modules()
        if "cli" not in path.parts
        for function in functions(ast.parse(path.read_text(encoding="utf-8")))
        if argument_count(function) > ARGUMENTS
    }
    assert many == {}


def test_no_file_or_folder_is_a_drawer():
    """A template that others extend may be called base; code may not."""
    paths = [p for folder in ("src", "tests") for p in (ROOT / folder).rglob("*") if p.is_dir() or p.suffix == ".py"]
    assert [here(p) for p in paths if p.stem in DRAWERS] == []


def test_nothing_is_imported_inside_functions_outside_the_command():
    hidden = {
        here(path): lines
        for path in modules()
        if "cli" not in path.parts and (lines := imports_inside(ast.parse(path.read_text(encoding="utf-8"))))
    }
    assert hidden == {}


@pytest.mark.parametrize(
    "room", ["actions", "bench", "campaign", "cli", "demo", "ground", "pages", "paste", "path", "records", "server"]
)
def test_every_room_has_tests_in_a_folder_of_its_name(room: str):
    assert list((ROOT / "tests" / room).glob("test_*.py")), f"tests/{room} is empty"


def test_every_room_says_what_it_is():
    silent = [
        p.parent.name
        for p in SOURCE.glob("*/__init__.py")
        if len(ast.get_docstring(ast.parse(p.read_text())) or "") < 20
    ]
    assert silent == []


def test_pages_never_write_records():
    """Only actions change a record."""
    writing = {"save", "create", "bulk_create", "get_or_create", "update_or_create", "bulk_update", "delete"}
    found = [
        f"{here(path)}:{node.lineno}"
        for path in (SOURCE / "pages").rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in writing
        and "objects" in ast.unparse(node.func)
    ]
    assert found == []


def asks_clock_or_chance(call: ast.Call) -> bool:
    """The clock always; a generator unless its seed comes from outside (a name, not a constant or nothing)."""
    name = call.func.attr if isinstance(call.func, ast.Attribute) else ""
    if name in {"default_rng", "RandomState", "Random"}:
        return not any(isinstance(node, ast.Name) for given in call.args for node in ast.walk(given))
    return name in {"now", "utcnow", "today", "seed", "monotonic", "perf_counter"}


def test_science_asks_neither_the_clock_nor_chance():
    """Now and the generator are arguments there."""
    found = [
        f"{here(path)}:{node.lineno}"
        for room in ("ground", "paste", "bench", "campaign", "path")
        for path in (SOURCE / room).rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and asks_clock_or_chance(node)
    ]
    assert found == []


def test_the_rules_see_what_they_are_for():
    """Each measure, tried on code that breaks it."""
    long = "def f():\n    '''doc'''\n" + "    a = 1\n" * 26
    function = next(functions(ast.parse(long)))
    assert code_lines(function, long.splitlines()) == 27
    assert argument_count(next(functions(ast.parse("def f(self, a, b, *, c, d, e, g): pass")))) == 6
    assert imports_inside(ast.parse("def f():\n    import os")) == [2]
    for text, asks in (
        ("datetime.now(UTC)", True),
        ("np.random.default_rng(0)", True),
        ("np.random.default_rng([seed])", False),
    ):
        assert asks_clock_or_chance(ast.parse(text, mode="eval").body) is asks
