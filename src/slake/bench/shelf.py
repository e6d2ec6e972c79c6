"""Finds the declared tests: this folder's, those in the lab's own folder (SLAKE_BENCH_TESTS), and those lent."""

from __future__ import annotations

import importlib
import importlib.util
import os
import sys
from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache
from importlib.abc import Loader
from pathlib import Path
from types import ModuleType

from slake.ground.problems import Problem

from .declaration import BenchTest

OWN_FOLDER = "SLAKE_BENCH_TESTS"


Lender = Callable[[], Mapping[str, BenchTest]]


def _nothing_lent() -> Mapping[str, BenchTest]:
    return {}


_lenders: list[Lender] = [_nothing_lent]


def lend(lender: Lender | None) -> None:
    """From now on the tests `lender` gives, such as those a lab declared as data, stand beside the files' own."""
    _lenders[-1] = lender or _nothing_lent


def all_tests() -> Mapping[str, BenchTest]:
    """Every declared test by id: those of files in the order of their names, then those lent."""
    return {**tests_of_files(), **_lenders[-1]()}


def tests_of_files() -> Mapping[str, BenchTest]:
    return _tests_with(os.environ.get(OWN_FOLDER, ""))


@lru_cache(maxsize=8)
def _tests_with(own_folder: str) -> Mapping[str, BenchTest]:
    return _tests_in(tuple(str(folder) for folder in _folders(own_folder)))


def test_named(test_id: str) -> BenchTest:
    found = tests_of_files().get(test_id) or _lenders[-1]().get(test_id)
    if found is None:
        raise Problem(f"there is no bench test called “{test_id[:40]}”: there are {', '.join(all_tests())}")
    return found


def test_of_reading(notebook_name: str) -> BenchTest | None:
    """The test whose headline a notebook calls by this name, such as cone_depth_mm."""
    here = (tests_of_files, _lenders[-1])
    return next((t for tests in here for t in tests().values() if t.notebook_name == notebook_name), None)


def _folders(own_folder: str) -> Iterator[Path]:
    yield Path(__file__).parent
    if not own_folder:
        return
    if not Path(own_folder).is_dir():
        raise Problem(
            f"{OWN_FOLDER} is “{own_folder[:80]}”, and there is no such folder: make it, or clear the setting"
        )
    yield Path(own_folder)


@lru_cache(maxsize=8)
def _tests_in(folders: tuple[str, ...]) -> Mapping[str, BenchTest]:
    tests: dict[str, BenchTest] = {}
    for folder in folders:
        for path in sorted(Path(folder).glob("*.py")):
            declared = _declared(path)
            if declared is None:
                continue
            _require_new(declared, tests, path.name)
            tests[declared.id] = declared
    return tests


def _require_new(declared: BenchTest, tests: Mapping[str, BenchTest], file_name: str) -> None:
    if declared.id in tests:
        raise Problem(f"two bench tests are called {declared.id}: rename the one in {file_name}")
    if any(declared.notebook_name == other.notebook_name for other in tests.values()):
        raise Problem(f"two bench tests read {declared.notebook_name}: give the one in {file_name} a name of its own")


def _declared(path: Path) -> BenchTest | None:
    if "\nTEST" not in path.read_text(encoding="utf-8"):
        return None
    own = path.parent == Path(__file__).parent
    name = f"slake.bench.{path.stem}" if own else f"slake_own_bench_{path.stem}"
    if own:
        module = importlib.import_module(name)
    else:
        spec = importlib.util.spec_from_file_location(name, path)
        if spec is None or spec.loader is None:
            return None
        module = importlib.util.module_from_spec(spec)
        sys.modules[name] = module
        _run(spec.loader, module, path)
    found = getattr(module, "TEST", None)
    if not isinstance(found, BenchTest):
        raise Problem(f"TEST in {path.name} is no BenchTest: declare it as TEST = BenchTest(...)")
    return found


def _run(loader: Loader, module: ModuleType, path: Path) -> None:
    """A lab's own file may be wrong in any way: say which, in one sentence."""
    try:
        loader.exec_module(module)
    except Exception as error:
        sys.modules.pop(module.__name__, None)
        said = " ".join(str(error).split())[:120]
        raise Problem(
            f"the bench test in {path.name} does not load ({type(error).__name__}: {said}): mend it"
        ) from error
