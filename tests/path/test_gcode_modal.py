"""Settings carried over arrays, against a plain interpreter that takes one line after the other."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pytest
from pytest import approx

from slake.path.gcode import read_gcode
from slake.path.pushing import Pushed

PUSHED = Pushed(m3_per_e=1e-6, by_length=True, words="anything")
Move = tuple[int, list[float], list[float], float, float, float]


@dataclass
class Machine:
    """Positions in mm from where the file began; `shift` is what G92 made of them."""

    place: dict[str, float] = field(default_factory=lambda: dict.fromkeys("XYZ", 0.0))
    shift: dict[str, float] = field(default_factory=lambda: dict.fromkeys("XYZ", 0.0))
    e: float = 0.0
    unit: float = 1.0
    relative: bool = False
    push_relative: bool | None = None
    feed: float = 600.0
    moves: list[Move] = field(default_factory=list)

    def do(self, line: int, code: str, words: dict[str, float]) -> None:
        if code in ("G20", "G21"):
            self.unit = 25.4 if code == "G20" else 1.0
        elif code in ("G90", "G91"):
            self.relative = code == "G91"
        elif code in ("M82", "M83"):
            self.push_relative = code == "M83"
        elif code == "G92":
            for axis, value in words.items():
                if axis == "E":
                    self.e = value * self.unit
                else:
                    self.shift[axis] = self.place[axis] - value * self.unit
        elif code == "G28":
            for axis in [a for a in "XYZ" if a in words] or "XYZ":
                self.place[axis] = self.shift[axis] = 0.0
        elif code == "G4":
            self.moves.append((line, self.at(), self.at(), 0.0, 0.0, words["S"]))
        else:
            self.go(line, words)

    def at(self) -> list[float]:
        return [self.place[axis] for axis in "XYZ"]

    def go(self, line: int, words: dict[str, float]) -> None:
        before, pushed = self.at(), 0.0
        for axis in "XYZ":
            if axis in words:
                value = words[axis] * self.unit
                self.place[axis] = self.place[axis] + value if self.relative else value + self.shift[axis]
        if "E" in words:
            value = words["E"] * self.unit
            by_itself = self.relative if self.push_relative is None else self.push_relative
            pushed, self.e = (value, self.e + value) if by_itself else (value - self.e, value)
        self.feed = words.get("F", self.feed / self.unit) * self.unit
        if before != self.at() or pushed:
            self.moves.append((line, before, self.at(), pushed, self.feed, 0.0))


def program(rng: np.random.Generator) -> tuple[str, list[Move]]:
    machine, lines = Machine(), ["G1 F600"]
    settings = ("G20", "G21", "G90", "G91", "M82", "M83", "G92", "G28", "G4")
    for _ in range(150):
        code = str(rng.choice(settings)) if rng.random() < 0.3 else str(rng.choice(["G0", "G1", "G1"]))
        words: dict[str, float] = {}
        if code in ("G0", "G1", "G92", "G28"):
            words = {axis: round(float(rng.normal() * 3), 3) for axis in "XYZ" if rng.random() < 0.5}
        if code in ("G0", "G1") and rng.random() < 0.2:
            words["F"] = round(float(rng.uniform(1, 900)), 1)
        if code == "G4":
            words["S"] = round(float(rng.uniform(0.1, 5)), 2)
        if (code == "G92" and rng.random() < 0.5) or (code == "G1" and not words):
            words["E"] = round(float(rng.normal() * 2), 3)
        elif code == "G1" and rng.random() < 0.7:
            by_itself = machine.relative if machine.push_relative is None else machine.push_relative
            words["E"] = round(float(rng.uniform(0.1, 2)) + (0 if by_itself else machine.e / machine.unit), 6)
        if code == "G92" and not words:
            continue
        machine.do(len(lines) + 1, code, words)
        lines.append(code + "".join(f" {letter}{value:.6f}" for letter, value in words.items()))
    return "\n".join([*lines, ""]), machine.moves


@pytest.mark.parametrize("piece", [1 << 20, 300], ids=["in one piece", "in many"])
@pytest.mark.parametrize("seed", range(25))
def test_arrays_do_what_a_plain_interpreter_does(seed: int, piece: int, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("slake.path.gcode.PIECE", piece)
    text, wanted = program(np.random.default_rng([seed]))
    path = read_gcode(text.encode(), PUSHED)
    assert path.line.tolist() == [move[0] for move in wanted]
    assert path.start_m * 1000 == approx(np.array([move[1] for move in wanted]), abs=1e-9)
    assert path.end_m * 1000 == approx(np.array([move[2] for move in wanted]), abs=1e-9)
    assert path.pushed_m3 * 1e6 == approx(np.array([move[3] for move in wanted]), abs=1e-9)
    moving = path.speed_m_s > 0
    feeds = np.array([move[4] for move in wanted])
    assert path.speed_m_s[moving] == approx(feeds[moving] / 60000, rel=1e-9)
    waits = np.array([move[5] for move in wanted])
    assert path.still_s[waits > 0] == approx(waits[waits > 0])
    assert len(wanted) > 80
