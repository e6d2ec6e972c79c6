"""`slake drying`: a wall, its air and bed, and weighings; everything may be left out."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cli.test_commands import WITHOUT_DJANGO, refused, slake

ASKED = ["--wall-mm", "4", "--air", "20:50", "--draught", "still", "--bed", "closed", "--kind", "mineral"]


def dry(said: str) -> tuple[float, float, float]:
    mid, low, high = re.search(r"dry enough to coat: ([\d.]+) h \(([\d.]+) to ([\d.]+)\)", said).groups()
    return float(low), float(mid), float(high)


def test_it_says_the_schedule_both_ends_of_the_face_cracks_and_cautions(tmp_path: Path):
    said = slake("drying", *ASKED, home=tmp_path, program=WITHOUT_DJANGO)
    assert said.returncode == 0, said.stderr
    for words in ("keep it covered:", "cut it free and turn it:", "shrinking ends:", "were it at the wet bulb:"):
        assert words in said.stdout
    assert "A crack of grade 2 or worse" in said.stdout and "Caution. Lifting" in said.stdout
    assert said.stdout.splitlines()[-1] == "False", "Django was started"


def test_nothing_at_all_is_answered_wider_and_weighings_narrower(tmp_path: Path):
    none, told = (dry(slake("drying", *given, home=tmp_path).stdout) for given in ([], ASKED))
    weighed = slake("drying", *ASKED, "--weighed", "1:312,4", "--weighed", "20:274,8", home=tmp_path).stdout
    assert "corrected by 2 weighings" in weighed
    assert none[2] / none[0] > 1.5 * told[2] / told[0] and told[2] / told[0] > dry(weighed)[2] / dry(weighed)[0]


@pytest.mark.parametrize(
    "bad",
    [
        ["--wall-mm", "nan"],
        ["--air", "20"],
        ["--air", "20:130"],
        ["--bed", "carpet"],
        ["--also", "colour=3"],
        ["--weighed", "1:300"],
        ["--weighed", "300"],
        ["--weighed", "5:300", "--weighed", "1:290"],
        [part for n in range(9) for part in ("--weighed", f"{n}:{300 - n}")],
    ],
)
def test_what_cannot_be_is_one_sentence(tmp_path: Path, bad: list[str]):
    refused(slake("drying", *ASKED, *bad, home=tmp_path))
