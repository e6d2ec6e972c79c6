"""Which property a named reading looks at. A declared bench test speaks for itself (its own inverse and forward);
names that are plain numbers of a property (ram_force_n, strength_mpa, ...) keep only the scatter of their test.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slake.bench.declaration import About, BenchTest, Choice, Context, Raw
from slake.bench.shelf import all_tests, test_of_reading
from slake.ground.evidence import Evidence, Kind
from slake.ground.problems import Problem

from .by_factors import by_factors
from .channel import Channel
from .gauge import PLAIN, Bounds, Gauge, Plain, bounded_exp, grade_gauge, plain_gauge
from .priors import (
    CRACKS,
    DENSITY,
    LAYERS,
    RAM_FORCE,
    SHRINKAGE,
    SPRING_BACK,
    STRENGTH,
    YIELD_STRESS,
    unfamiliar,
)

CALIBRATED_SD_MOST = 0.5
MANY_VALUES = 40
LEAST_SHARE = 0.02
"""Of a usual value: a reading of nothing, kept by factors, says no less than “under this”."""
WIDEST_SOFT = 3.0
BETWEEN_ENDS = (0.03, 0.1, 0.3, 0.01, 0.5, 0.7)
OverRecipes = tuple[NDArray[np.float64], NDArray[np.float64]]
"""(n, q) shares of recipes and (n,) what was read of them."""
Instrument = Mapping[str, str]
"""What a reading was taken with, as typed: input name -> text, such as {"mould": "concrete_cone"}."""


def gauge(name: str, usual: Usual | None = None, instrument: Instrument | None = None) -> Gauge:
    """The gauge of a reading's name; `usual` is how it usually reads, for a property slake has no expectation for.

    Raises Problem for a name that is neither declared nor plain.
    """
    if name == "crack_grade":
        return grade_gauge()
    test = test_of_reading(name)
    if name in PLAIN:
        return plain_gauge(name, _with_declared_scatter(PLAIN[name], test))
    if test is None or not test.read_of(About.BATCH.value):
        raise Problem(f"there is no reading of a batch called “{name[:40]}”: use one of {', '.join(known_names())}")
    return _declared_gauge(test, usual or Usual(), instrument or {})


def fitting(
    name: str, values: Sequence[float], instrument: Instrument | None = None, mixed: OverRecipes | None = None
) -> Gauge:
    """The gauge all these values can come from: as stated, else typical, else the first choice of the test that fits
    (a slump of 180 mm was not read with a 50 mm cylinder); what takes the least and the most takes all. `mixed` may
    say whether such readings move by factors. Raises the Problem of the typical one where none fits.
    """
    usual, test = usual_of(values), test_of_reading(name)
    said = by_factors(*mixed) if mixed else None
    usual = usual if said is None else replace(usual, by_factors=said)
    tries: list[Instrument] = [instrument or {}]
    if test is not None and not instrument:
        tries += [{c.name: word} for c in test.inputs if isinstance(c, Choice) for word in c.words]
    first: Problem | None = None
    ends = dict.fromkeys((min(values), max(values), values[-1])) if values else ()
    for choice in tries:
        try:
            found = gauge(name, usual, choice)
            for value in ends:
                found.latent(found.checked(value))
            return found
        except Problem as problem:
            first = first or problem
    raise first or Problem(f"the reading {name} cannot be read: leave it out")


@dataclass(frozen=True, kw_only=True)
class Usual:
    """How a reading usually reads: its middle and spread, and whether by factors; None while nothing says so."""

    middle: float | None = None
    spread: float = 0.0
    by_factors: bool | None = None


def usual_of(values: Sequence[float]) -> Usual:
    """Of the values so far. With many of them: by factors where a normal of their logarithms is likelier."""
    if not values:
        return Usual()
    by_factors = None
    least, most = min(values), max(values)
    if len(values) >= MANY_VALUES and least > 0:
        inner = np.array([v for v in values if least < v < most])
        if len(inner) >= MANY_VALUES / 2:
            by_factors = bool(np.log(inner.std()) > np.log(np.log(inner).std()) + np.log(inner).mean())
    return Usual(middle=sum(values) / len(values), spread=float(np.std(values)), by_factors=by_factors)


def finite(values: Iterable[object]) -> list[float]:
    """The finite numbers among some values."""
    return [float(v) for v in values if isinstance(v, int | float) and math.isfinite(v)]


def _with_declared_scatter(plain: Plain, test: BenchTest | None) -> Plain:
    if test is None:
        return plain
    return replace(plain, share_sd=test.scatter_share, absolute_sd=max(test.scatter_absolute, 1e-3), high=test.ceiling)


def known_names() -> tuple[str, ...]:
    declared = [t.notebook_name for t in all_tests().values() if t.read_of(About.BATCH.value)]
    return tuple(dict.fromkeys((*declared, "crack_grade", *PLAIN)))


def _declared_gauge(test: BenchTest, usual: Usual, instrument: Instrument) -> Gauge:
    """Reads through the test's own inverse. Its shared errors together become one calibration weight."""
    typical, example_raw, example = _example(test, usual, instrument)
    context = Context(instrument=_with_what(example_raw, test))
    middle_si = float(example.low or example.high or 1.0)
    size = abs(middle_si) * max(1.0, usual.spread / max(abs(typical), 1e-12))
    channel, factor = _channel_of(test, (middle_si, size), example.on_log and usual.by_factors is not False)

    def shared(which: str) -> Mapping[str, float]:
        return _errors_in_common(test.inverse(example_raw, replace(context, with_which=which)), channel, factor)

    def latent(value: float) -> Bounds:
        return _bounds(test.inverse(_raw(test, value, instrument), context), channel, factor, middle_si)

    return Gauge(
        name=test.notebook_name,
        words=test.brief_words or test.title,
        unit=test.notebook_unit,
        channel=channel,
        latent=latent,
        value=lambda z: test.forward((bounded_exp(z) if channel.on_log else z) / factor, context),
        low=test.floor,
        high=test.ceiling,
        shared=shared,
        falls=_falls(test, middle_si, context),
    )


def _falls(test: BenchTest, middle_si: float, context: Context) -> bool:
    """Whether the reading falls as the property rises."""
    less, more = sorted((0.5 * middle_si, 2 * middle_si))
    return test.forward(less, context) > test.forward(more, context)


def _example(test: BenchTest, usual: Usual, instrument: Instrument) -> tuple[float, Raw, Evidence]:
    """A value this test reads, what was typed for it and what it says: the usual one, else the first between its ends
    that is read at all. Raises the first Problem where none is.
    """
    top, low = min(test.ceiling, 1e6), max(test.floor, 1e-3)
    inside = usual.middle is not None and test.floor < usual.middle < top
    tries = [usual.middle] if inside and usual.middle is not None else [3 * low]
    first: Problem | None = None
    for value in (*tries, *(low + share * (top - low) for share in BETWEEN_ENDS)):
        try:
            raw = _raw(test, value, instrument)
            return value, raw, test.inverse(raw, Context(instrument=_with_what(raw, test)))
        except Problem as problem:
            first = first or problem
    raise first or Problem(f"{test.title} cannot be read: leave it out")


def _bounds(found: Evidence, channel: Channel, factor: float, middle_si: float) -> Bounds:
    """Evidence on the channel's own scale; of nothing at all, kept by factors, no more than “under a little”."""
    least = LEAST_SHARE * abs(middle_si) if channel.on_log and found.kind is Kind.BELOW else -math.inf
    low = -math.inf if found.low is None else _scaled(found.low * factor, channel)
    high = math.inf if found.high is None else _scaled(max(found.high, least) * factor, channel)
    return low, high, max(_turned(found, channel, factor), 1e-3)


def _turned(found: Evidence, channel: Channel, factor: float) -> float:
    """The scatter of a reading on the channel's own scale."""
    size = max(abs(found.low or found.high or 1.0), 1e-9)
    return _turned_sd(found.scatter, (found.on_log, size), channel, factor)


def _turned_sd(sd: float, scale: tuple[bool, float], channel: Channel, factor: float) -> float:
    """`scale`: whether `sd` is of the logarithm, and the value (SI) it is of."""
    on_log, size = scale
    if channel.on_log:
        return sd if on_log else min(sd / size, WIDEST_SOFT)
    return sd * factor * (size if on_log else 1.0)


def _raw(test: BenchTest, value: float, instrument: Instrument) -> Raw:
    if not instrument:
        return test.quick(value)
    return test.read({**instrument, test.notebook_name: repr(float(value))})


def _with_what(raw: Raw, test: BenchTest) -> dict[str, float | str]:
    found: dict[str, float | str] = {**raw.numbers}
    found.update(raw.words)
    found.pop(test.notebook_name, None)
    return found


def _errors_in_common(found: Evidence, channel: Channel, factor: float) -> Mapping[str, float]:
    """On the channel's own scale, together at most CALIBRATED_SD_MOST."""
    size = max(abs(found.low or found.high or 1.0), 1e-9)
    turned = {key: _turned_sd(sd, (found.on_log, size), channel, factor) for key, sd in found.shared.items() if sd > 0}
    total = math.sqrt(sum(sd**2 for sd in turned.values()))
    cut = min(1.0, CALIBRATED_SD_MOST / total) if total > 0 else 1.0
    return {key: sd * cut for key, sd in turned.items()}


def _scaled(value: float, channel: Channel) -> float:
    return math.log(max(value, 1e-12)) if channel.on_log else value


INFORMS: dict[str, tuple[Channel, float]] = {
    "yield_stress_pa": (YIELD_STRESS, 1.0),
    "ram_force_n": (RAM_FORCE, 1.0),
    "layers_stood": (LAYERS, 1.0),
    "linear_shrinkage": (SHRINKAGE, 100.0),
    "spring_back": (SPRING_BACK, 100.0),
    "bend_strength_pa": (STRENGTH, 1e-6),
    "density_kg_m3": (DENSITY, 1e-3),
    "crack_grade": (CRACKS, 1.0),
}
"""Properties a declared test may inform that slake has expectations for, with the factor from SI to the channel."""


def _channel_of(test: BenchTest, centre: tuple[float, float], on_log: bool) -> tuple[Channel, float]:
    """The channel, with the factor from SI to it. `centre`: (middle, size), SI, of what slake does not expect; where
    that is not kept by factors it is kept as a share of its size.
    """
    if test.informs in INFORMS:
        return INFORMS[test.informs]
    middle, size = centre
    factor = 1.0 if on_log else 1.0 / max(size, 1e-12)
    kept = math.log(max(middle, 1e-12)) if on_log else middle * factor
    return unfamiliar(test.informs, "", kept, on_log=on_log), factor
