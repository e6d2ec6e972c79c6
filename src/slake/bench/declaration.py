"""How a bench test is declared. Knows no HTML, command line, Django or sampler.

A test is one file in this folder (or in a folder of the lab's own, SLAKE_BENCH_TESTS) that sets TEST = BenchTest(...).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum

from slake.ground.evidence import Evidence
from slake.ground.problems import OutsideRange
from slake.ground.units import from_si, to_si

from .inputs import Choice, Input, Rows, Scalar

__all__ = [
    "About",
    "BenchTest",
    "Choice",
    "Context",
    "Headline",
    "Input",
    "Raw",
    "Rows",
    "Scalar",
    "bench_of",
    "si_of",
]


class About(Enum):
    """What a reading is taken of."""

    LOT = "lot"
    BATCH = "batch"
    PART = "part"


@dataclass(frozen=True, kw_only=True)
class Raw:
    """One reading in SI, as read through the declaration. `typed` keeps every text as it was typed."""

    numbers: Mapping[str, float] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    rows: tuple[Mapping[str, float], ...] = ()
    typed: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Context:
    """What else a test needs to know of the thing read: typical values unless measured. SI.

    `instrument`: what `forward` shall expect the reading to be taken with, by input name, such as
    {"cone_mass_g": 0.08} (kg) or {"mould": "concrete_cone"}; what is not named takes the test's typical value.
    with_which: name of the very instrument the reading was taken with, "" where that is not known; its calibration
    error is shared by all its readings.
    air_free_kg_m3: density of the paste as worked out from what went in, without air; None where that is not known.
    moisture_wet_basis: of the lot read, for tests that weigh it as it is.
    """

    density_kg_m3: float = 1500.0
    density_sd_log: float = 0.1
    air_free_kg_m3: float | None = None
    air_free_sd_log: float = 0.0
    moisture_wet_basis: float = 0.0
    moisture_sd: float = 0.0
    layer_height_m: float = 1.2e-3
    age_s: float | None = None
    instrument: Mapping[str, float | str] = field(default_factory=dict)
    with_which: str = ""


@dataclass(frozen=True, kw_only=True)
class Headline:
    """The one number a list shows for a reading, in bench units."""

    name: str
    value: float
    unit: str
    words: str = ""


@dataclass(frozen=True, kw_only=True)
class BenchTest:
    """One cheap test, declared once.

    informs: the property in names.toml its evidence is about (SI).
    notebook_name: the name a notebook and a brief use for the headline value, e.g. cone_depth_mm.
    forward: property (SI), context -> expected headline value (bench unit).
    inverse: raw, context -> evidence. quick: headline value alone (bench unit) -> Raw, for notebook lines that
    carry only the number. rises: whether the headline rises with the property.
    also_about: what else it may be read of. says: further sentences of the answer, for what one number cannot hold.
    goes_on: for a reading taken over days, what is still to be done with it, "" when nothing is; None for a test that
    is read at once. A begun reading is kept, and continued as a new reading that carries its rows over.
    reads_well: the headline values (bench unit) between which the test is trusted most, None where all are alike.
    sample_ml: paste one reading takes, from the vessel, bar or pieces of its procedure, rounded up; 0 where no amount
    is usual or the paste is not used up.
    scatter: of one reading of the headline, in its bench unit (absolute) or as a share of it, whichever is larger.
    """

    id: str
    version: int
    title: str
    about: About
    also_about: tuple[About, ...] = ()
    procedure: tuple[str, ...]
    inputs: tuple[Input, ...]
    rows: Rows | None = None
    informs: str
    notebook_name: str
    notebook_unit: str
    brief_words: str
    floor: float = 0.0
    ceiling: float = float("inf")
    reads_well: Callable[[Raw], tuple[float, float]] | None = None
    headline: Callable[[Raw], Headline]
    inverse: Callable[[Raw, Context], Evidence]
    forward: Callable[[float, Context], float]
    quick: Callable[[float], Raw]
    goes_on: Callable[[Raw], str] | None = None
    says: Callable[[Raw, Context], Sequence[str]] | None = None
    scatter_absolute: float
    scatter_share: float
    validity: str
    sources: tuple[str, ...]
    cautions: tuple[str, ...] = ()
    sample_ml: float = 0.0
    minutes: float = 1.0

    def read(self, typed: Mapping[str, str], row_texts: Sequence[Mapping[str, str]] = ()) -> Raw:
        """Turn typed texts into a Raw reading. Raises Problem subclasses, one sentence each."""
        numbers: dict[str, float] = {}
        words: dict[str, str] = {}
        for item in self.inputs:
            text = str(typed.get(item.name, ""))
            if isinstance(item, Choice):
                words[item.name] = item.read(text)
            elif not item.waits(text):
                numbers[item.name] = item.read(text)
        kept = [dict(row) for row in row_texts if any(str(v).strip() for v in row.values())]
        rows = self.rows.read(kept) if self.rows else ()
        raw = Raw(numbers=numbers, words=words, rows=rows, typed={**typed, "rows": kept})
        if not self.says_nothing_yet(raw):
            self._require_in_range(self.headline(raw).value)
        return raw

    def _require_in_range(self, bench: float) -> None:
        """Numbers that are each allowed may still give a headline no paste has."""
        slack = 1e-9 * max(1.0, abs(bench))
        if not self.floor - slack <= bench <= self.ceiling + slack:
            what = f"{self.title}: {self.brief_words} ({self.notebook_unit})"
            do = "check each number and its unit"
            raise OutsideRange(what, got=bench, low=self.floor, high=self.ceiling, do=do)

    def bench_value(self, raw: Raw) -> float:
        return self.headline(raw).value

    def still_to_do(self, raw: Raw) -> str:
        """What a begun reading waits for, "" where it is complete."""
        return "" if self.goes_on is None else self.goes_on(raw)

    def says_nothing_yet(self, raw: Raw) -> bool:
        """Whether a begun reading has no headline of this test yet: what is shown of it is another number."""
        return self.goes_on is not None and self.headline(raw).name != self.notebook_name

    def read_of(self, kind: str) -> bool:
        """Whether it is read of a "lot" or a "batch"; what is read of a part is kept with its batch."""
        kinds = {
            About.LOT.value if about is About.LOT else About.BATCH.value for about in (self.about, *self.also_about)
        }
        return kind in kinds

    def further_sentences(self, raw: Raw, context: Context) -> tuple[str, ...]:
        return () if self.says is None else tuple(self.says(raw, context))

    def scatter(self, bench: float) -> float:
        """Standard deviation of one reading of this headline value, in its bench unit."""
        return max(self.scatter_absolute, self.scatter_share * abs(bench))


def si_of(test: BenchTest, bench: float) -> float:
    """The headline value of a test in SI."""
    return to_si(bench, test.notebook_unit)


def bench_of(test: BenchTest, si: float) -> float:
    return from_si(si, test.notebook_unit)
