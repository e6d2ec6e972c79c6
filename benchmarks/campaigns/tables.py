"""The printed tables of each experiment."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from typing import Any

import numpy as np

from .experiments import Trial
from .figures import best, header, line, ratio, share

BINS = (0.0, 0.02, 0.1, 0.25, 0.5, 0.75, 1.0)
FEWEST = 200
ByPeer = dict[str, dict[tuple[str, int], list[float]]]


def scores_of(results: list[dict[str, Any]], family: str | None) -> ByPeer:
    found: ByPeer = defaultdict(lambda: defaultdict(list))
    for r in of_family(results, family):
        found[r["task"]["peer"]][(r["task"]["family"], r["task"]["number"])].append(r["score"])
    return {p: dict(s) for p, s in found.items()}


def of_family(results: list[dict[str, Any]], family: str | None) -> list[dict[str, Any]]:
    mine = [r for r in results if family in (None, r["task"]["family"])]
    return sorted(mine, key=lambda r: (r["task"]["family"], r["task"]["number"], r["task"]["seed"]))


def scored(results: list[dict[str, Any]], family: str | None, trial: Trial) -> list[str]:
    """A row for slake and each peer, and slake over the best of them."""
    scores = scores_of(results, family)
    lines = [f"\n{family or 'all families'}: {trial.title}", header()]
    lines += [line(p, scores[p], trial.miss) for p in (*trial.ours, *trial.peers) if p in scores]
    peers = {p: s for p, s in scores.items() if p not in trial.ours}
    for own in trial.ours:
        if peers and own in scores:
            first = best(peers)
            value, low, high = ratio(scores[own], peers[first])
            lines.append(
                f"median of {own} over that of the best peer, {first}, same wastes: {value:.2f} [{low:.2f}, {high:.2f}]"
            )
    return lines


def said_enough(results: list[dict[str, Any]], family: str | None) -> str:
    """How often the recipe slake stopped at truly met every line."""
    by_waste: dict[tuple[str, int], list[float]] = defaultdict(list)
    for r in of_family(results, family):
        if r["true"] is not None:
            by_waste[(r["task"]["family"], r["task"]["number"])].append(100.0 * r["true"])
    if not by_waste:
        return "never said so"
    late = [r["after_first"] for r in of_family(results, family) if r.get("after_first") is not None]
    after = f"; batches after the first that truly was, median {np.median(late):.0f}" if late else ""
    said = sum(map(len, by_waste.values()))
    return (
        f"said in {said} of {len(list(of_family(results, family)))}; truly good when said so: {share(by_waste)}{after}"
    )


def kept_their_word(results: list[dict[str, Any]], family: str | None) -> list[str]:
    """A row for each property and contender: readings, share in the 80 % range, mean interval score."""
    every: dict[tuple[str, str], list[tuple[float, float]]] = defaultdict(list)
    for r in of_family(results, family):
        for who, name, inside, score in r["forecasts"]:
            every[(name, who)].append((100.0 * inside, score))
    lines = [f"\n{family or 'all families'}: 80 % ranges of the next reading, same recipes for all"]
    lines.append(f"{'':<20}{'':<14}{'readings':>9}{'in range':>10}{'mean interval score':>21}")
    for name, who in sorted(every):
        inside, score = np.array(every[(name, who)]).mean(axis=0)
        lines.append(f"{name:<20}{who:<14}{len(every[(name, who)]):>9}{inside:>8.0f} %{score:>21.3f}")
    return [*lines, "scores of natural logarithms but for grades: smaller is better"]


def calibrated(results: list[dict[str, Any]], family: str | None) -> list[str]:
    """Stated chances by bins against how often every line truly held."""
    lines = []
    for kind in ("random", "chosen"):
        pairs = np.array([p for r in of_family(results, family) for p in r["stated"][kind]], dtype=float)
        lines.append(f"\n{family or 'all families'}: stated chance that every line holds, {kind} recipes")
        lines.append(f"{'bin':<16}{'forecasts':>10}{'mean stated':>13}{'held':>8}")
        for low, high in pairwise(BINS):
            mine = pairs[(pairs[:, 0] >= low) & ((pairs[:, 0] < high) | (high == 1.0))]
            few = "" if len(mine) >= FEWEST else "  fewer than asked"
            if len(mine):
                stated, held = 100 * mine.mean(axis=0)
                lines.append(f"{low:.2f} to {high:.2f}    {len(mine):>10}{stated:>11.1f} %{held:>6.1f} %{few}")
    return lines
