"""The example in docs/belief.md runs as it stands."""

import re
from pathlib import Path

import pytest

PAGE = Path(__file__).parents[2] / "docs" / "belief.md"


def test_the_example_runs(capsys):
    code = re.search(r"```python\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.S).group(1)
    assert 10 <= len(code.strip().splitlines()) <= 20
    names = {}
    exec(compile(code, str(PAGE), "exec"), names)
    assert sum(names["next_batch"].fractions.values()) == pytest.approx(1)
    assert "Chance that all lines hold" in capsys.readouterr().out
