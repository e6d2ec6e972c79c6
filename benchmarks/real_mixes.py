"""Real mixes of another trade, left out and foretold: do the 80 % ranges hold what was read?

python -m benchmarks.real_mixes

The open slump-test table (tests/references/yeh2007.csv): 103 mixes of seven ingredients with slump, flow and 28-day
strength. Five splits of fixed seeds, 26 mixes left out of each. A reading at the end of its scale (a slump under 50 or
over 250 mm, a flow of 20 cm: the cone's own base) is compared as that end, for it says no more.
"""

from __future__ import annotations

import csv
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from slake.bench.own import OwnReading, declared
from slake.bench.shelf import lend
from slake.campaign import Lot, Notebook
from slake.campaign.belief import forecast
from slake.campaign.layout import table
from slake.campaign.proposal import predicted
from slake.ground.evidence import Z80

Array = NDArray[np.float64]
TABLE = Path(__file__).parents[1] / "tests" / "references" / "yeh2007.csv"
PARTS = ("cement", "slag", "fly ash", "water", "superplasticizer", "coarse aggregate", "fine aggregate")
ROLES = dict.fromkeys(PARTS, "filler") | {"superplasticizer": "additive"}
OWN = (
    OwnReading(key="flow_cm", title="Flow", unit="cm", floor=20.0, ceiling=100.0),
    OwnReading(key="strength_28d_mpa", title="Strength at 28 days", unit="MPa", floor=0.0, ceiling=200.0),
)
COLUMNS = {
    "slump_mm": ("slump (cm)", 10.0),
    "flow_cm": ("flow (cm)", 1.0),
    "strength_28d_mpa": ("28-day strength (MPa)", 1.0),
}
ENDS = {"slump_mm": (50.0, 250.0), "flow_cm": (20.0, 100.0), "strength_28d_mpa": (0.0, 200.0)}
BRIEF = {"slump_mm": (100, 200), "flow_cm": (40, 60), "strength_28d_mpa": (35, None)}
SPLITS, LEFT_OUT = 5, 26
MISSED = 2 / 0.2
"""What a value outside an 80 % range costs per unit of distance, beside the width (the usual interval score)."""


@contextmanager
def own_readings() -> Iterator[None]:
    """Flow and 28-day strength stand as a lab declares them: as data."""
    lend(lambda: {own.key: declared(own) for own in OWN})
    try:
        yield
    finally:
        lend(None)


def mixes() -> list[dict[str, float]]:
    with TABLE.open(encoding="utf-8", newline="") as file:
        return [{name: float(text) for name, text in row.items()} for row in csv.DictReader(file)]


def fractions(mix: dict[str, float]) -> dict[str, float]:
    kg = {part: mix[f"{part} (kg/m3)"] for part in PARTS}
    return {part: value / sum(kg.values()) for part, value in kg.items()}


def readings(mix: dict[str, float]) -> dict[str, float]:
    return {name: times * mix[column] for name, (column, times) in COLUMNS.items()}


def told(rows: list[dict[str, float]]) -> Notebook:
    book = Notebook(
        lots={part: Lot(part, moisture=(0.0, 0.0), role=role) for part, role in ROLES.items() if part != "water"},
        brief=BRIEF,
        instruments={"slump_mm": {"mould": "concrete_cone"}},
    )
    for mix in rows:
        book.add(fractions(mix), readings=readings(mix))
    return book


def splits() -> Iterator[tuple[NDArray[np.intp], NDArray[np.intp]]]:
    """(kept, left out) row numbers of each split."""
    for seed in range(SPLITS):
        order = np.random.default_rng(seed).permutation(len(mixes()))
        yield np.sort(order[LEFT_OUT:]), np.sort(order[:LEFT_OUT])


@dataclass(frozen=True, kw_only=True)
class Foretold:
    """Of one reading in one split: what was read, and the 80 % ranges (n, 2) of each peer."""

    name: str
    read: Array
    ranges: dict[str, Array]


def foretold() -> list[Foretold]:
    """Every reading of every split, by slake and its two peers."""
    found, rows = [], mixes()
    for kept, left in splits():
        some, rest = [rows[i] for i in kept], [rows[i] for i in left]
        slake = ranges_of_slake(some, rest)
        for name, ends in ENDS.items():
            known, read = (np.clip([readings(mix)[name] for mix in these], *ends) for these in (some, rest))
            peers = {
                "slake": slake[name],
                "constant": np.tile(np.quantile(known, [0.1, 0.9]), (len(read), 1)),
                "linear": ranges_of_a_line(some, known, rest),
            }
            cut = {peer: np.clip(ranges, *ends) for peer, ranges in peers.items()}
            found.append(Foretold(name=name, read=read, ranges=cut))
    return found


def ranges_of_slake(some: list[dict[str, float]], rest: list[dict[str, float]]) -> dict[str, Array]:
    book = told(some)
    belief = book.belief()
    recipes = np.array([[fractions(mix)[key] for key in book.keys] for mix in rest])
    view = forecast(belief, table(belief.layout, recipes), book.aim().looks)
    spans = [predicted(book.brief, belief, view, row) for row in range(len(rest))]
    return {name: np.array([[span[name].low, span[name].high] for span in spans]) for name in ENDS}


def ranges_of_a_line(some: list[dict[str, float]], known: Array, rest: list[dict[str, float]]) -> Array:
    """Least squares on the fractions, with the scatter of what it misses."""

    def design(these: list[dict[str, float]]) -> Array:
        return np.array([[1.0, *list(fractions(mix).values())[:-1]] for mix in these])

    weights = np.linalg.lstsq(design(some), known, rcond=None)[0]
    missed = known - design(some) @ weights
    sd = float(np.sqrt((missed**2).sum() / (len(known) - len(weights))))
    middle = design(rest) @ weights
    return np.column_stack([middle - Z80 * sd, middle + Z80 * sd])


def held(read: Array, ranges: Array) -> NDArray[np.bool_]:
    return np.asarray((read >= ranges[:, 0] - 1e-9) & (read <= ranges[:, 1] + 1e-9))


def interval_score(read: Array, ranges: Array) -> float:
    """Mean width, plus ten times how far a reading lies outside: smaller is better."""
    low, high = ranges.T
    return float(np.mean(high - low + MISSED * (np.maximum(low - read, 0) + np.maximum(read - high, 0))))


def pooled(found: list[Foretold], name: str, peer: str) -> tuple[float, float]:
    """Share of the readings held, and mean interval score, over all splits."""
    mine = [one for one in found if one.name == name]
    read, ranges = np.concatenate([one.read for one in mine]), np.concatenate([one.ranges[peer] for one in mine])
    return float(held(read, ranges).mean()), interval_score(read, ranges)


def main() -> None:
    threads = os.environ.get("OPENBLAS_NUM_THREADS", "all")
    print(f"python -m benchmarks.real_mixes, Python {sys.version.split()[0]}, BLAS threads: {threads}")
    with own_readings():
        found = foretold()
        print(f"{SPLITS} splits, {LEFT_OUT} mixes left out of each; held in the 80 % range / interval score")
        for name in ENDS:
            peers = "   ".join(
                f"{peer} {100 * share:.0f} % / {score:.4g}"
                for peer in ("slake", "constant", "linear")
                for share, score in [pooled(found, name, peer)]
            )
            each = [100 * held(one.read, one.ranges["slake"]).mean() for one in found if one.name == name]
            print(f"{name:18s} {peers}   slake by split: {', '.join(f'{share:.0f}' for share in each)} %")
        _next_mix()


def _next_mix() -> None:
    start = time.perf_counter()
    book = told(mixes())
    book.belief()
    learned = time.perf_counter()
    proposal = book.propose(seed=1)
    print(f"all {len(book.batches)} mixes learned in {learned - start:.2f} s")
    print(f"next mix proposed in {time.perf_counter() - learned:.2f} s: {proposal.why[0]}")
    print({key: round(value, 4) for key, value in proposal.fractions.items()})
    for name, span in proposal.predictions.items():
        print(f"  {name}: {span.mid:.3g} ({span.low:.3g} to {span.high:.3g}), brief {BRIEF[name]}")


if __name__ == "__main__":
    main()
