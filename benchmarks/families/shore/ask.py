"""The brief: what a person would ask, in round numbers, loosened or tightened until few recipes pass."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from .region import passes
from .waste import Window
from .water import Array

Rng = np.random.Generator
Said = Mapping[str, Array]
SHARE = (0.0048, 0.0235)  # wanted shares, evenly in ratio
LIMIT = (0.0039, 0.0268)  # what a brief may have on the draws it was made with


@dataclass(frozen=True)
class Line:
    """How one reading is asked for."""

    side: str  # "most" | "least" | "within"
    least: float
    most: float
    step: float
    noise: float  # relative, one standard deviation
    chance: float  # of being asked


LINES: dict[str, Line] = {
    "cone_depth_mm": Line("within", 7, 28, 1, 0.05, 1.0),
    "ram_force_n": Line("most", 40, 1500, 10, 0.1, 1.0),
    "layers_stood": Line("least", 6, 50, 1, 0.07, 0.9),
    "springback_percent": Line("most", 2, 25, 1, 0.18, 0.45),
    "bleed_g_per_100g": Line("most", 0.5, 4, 0.5, 0.15, 0.45),
    "shrinkage_percent": Line("most", 2, 28, 0.5, 0.05, 0.75),
    "crack_grade": Line("most", 1, 2.5, 0.5, 0.15, 0.6),
    "strength_mpa": Line("least", 0.5, 8, 0.5, 0.15, 0.6),
    "density_g_per_ml": Line("most", 0.9, 1.9, 0.05, 0.01, 0.2),
}


def _step(line: Line, value: float) -> float:
    """Round numbers get coarser as they grow."""
    if line.step == 10:
        return 10.0 if value < 150 else 25.0 if value < 400 else 50.0
    if line.side == "least" and line.step == 1:
        return 1.0 if value < 10 else 2.0 if value < 20 else 5.0
    return 2.0 * line.step if line.step == 0.5 and value >= 12 else line.step


def _round(line: Line, value: float, up: bool) -> float:
    step = _step(line, value)
    turns = np.ceil(value / step - 1e-9) if up else np.floor(value / step + 1e-9)
    return float(round(min(max(float(turns) * step, line.least), line.most), 3))


def _around(rng: Rng, line: Line, value: float) -> Window:
    """A first window that an existing recipe keeps with some room."""
    room = 1.5 * line.noise * value
    if line.side == "most":
        return (None, _round(line, value + room, up=True))
    if line.side == "least":
        return (_round(line, value - room, up=False), None)
    below = float(rng.uniform(0.08, 0.25)) * value
    above = float(rng.uniform(0.08, 0.25)) * value
    return (_round(line, value - below, up=False), _round(line, value + above, up=True))


def _moved(rng: Rng, line: Line, window: Window, looser: bool) -> Window:
    """The window one step looser or tighter; the same window when it may not move."""
    low, high = window
    if line.side == "within" and low is not None and high is not None:
        if rng.random() < 0.5:
            low = low - 1 if looser else low + 1
        else:
            high = high + 1 if looser else high - 1
        wide = 4 <= high - low <= 9 and high - low >= 0.25 * (high + low) / 2
        return (low, high) if wide and low >= line.least and high <= line.most else window
    held = high if low is None else low
    assert held is not None
    away = looser == (low is None)
    moved = round(held + _step(line, held) * (1 if away else -1), 3)
    moved = moved if line.least <= moved <= line.most else held
    return (None, moved) if low is None else (moved, None)


def _sound(said: Said) -> Array:
    """Recipes that a kitchen would call a paste."""
    cone = said["cone_depth_mm"]
    printable = (cone > 9.5) & (cone < 24) & (said["layers_stood"] > 7) & (said["layers_stood"] < 48)
    held = (said["crack_grade"] < 2.6) & (said["strength_mpa"] > 0.6) & (said["bleed_g_per_100g"] < 4)
    return np.flatnonzero(printable & held & (said["ram_force_n"] < 1300) & (said["springback_percent"] < 24))


def _anchor(rng: Rng, said: Said, asked: list[str]) -> int | None:
    """A recipe good in what is asked, with weights of this person's own."""
    sound = _sound(said)
    if len(sound) < 40:
        return None
    score = np.zeros(len(sound))
    for name in asked:
        if LINES[name].side != "within":
            order = np.argsort(np.argsort(said[name][sound])) / len(sound)
            score += float(rng.exponential()) * (order if LINES[name].side == "least" else 1.0 - order)
    best = sound[np.argsort(-score)[: max(5, len(sound) // 10)]]
    return int(rng.choice(best))


def _asked(rng: Rng) -> list[str]:
    """Four to eight lines."""
    while True:
        asked = [name for name, line in LINES.items() if rng.random() < line.chance]
        if 4 <= len(asked) <= 8:
            return asked


def share(brief: Mapping[str, Window], said: Said) -> float:
    """Share of the recipes that keep the brief."""
    return float(passes(brief, said).mean())


def _fitted(rng: Rng, brief: dict[str, Window], said: Said, wanted: float) -> dict[str, Window] | None:
    """Steps of single lines until the share is near the wanted one."""
    for _ in range(250):
        now = share(brief, said)
        if 0.85 * wanted <= now <= 1.17 * wanted:
            return brief
        name = str(rng.choice(list(brief)))
        trial = {**brief, name: _moved(rng, LINES[name], brief[name], looser=now < wanted)}
        if now < wanted or share(trial, said) >= 0.85 * wanted:
            brief = trial
    return None


def _idle(brief: Mapping[str, Window], said: Said) -> int:
    """Lines that nearly every recipe keeps."""
    return sum(share({name: window}, said) > 0.96 for name, window in brief.items())


def make(rng: Rng, said: Said) -> dict[str, Window] | None:
    """A brief on these recipes, or nothing if none was found."""
    for _ in range(12):
        asked = _asked(rng)
        anchor = _anchor(rng, said, asked)
        if anchor is None:
            return None
        wanted = float(np.exp(rng.uniform(*np.log(SHARE))))
        first = {name: _around(rng, LINES[name], float(said[name][anchor])) for name in asked}
        brief = _fitted(rng, first, said, wanted)
        if brief and _idle(brief, said) <= 1 and LIMIT[0] <= share(brief, said) <= LIMIT[1]:
            return brief
    return None
