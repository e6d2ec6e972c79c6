"""Do levers point the right way? After one cracked batch of a made-up waste, each lever's own recipe against the truth.

python -m benchmarks.levers [--wastes 60] [--seed 2026]

Families that import nothing of slake (kitchen, toys). Right: the noise-free truth moves the way slake's middle said,
where both move by more than a hundredth; held: the true factor lies in slake's 80 % range, wherever it lies. Levers
beside the recipe (grind, drying, wall) are in none of these laws.
"""

from __future__ import annotations

import argparse
import math
from collections import defaultdict
from typing import Any

import numpy as np

from benchmarks.campaigns.book import open_book, write
from benchmarks.campaigns.families import named, uniform
from slake import __version__
from slake.campaign.changed import GRADES_LOG
from slake.campaign.lever_practice import Part
from slake.campaign.levers import Asked, Levers, levers
from slake.ground.problems import Problem

NAMES = {"shrinkage": "shrinkage_percent", "cracks": "crack_grade", "layers": "layers_stood"}
CRACKED, CONE, LEAST_LAYERS, STILL = 2.0, (9.0, 20.0), 6.0, 0.01
Z90 = 1.6448536269514722
Seen = tuple[bool | None, bool]


def first_print(family: Any, waste: Any, seed: int) -> tuple[np.ndarray, Levers] | None:
    """A recipe within bounds that printed and cracked, and what slake says after that one batch; None without one."""
    rng = np.random.default_rng([seed, waste.number, 41])
    rows = uniform(waste, 3000, rng)
    true = family.truth(waste, rows)
    cone = true["cone_depth_mm"]
    good = (
        (cone > CONE[0]) & (cone < CONE[1]) & (true["layers_stood"] > LEAST_LAYERS) & (true["crack_grade"] >= CRACKED)
    )
    for at in np.flatnonzero(good)[:20]:
        mixed = family.mix(waste, rows[at], rng)
        if "crack_grade" in mixed.readings and "cone_depth_mm" in mixed.readings:
            book = open_book(waste)
            write(book, mixed)
            told = book.batches[0].fractions
            asked = Asked(
                belief=book.belief(),
                aim=book.aim(),
                brief=book.brief,
                keys=book.keys,
                allowed=frozenset(book.keys),
                part=Part(nozzle_m=0.002, water_kg_m3=600.0),
            )
            return np.array(told), levers(asked, told)
    return None


def judged(family: Any, waste: Any, seed: int) -> dict[tuple[str, str], Seen]:
    """Of each lever's effect on each property: has it the right sign (None where it hardly moves), and did the range
    hold it.
    """
    try:
        found = first_print(family, waste, seed)
    except Problem as problem:
        print(f"{family.NAME} {waste.number} left out: {problem}")
        return {}
    if found is None:
        return {}
    base, said = found
    seen: dict[tuple[str, str], Seen] = {}
    for way in (way for way in said.ways if all(step.by is not None for step in way.steps)):
        true = family.truth(waste, np.stack([base, np.array(list(way.fractions.values()))]))
        for effect in way.effects:
            more = GRADES_LOG if effect.name == "cracks" else 0.0
            then, now = (float(value) + more for value in true[NAMES[effect.name]])
            if then <= 0:
                continue
            times = now / then
            moves = min(abs(times - 1), abs(effect.times.mid - 1)) > STILL
            right = (times > 1) == (effect.times.mid > 1) if moves else None
            seen[way.key, effect.name] = right, effect.times.low <= times <= effect.times.high
    return seen


def wilson(hits: int, count: int) -> tuple[float, float]:
    """90 % interval of a share."""
    share, more = hits / count, Z90**2 / count
    middle = (share + more / 2) / (1 + more)
    half = Z90 * math.sqrt(share * (1 - share) / count + more / (4 * count)) / (1 + more)
    return middle - half, middle + half


def counted(
    wastes: int, seed: int, families: tuple[str, ...] = ("kitchen", "toys")
) -> dict[tuple[str, str], list[Seen]]:
    """(lever, property) -> what was seen of it on each waste."""
    totals: dict[tuple[str, str], list[Seen]] = defaultdict(list)
    for name in families:
        family = named(name)
        for number in range(wastes):
            for key, seen in judged(family, family.draw(number, seed), seed).items():
                totals[key].append(seen)
    return dict(sorted(totals.items()))


def share_words(values: list[bool]) -> str:
    if not values:
        return "none"
    low, high = wilson(sum(values), len(values))
    hits = f"{sum(values)}/{len(values)}"
    return f"{hits:>8} {100 * sum(values) / len(values):4.0f} % ({100 * low:.0f} to {100 * high:.0f})"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--wastes", type=int, default=60, help="of each family")
    parser.add_argument("--seed", type=int, default=2026)
    asked = parser.parse_args()
    print(f"kitchen and toys, {asked.wastes} wastes each, seed {asked.seed}, slake {__version__}; 90 % intervals")
    print(f"{'lever':16} {'property':10} {'right direction':32} in the 80 % range")
    for (lever, what), seen in counted(asked.wastes, asked.seed).items():
        right, held = [way for way, _ in seen if way is not None], [inside for _, inside in seen]
        print(f"{lever:16} {what:10} {share_words(right):32} {share_words(held)}")


if __name__ == "__main__":
    main()
