"""How a bench test is declared. Knows no HTML, command line, Django or sampler.

A test is one file in this folder (or in a folder of the lab's own, SLAKE_BENCH_TESTS) that sets TEST = BenchTest(...).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum

from slake.ground.evidence import Evidence
from slake.ground.numbers import Limits, is_open, read_number, read_optional
from slake.ground.problems import DoesNotFit, NotANumber, OutsideRange, Problem, as_typed, plain
from slake.ground.units import from_si, to_si


@dataclass(frozen=True, kw_only=True)
class Scalar:
    """One number to type, in the unit of the bench. `typical` stands in when it may be left open.

    open_means: what an empty answer means, where the typical value does not say it ("not read").
    further: asked under “more”, off the first sight.
    """

    name: str
    label: str
    unit: str
    low: float
    high: float
    typical: float | None = None
    whole: bool = False
    help: str = ""
    mend: str = "read it again, or choose the test that fits"
    open_means: str = ""
    further: bool = False

    def limits(self) -> Limits:
        return Limits(low=self.low, high=self.high, unit=self.unit, do=self.mend)

    def read(self, typed: str) -> float:
        """SI value of what was typed; an empty answer takes the typical value where there is one."""
        if self.typical is not None:
            value = read_optional(typed, self.label, self.limits())
            return self.take(self.typical if value is None else value)
        return self.take(read_number(typed, self.label, self.limits()))

    def take(self, value: float) -> float:
        """SI value of a number that is one already, within the same limits."""
        value = read_number(value, self.label, self.limits())
        if self.whole and value != int(value):
            raise NotANumber(self.label, typed=plain(value), do="type a whole number")
        return to_si(value, self.unit)

    def typical_si(self) -> float:
        """The typical value in SI. Raises Problem where the test has none."""
        if self.typical is None:
            raise NotANumber(self.label, typed="", do="type a number: this one has no typical value")
        return to_si(self.typical, self.unit)


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One of a few words. `typical`, one of the keys, stands in when it may be left open."""

    name: str
    label: str
    words: Mapping[str, str]
    typical: str | None = None
    help: str = ""
    further: bool = False

    def read(self, typed: str) -> str:
        if self.typical is not None and is_open(typed):
            return self.typical
        wanted = typed.strip().casefold()
        for key, word in self.words.items():
            if wanted in {key.casefold(), word.casefold()}:
                return key
        raise Problem(f"{self.label} is “{as_typed(typed)}”: choose one of {', '.join(self.words.values())}")


Input = Scalar | Choice


@dataclass(frozen=True, kw_only=True)
class Rows:
    """The one repeated row of a test: a series in time, or specimens."""

    name: str
    label: str
    columns: tuple[Scalar, ...]
    at_least: int
    at_most: int


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
    reads_well: the headline values (bench unit) between which the test is trusted most, None where all are alike.
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
    says: Callable[[Raw, Context], Sequence[str]] | None = None
    scatter_absolute: float
    scatter_share: float
    validity: str
    sources: tuple[str, ...]
    cautions: tuple[str, ...] = ()
    minutes: float = 1.0

    def read(self, typed: Mapping[str, str], row_texts: Sequence[Mapping[str, str]] = ()) -> Raw:
        """Turn typed texts into a Raw reading. Raises Problem subclasses, one sentence each."""
        numbers: dict[str, float] = {}
        words: dict[str, str] = {}
        for item in self.inputs:
            text = str(typed.get(item.name, ""))
            if isinstance(item, Choice):
                words[item.name] = item.read(text)
            else:
                numbers[item.name] = item.read(text)
        kept = [dict(row) for row in row_texts if any(str(v).strip() for v in row.values())]
        raw = Raw(numbers=numbers, words=words, rows=self._read_rows(kept), typed={**typed, "rows": kept})
        self._require_in_range(self.headline(raw).value)
        return raw

    def _require_in_range(self, bench: float) -> None:
        """Numbers that are each allowed may still give a headline no paste has."""
        slack = 1e-9 * max(1.0, abs(bench))
        if not self.floor - slack <= bench <= self.ceiling + slack:
            what = f"{self.title}: {self.brief_words} ({self.notebook_unit})"
            do = "check each number and its unit"
            raise OutsideRange(what, got=bench, low=self.floor, high=self.ceiling, do=do)

    def _read_rows(self, rows: Sequence[Mapping[str, str]]) -> tuple[Mapping[str, float], ...]:
        if self.rows is None:
            return ()
        if not self.rows.at_least <= len(rows) <= self.rows.at_most:
            raise DoesNotFit(
                f"{self.rows.label}: {len(rows)} filled in, but this test takes from {self.rows.at_least} "
                f"to {self.rows.at_most}: fill in the missing ones, or keep the rest for a second reading"
            )
        return tuple({c.name: c.read(str(row.get(c.name, ""))) for c in self.rows.columns} for row in rows)

    def bench_value(self, raw: Raw) -> float:
        return self.headline(raw).value

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
