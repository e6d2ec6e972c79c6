"""The fuzzing script itself, a few hundred inputs of every kind: nothing but a mesh, a series or one sentence."""

from __future__ import annotations

import numpy as np
import pytest

from benchmarks import mesh_fuzz


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("kind", sorted(mesh_fuzz.WORDS))
def test_every_reader_answers_damaged_files(kind: str, capsys: pytest.CaptureFixture[str]):
    assert mesh_fuzz.run(kind, 200, 3, (0, 1)) == 0
    said = capsys.readouterr().out
    assert f"{kind}: 200 inputs" in said and "0 crashed" in said


def test_a_reader_that_crashes_is_counted(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    def crash(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(mesh_fuzz, "taken", crash)
    assert mesh_fuzz.run("stl", 5, 3, (0, 1)) == 5


def test_pieces_of_a_run_are_the_whole_run():
    files = mesh_fuzz.good("obj")
    whole = [mesh_fuzz.one("obj", files, np.random.default_rng([1, n])) for n in range(8)]
    assert [mesh_fuzz.one("obj", files, np.random.default_rng([1, n])) for n in (0, 2, 4, 6)] == whole[::2]
