"""Batches until a recipe truly meets every line: slake's notebook against random recipes in the same bounds.

    python -m benchmarks.proposals [--quick] [--seed 1] [--jobs 2] [--fresh]

Twenty made-up wastes (benchmarks/wastes, which imports nothing of slake). Both peers mix one recipe at a time; a
recipe counts when its noise-free truth at 60 minutes holds every line of the brief; 30 batches without one count
as 31. Results are kept per waste under benchmarks/results/ under a checksum of the code that made them.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import sys
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

import slake
from benchmarks.wastes import VERSION, Mixed, Waste, feasible_share, meets, mix, random_recipes, truth, twenty_wastes
from slake.campaign import Lot, Notebook

HERE = Path(__file__).parent
ROOT = HERE.parent
RESULTS = HERE / "results" / "proposals"
MOST = 30
MISS = MOST + 1
RANDOM_CAMPAIGNS = 41
QUICK = (0, 1, 4, 7, 13, 17)
WATCHED = ("src/slake/campaign", "src/slake/bench", "src/slake/paste", "src/slake/ground", "benchmarks/wastes")
Suggest = Callable[[list[Mixed], int], "np.ndarray[Any, Any]"]


def checksum(wastes_seed: int) -> str:
    """Of every file that could change a result: a kept result is used only under the same one."""
    sums = hashlib.sha256(Path(__file__).read_bytes() + str(wastes_seed).encode())
    for folder in WATCHED:
        for file in sorted((ROOT / folder).rglob("*")):
            if file.suffix in {".py", ".toml"}:
                sums.update(file.read_bytes())
    return sums.hexdigest()[:10]


def campaign(waste: Waste, suggest: Suggest, seed: int) -> dict[str, Any]:
    """Mix what is suggested until the truth of a recipe holds every line, at most MOST batches."""
    rng = np.random.default_rng([seed, waste.number, 11])
    lines: list[Mixed] = []
    recipes = []
    for count in range(1, MOST + 1):
        recipe = suggest(lines, seed)
        recipes.append([round(float(x), 5) for x in recipe])
        true = truth(waste, recipe[None, :])
        if inside(waste, recipe) and meets(true, waste.brief)[0]:
            return {"batches": count, "recipes": recipes, "outcomes": [m.outcome for m in lines]}
        lines.append(mix(waste, recipe, rng))
    broken = [broken_lines(waste, np.array(r)) for r in recipes]
    return {"batches": MISS, "recipes": recipes, "outcomes": [m.outcome for m in lines], "broken": broken}


def inside(waste: Waste, recipe: np.ndarray[Any, Any]) -> bool:
    limits = np.array([waste.bounds[n] for n in waste.names])
    within = (recipe >= limits[:, 0] - 1e-3) & (recipe <= limits[:, 1] + 1e-3)
    return bool(within.all() and abs(recipe.sum() - 1.0) <= 0.005)


def broken_lines(waste: Waste, recipe: np.ndarray[Any, Any]) -> list[str]:
    """Which lines the truth of one recipe breaks."""
    true = truth(waste, recipe[None, :])
    lines = [n for n, window in waste.brief.items() if not meets(true, {n: window})[0]]
    return lines if inside(waste, recipe) else [*lines, "out of bounds"]


def at_random(waste: Waste, lines: list[Mixed], seed: int) -> np.ndarray[Any, Any]:
    """The peer: any recipe inside the bounds, each as likely as the next."""
    return random_recipes(waste, np.random.default_rng([seed, waste.number, len(lines), 3]), 1)[0]


def open_book(waste: Waste, lines: list[Mixed]) -> Notebook:
    powders = {f.key: f.kitchen_name for f in waste.fillers} | {g.key: g.kitchen_name for g in waste.gums}
    roles = {f.key: "filler" for f in waste.fillers} | {g.key: g.role for g in waste.gums}
    lots = {k: Lot(name, moisture=waste.told_moisture[k], role=roles[k]) for k, name in powders.items()}
    book = Notebook(lots=lots, brief=dict(waste.brief), bounds=dict(waste.bounds))
    for line in lines:
        write(book, line)
    return book


def write(book: Notebook, line: Mixed) -> None:
    told = dict(line.fractions)
    told["water"] += 1.0 - sum(told.values())
    book.add(told, outcome=line.outcome, readings=dict(line.readings), reached_cap=line.reached_cap)


def from_notebook(waste: Waste, lines: list[Mixed], seed: int) -> np.ndarray[Any, Any]:
    proposal = open_book(waste, lines).propose(seed=seed)
    return np.array([proposal.fractions[n] for n in waste.names], dtype=float)


def a_failure_moves_it(waste: Waste, seed: int) -> dict[str, Any]:
    """Six random batches, then the proposal mixed and failed: does the next proposal differ, and from success?"""
    rng = np.random.default_rng([seed, waste.number, 13])
    lines = [mix(waste, at_random(waste, [None] * i, seed), rng) for i in range(6)]  # type: ignore[list-item]
    before = from_notebook(waste, lines, seed)
    again = from_notebook(waste, lines, seed)
    failed = mix(waste, before, rng)
    words = failed.outcome if not failed.outcome.startswith("good") else "stalled"
    bad = Mixed(fractions=failed.fractions, outcome=words, readings={}, reached_cap=False)
    good = Mixed(fractions=failed.fractions, outcome="good", readings={}, reached_cap=False)
    after_bad = from_notebook(waste, [*lines, bad], seed)
    after_good = from_notebook(waste, [*lines, good], seed)
    width = np.array([waste.bounds[n][1] - waste.bounds[n][0] for n in waste.names])
    return {
        "outcome": words,
        "repeats": float(np.max(np.abs(again - before) / width)),
        "moved": float(np.max(np.abs(after_bad - before) / width)),
        "unlike_good": float(np.max(np.abs(after_bad - after_good) / width)),
    }


def one_waste(waste: Waste, seed: int, own: int, mark: str, fresh: bool) -> dict[str, Any]:
    """Both peers on one waste, from the kept result when the code is the same."""
    kept = RESULTS / f"waste-{waste.number:02d}-seed-{seed}-x{own}-{mark}.json"
    if kept.exists() and not fresh:
        return dict(json.loads(kept.read_text()))
    begin = time.perf_counter()
    chance = [campaign(waste, partial(at_random, waste), 1000 * seed + s)["batches"] for s in range(RANDOM_CAMPAIGNS)]
    books = [campaign(waste, partial(from_notebook, waste), 1000 * seed + s) for s in range(own)]
    result = {
        "number": waste.number, "kind": waste.kind, "family": waste.family, "parts": len(waste.names),
        "share": feasible_share(waste, np.random.default_rng([seed, waste.number, 5])),
        "random": chance, "slake": books, "failure": a_failure_moves_it(waste, seed),
        "seconds": time.perf_counter() - begin, "version": slake.__version__, "seed": seed,
    }  # fmt: skip
    RESULTS.mkdir(parents=True, exist_ok=True)
    kept.write_text(json.dumps(result))
    return result


def quarters(batches: Any) -> str:
    return "/".join(f"{q:g}" for q in np.quantile(batches, [0.25, 0.5, 0.75]))


def line_of(r: dict[str, Any]) -> str:
    """One waste: batches of each campaign, and which lines the last ten recipes of a miss broke."""
    missed = [book["broken"][-10:] for book in r["slake"] if "broken" in book]
    broken = Counter(n for last in missed for lines in last for n in lines)
    tries = 10 * max(1, len(missed))
    why = "  missed by " + ", ".join(f"{n} {100 * c / tries:.0f} %" for n, c in broken.most_common()) if broken else ""
    ours = [book["batches"] for book in r["slake"]]
    moved = f"{r['failure']['moved']:.2f} {r['failure']['unlike_good']:.2f}"
    return (
        f"{r['number']:>3} {r['kind']:<13}{r['family']:<7}{r['parts']:>2} {100 * r['share']:>6.2f} %"
        f"  {' '.join(f'{n:>2}' for n in ours)} {np.mean(ours):>6.1f}{quarters(r['random']):>12}"
        f"{np.mean(r['random']):>6.1f}   {moved}{why}"
    )


def summary(results: list[dict[str, Any]]) -> list[str]:
    ours = np.array([[book["batches"] for book in r["slake"]] for r in results])
    theirs = np.array([r["random"] for r in results])
    failure = [r["failure"] for r in results]
    moved, unlike = (100 * np.mean([f[k] > 0.01 for f in failure]) for k in ("moved", "unlike_good"))
    same = 100 * np.mean([f["repeats"] < 1e-9 for f in failure])
    sooner = int((ours.mean(axis=1) < theirs.mean(axis=1)).sum())
    return [
        f"batches, quartiles over all campaigns: slake {quarters(ours)}; random {quarters(theirs)}",
        f"mean batches (a miss counts {MISS}): slake {ours.mean():.1f}, random {theirs.mean():.1f}",
        f"misses: slake {100 * np.mean(ours == MISS):.0f} %, random {100 * np.mean(theirs == MISS):.0f} % of campaigns",
        f"ratio of medians {np.median(ours) / np.median(theirs):.2f}, of means {ours.mean() / theirs.mean():.2f}"
        " (goal: at most 0.60)",
        f"slake sooner in the mean on {sooner} of {len(ours)} wastes",
        f"one failure moves the proposal by over 1 % of a bound: {moved:.0f} % of wastes;"
        f" otherwise than a success would: {unlike:.0f} %; same book, same proposal: {same:.0f} %",
    ]


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    ask.add_argument("--quick", action="store_true", help=f"only wastes {', '.join(map(str, QUICK))}")
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--campaigns", type=int, default=1, help="campaigns of slake on each waste")
    ask.add_argument("--wastes", type=int, default=2026, help="seed of the wastes: another number, wastes never seen")
    ask.add_argument("--jobs", type=int, default=2)
    ask.add_argument("--fresh", action="store_true", help="ignore kept results")
    said = ask.parse_args()
    mark = checksum(said.wastes)
    wastes = [w for w in twenty_wastes(said.wastes) if not said.quick or w.number in QUICK]
    print("command: python -m benchmarks.proposals", *sys.argv[1:])
    print(
        f"slake {slake.__version__}, code {mark}, seed {said.seed}, {len(wastes)} wastes of {said.wastes} v{VERSION},"
    )
    print(f"{said.campaigns} slake and {RANDOM_CAMPAIGNS} random campaigns a waste, at most {MOST} batches each,")
    print("judged on the noise-free truth at 60 min. Columns: waste, family, parts, share of recipes that pass |")
    print("slake: each campaign, mean | random: quartiles, mean | moved by a failure, against a success (of a bound)")
    with ProcessPoolExecutor(said.jobs) as pool:
        work = partial(one_waste, seed=said.seed, own=said.campaigns, mark=mark, fresh=said.fresh)
        results = []
        for result in pool.map(work, wastes):
            results.append(result)
            print(line_of(result), flush=True)
    print("\n".join(summary(results)))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
