"""Which property a named reading looks at, and how its value turns into what the belief keeps (and back).

A declared bench test speaks for itself (its own inverse and forward); names that are plain numbers of a property
(ram_force_n, strength_mpa, ...) are listed here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from slake.bench.declaration import About, BenchTest, Choice, Context, Raw
from slake.bench.shelf import all_tests, test_of_reading
from slake.ground.numbers import Limits, read_number
from slake.ground.problems import Problem

from .priors import (
    BLEED,
    CRACKS,
    DENSITY,
    LAYERS,
    RAM_FORCE,
    SHRINKAGE,
    SPRING_BACK,
    STRENGTH,
    YIELD_STRESS,
    Channel,
    unfamiliar,
)

Bounds = tuple[float, float, float]
"""Low, high (latent scale, +-inf when open) and sd of the reading or threshold."""
CALIBRATED_SD_MOST = 0.5


@dataclass(frozen=True, kw_only=True)
class Gauge:
    """One named reading. `latent` reads a value as bounds on the channel's latent; `value` turns a latent back.

    half_step: half the step of a graded reading. falls: whether the reading falls as the property rises (a cone sinks
    less into a stiffer paste).
    """

    name: str
    words: str
    unit: str
    channel: Channel
    latent: Callable[[float], Bounds]
    value: Callable[[float], float]
    low: float
    high: float
    calibration: tuple[str, float] | None = None
    half_step: float = 0.0
    falls: bool = False

    def checked(self, typed: float | str) -> float:
        limits = Limits(low=self.low, high=self.high, unit=self.unit, do="read it again, or leave it out")
        return read_number(typed, f"the reading {self.name}", limits)

    def window(self, low: float | None, high: float | None) -> tuple[float, float]:
        """A window in the reading's unit as bounds on the latent, whichever way the reading runs."""
        below = self._edge(low - self.half_step) if low is not None else None
        above = self._edge(high + self.half_step) if high is not None else None
        first, second = (above, below) if self.falls else (below, above)
        return (-math.inf if first is None else first, math.inf if second is None else second)

    def _edge(self, value: float) -> float:
        if self.half_step:
            return value
        low, high, _ = self.latent(value)
        if math.isinf(low):
            return high
        return low if math.isinf(high) else (low + high) / 2


@dataclass(frozen=True, kw_only=True)
class Plain:
    """A reading that is the property itself."""

    words: str
    channel: Channel
    share_sd: float
    absolute_sd: float
    low: float
    high: float


PLAIN = {
    "ram_force_n": Plain(
        words="ram force", channel=RAM_FORCE, share_sd=0.08, absolute_sd=3, low=0, high=1e5
    ),
    "springback_percent": Plain(
        words="spring-back", channel=SPRING_BACK, share_sd=0.2, absolute_sd=0.1, low=0, high=100
    ),
    "layers_stood": Plain(words="layers stood", channel=LAYERS, share_sd=0.05, absolute_sd=0.5, low=0, high=10000),
    "shrinkage_percent": Plain(
        words="line shrinkage", channel=SHRINKAGE, share_sd=0.03, absolute_sd=0.2, low=0, high=60
    ),
    "strength_mpa": Plain(words="strength", channel=STRENGTH, share_sd=0.1, absolute_sd=0.05, low=0, high=500),
    "density_g_per_ml": Plain(
        words="paste density", channel=DENSITY, share_sd=0.01, absolute_sd=0.005, low=0.2, high=6
    ),
    "bleed_g_per_100g": Plain(words="bleed", channel=BLEED, share_sd=0.15, absolute_sd=0.05, low=0, high=60),
}
CRACK_SOFT = 0.3
TOP_GRADE = 5.0


Instrument = Mapping[str, str]
"""What a reading was taken with, as typed: input name -> text, such as {"mould": "concrete_cone"}."""


def gauge(name: str, middle: float | None = None, instrument: Instrument | None = None) -> Gauge:
    """The gauge of a reading's name; `middle` is a usual value, for a property slake has no expectation for.

    Raises Problem for a name that is neither declared nor plain.
    """
    if name == "crack_grade":
        return _grade_gauge()
    test = test_of_reading(name)
    if name in PLAIN:
        return _plain_gauge(name, _with_declared_scatter(PLAIN[name], test))
    if test is None or test.about is About.LOT:
        raise Problem(f"there is no reading of a batch called “{name[:40]}”: use one of {', '.join(known_names())}")
    return _declared_gauge(test, middle, instrument or {})


def fitting(name: str, values: Sequence[float], instrument: Instrument | None = None) -> Gauge:
    """The gauge all these values can come from: as stated, else typical, else the first choice of the test that fits
    (a slump of 180 mm was not read with a 50 mm cylinder). Raises the Problem of the typical one where none fits.
    """
    middle = sum(values) / len(values) if values else None
    test = test_of_reading(name)
    tries: list[Instrument] = [instrument or {}]
    if test is not None and not instrument:
        tries += [{c.name: word} for c in test.inputs if isinstance(c, Choice) for word in c.words]
    first: Problem | None = None
    for choice in tries:
        try:
            found = gauge(name, middle, choice)
            for value in values:
                found.latent(found.checked(value))
            return found
        except Problem as problem:
            first = first or problem
    raise first or Problem(f"the reading {name} cannot be read: leave it out")


def finite(values: Iterable[object]) -> list[float]:
    """The finite numbers among some values."""
    return [float(v) for v in values if isinstance(v, int | float) and math.isfinite(v)]


def _with_declared_scatter(plain: Plain, test: BenchTest | None) -> Plain:
    if test is None:
        return plain
    return replace(plain, share_sd=test.scatter_share, absolute_sd=max(test.scatter_absolute, 1e-3), high=test.ceiling)


def known_names() -> tuple[str, ...]:
    declared = [t.notebook_name for t in all_tests().values() if t.about is not About.LOT]
    return tuple(dict.fromkeys((*declared, "crack_grade", *PLAIN)))


def _plain_gauge(name: str, plain: Plain) -> Gauge:
    def latent(value: float) -> Bounds:
        if value <= plain.absolute_sd:
            return -math.inf, math.log(max(2 * plain.absolute_sd, 1e-6)), 0.3
        sd = math.hypot(plain.share_sd, plain.absolute_sd / value)
        return math.log(value), math.log(value), sd

    return Gauge(
        name=name,
        words=plain.words,
        unit=plain.channel.unit,
        channel=plain.channel,
        latent=latent,
        value=_exp,
        low=plain.low,
        high=plain.high,
    )


def _exp(latent: float) -> float:
    return math.exp(min(max(latent, -50.0), 50.0))


def _grade_gauge() -> Gauge:
    def latent(value: float) -> Bounds:
        low = value - 0.5 if value >= 0.5 else -math.inf
        return low, value + 0.5 if value < TOP_GRADE - 0.5 else math.inf, CRACK_SOFT

    return Gauge(
        name="crack_grade",
        words="crack grade",
        unit="grade",
        channel=CRACKS,
        latent=latent,
        value=lambda z: min(max(z, 0.0), TOP_GRADE),
        low=0,
        high=TOP_GRADE,
        half_step=0.25,
    )


def _declared_gauge(test: BenchTest, middle: float | None, instrument: Instrument) -> Gauge:
    """Reads through the test's own inverse. Its shared errors together become one calibration weight."""
    top = test.ceiling if math.isfinite(test.ceiling) else 1e6
    usual = middle if middle is not None and test.floor < middle < top else max(test.floor, 1e-3) * 3
    context = Context(instrument=_with_what(_raw(test, usual, instrument), test))
    example = test.inverse(_raw(test, usual, instrument), context)
    centre = example.low if example.low is not None else example.high
    channel, factor = _channel_of(test, float(centre or 1.0), example.on_log)
    shared = math.sqrt(sum(s**2 for s in example.shared.values()))
    middle_si = float(centre or 1.0)

    def latent(value: float) -> Bounds:
        found = test.inverse(_raw(test, value, instrument), context)
        low = -math.inf if found.low is None else _scaled(found.low * factor, channel)
        high = math.inf if found.high is None else _scaled(found.high * factor, channel)
        size = 1.0 if found.on_log or not channel.on_log else max(abs(found.low or found.high or 1.0), 1e-9)
        return low, high, max(found.scatter / size, 1e-3)

    return Gauge(
        name=test.notebook_name,
        words=test.brief_words or test.title,
        unit=test.notebook_unit,
        channel=channel,
        latent=latent,
        value=lambda z: test.forward((_exp(z) if channel.on_log else z) / factor, context),
        low=test.floor,
        high=test.ceiling,
        calibration=(_calibration(test, instrument), min(shared, CALIBRATED_SD_MOST)) if shared > 0 else None,
        falls=test.forward(0.5 * middle_si, context) > test.forward(2 * middle_si, context),
    )


def _raw(test: BenchTest, value: float, instrument: Instrument) -> Raw:
    if not instrument:
        return test.quick(value)
    return test.read({**instrument, test.notebook_name: repr(float(value))})


def _with_what(raw: Raw, test: BenchTest) -> dict[str, float | str]:
    return {k: v for k, v in {**raw.numbers, **raw.words}.items() if k != test.notebook_name}


def _calibration(test: BenchTest, instrument: Instrument) -> str:
    return " ".join([test.id, *(f"{k}={v}" for k, v in sorted(instrument.items()))])


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


def _channel_of(test: BenchTest, centre: float, on_log: bool) -> tuple[Channel, float]:
    if test.informs in INFORMS:
        return INFORMS[test.informs]
    middle = math.log(max(centre, 1e-12)) if on_log else centre
    return unfamiliar(test.informs, "", middle, on_log=on_log), 1.0
