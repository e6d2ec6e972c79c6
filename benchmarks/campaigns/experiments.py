"""The experiments there are: how each is run, and who takes part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from . import cold, coverage, days, new_lot, relatives, stopping
from .asking import MOVED, PEERS
from .kept import BOTH, Experiment

SLAKE = "slake"


@dataclass(frozen=True, kw_only=True)
class Trial:
    """`file`: where it is written, for its results hold while that is the same. `ours`: names slake runs under."""

    title: str
    run: Experiment
    file: str
    miss: int
    ours: tuple[str, ...] = (SLAKE,)
    peers: Sequence[str] = ()


TRIALS = {
    "cold": Trial(
        title="batches until a recipe truly meets every line", run=cold.run, file=cold.__file__, miss=cold.MISS,
        peers=PEERS,
    ),
    "priors-moved": Trial(
        title="batches until a recipe truly meets every line, every prior mean moved by one standard deviation",
        run=cold.run, file=cold.__file__, miss=cold.MISS, ours=(MOVED,), peers=PEERS,
    ),
    "calendar": Trial(
        title=f"days, {days.A_DAY} batches a day, dried readings after {days.DRY_FROM} to {days.DRY_TO} days",
        run=days.run, file=days.__file__, miss=days.MISS, ours=tuple(days.BATCHES_ASKED), peers=PEERS,
    ),
    "new-lot": Trial(
        title="batches of a new lot until the paste truly meets every line again (the known recipe does not)",
        run=new_lot.run, file=new_lot.__file__, miss=new_lot.MISS,
    ),
    "kin": Trial(
        title="fourth material of a kind, three in the records: batches until a recipe truly meets every line",
        run=relatives.run, file=relatives.__file__, miss=relatives.MISS,
    ),
    "stopping": Trial(
        title="batches until slake says good enough", run=stopping.run, file=stopping.__file__, miss=stopping.MISS
    ),
    "coverage": Trial(
        title="80 % ranges and stated chances", run=coverage.run, file=coverage.__file__, miss=coverage.MISS,
        ours=(BOTH,),
    ),
}  # fmt: skip
