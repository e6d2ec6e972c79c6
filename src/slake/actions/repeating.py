"""How well this bench repeats each of its tests, from the batches mixed last. Reads only."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slake.bench.declaration import About, BenchTest
from slake.bench.repeatability import LEAST_PAIRS, Repeatability
from slake.bench.shelf import all_tests
from slake.ground.evidence import Z80, Range
from slake.ground.units import from_si

from .readings_told import lately_repeated


@dataclass(frozen=True, kw_only=True)
class Repeated:
    """One test with what its repeats showed. All scatters are of one reading, in `unit`: "%" of the value, or the
    unit of the test. `off_by`: what a reading is off by 8 times in 10; `alike`: two that differ by less say the same.
    """

    test: BenchTest
    repeats: int
    unit: str
    found: Range
    declared: float
    used: float
    moved: bool

    @property
    def off_by(self) -> float:
        return Z80 * self.used

    @property
    def alike(self) -> float:
        return math.sqrt(2) * self.off_by

    @property
    def still_needed(self) -> int:
        return max(LEAST_PAIRS - self.repeats, 0)


def repeated() -> tuple[Repeated, ...]:
    """Every test of a batch that was read again lately, the most repeated first."""
    tests = {test.notebook_name: test for test in all_tests().values() if test.read_of(About.BATCH.value)}
    own = lately_repeated([test.id for test in tests.values()])
    found = [_of(tests[name], one) for name, one in own.items() if name in tests]
    return tuple(sorted(found, key=lambda one: (-one.repeats, one.test.title)))


def _of(test: BenchTest, own: Repeatability) -> Repeated:
    def said(scatter: float) -> float:
        return from_si(scatter, "%") if own.by_factors else scatter

    return Repeated(
        test=test,
        repeats=own.repeats,
        unit="%" if own.by_factors else test.notebook_unit,
        found=Range(low=said(own.sd.low), mid=said(own.sd.mid), high=said(own.sd.high)),
        declared=said(own.declared),
        used=said(own.used),
        moved=own.moved,
    )
