"""Batches as mixed, and what each says: readings and outcomes turned into looks with their likelihoods."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from slake.bench.comparing import Ends

from .brief import Brief
from .ep import Sites
from .gauge import Bounds, Gauge, grade_latent
from .layout import Look
from .outcomes import Ending, Outcome
from .priors import CLOGGING, CRACKS, LAYERS, RAM_FORCE, SHRINKAGE, SPRING_BACK, STRENGTH, YIELD_STRESS

USUAL_AGE_MIN = 60.0
INF = math.inf
PUDDLES_BELOW_PA, PUDDLES_SD_LOG = 350.0, 0.5
PRINTS_ABOVE_PA, PRINTS_SD_LOG = 400.0, 0.4
FEW_LAYERS, FEW_LAYERS_SD_LOG = 10.0, 0.5
OOZES_ABOVE_PERCENT, OOZES_SD_LOG = 1.0, 0.5
TEARS_ABOVE_PA, TEARS_SD_LOG = 1500.0, 0.5
SURE_STALL, SURE_WOULD_NOT, SURE_TORE, SURE_OOZED = 0.9, 0.6, 0.5, 0.7
FORCE_SD_LOG = 0.1
SAID_CRACKED_SD = 0.2
HELD_SD = 0.03
DRIED = (SHRINKAGE.name, CRACKS.name, STRENGTH.name)
"""Read days later, but of the paste as it was when printed."""


@dataclass(frozen=True, kw_only=True)
class Seen:
    """One reading: its value, minutes since first water and name of the instrument, where stated. `ends`: where it is
    no one number, the values it lies between: a push that stalled lies above its own.
    """

    gauge: Gauge
    value: float
    minutes: float | None = None
    ends: Ends | None = None
    with_which: str = ""

    @property
    def log_age(self) -> float:
        return math.log(max(self.minutes, 1.0) / USUAL_AGE_MIN) if self.minutes is not None else 0.0

    def bounds(self) -> Bounds:
        """What it says on the latent of its property; a grade has its own steps and keeps them."""
        low, high, soft = self.gauge.latent(self.value)
        if self.ends is None or self.gauge.half_step:
            return low, high, soft
        return (*self.gauge.window(self.ends.low, self.ends.high), soft)


@dataclass(frozen=True, kw_only=True)
class Mixed:
    """One batch: fractions as received (water last), how it ended, what was read, with which lots and machine."""

    fractions: tuple[float, ...]
    outcome: Outcome
    readings: tuple[Seen, ...] = ()
    lots: tuple[str, ...] = ()
    machine: str = ""
    extra: Mapping[str, str] = field(default_factory=dict)
    held: bool = False
    """Whether the person goes by it: a known recipe, which held every line of the brief."""

    @property
    def printed_log_age(self) -> float:
        """Age at which it was printed, as far as a reading of the print says; else as usual."""
        for name in (LAYERS.name, RAM_FORCE.name, SPRING_BACK.name):
            said = [seen.log_age for seen in self.readings if seen.gauge.channel.name == name and seen.minutes]
            if said:
                return said[-1]
        return 0.0


@dataclass(frozen=True, kw_only=True)
class Site:
    look: Look
    low: float
    high: float
    soft: float
    sure: float = 1.0
    source: str = ""


def sites_of(batch: Mixed, number: int, brief: Brief) -> list[Site]:
    """Everything one batch says, in the order readings, outcome."""
    found = [_read(seen, batch, number) for seen in batch.readings]
    return found + _ended(batch, number, brief) + (_held(batch, number, brief) if batch.held else [])


def _held(batch: Mixed, number: int, brief: Brief) -> list[Site]:
    """A recipe the person goes by held every line, whatever single readings of it showed."""
    found = []
    for line in brief.lines:
        errors = _errors_of(line.gauge, batch)
        look = replace(_look(batch, number, line.gauge.channel.name), log_age=0.0, calibrations=errors)
        ends = {"low": line.latent_low, "high": line.latent_high}
        found.append(Site(look=look, **ends, soft=HELD_SD, source="known recipe"))
    return found


def _errors_of(gauge: Gauge, batch: Mixed) -> tuple[tuple[str, float], ...]:
    """Those of the instrument this batch was read with."""
    which = next((seen.with_which for seen in batch.readings if seen.gauge.name == gauge.name), "")
    return tuple(gauge.shared(which).items())


def _read(seen: Seen, batch: Mixed, number: int) -> Site:
    low, high, soft = seen.bounds()
    look = _look(batch, number, seen.gauge.channel.name, seen)
    return Site(look=look, low=low, high=high, soft=max(soft, 1e-3), source=seen.gauge.name)


def _look(batch: Mixed, number: int, channel: str, seen: Seen | None = None, *, force: bool = False) -> Look:
    return Look(
        channel=channel,
        row=number,
        batch=number,
        log_age=seen.log_age if seen and channel not in DRIED else batch.printed_log_age,
        calibrations=tuple(seen.gauge.shared(seen.with_which).items()) if seen else (),
        machine=batch.machine,
        against_force=force,
        lots=batch.lots,
    )


def _ended(batch: Mixed, number: int, brief: Brief) -> list[Site]:
    """Evidence of the words. Thresholds are soft and from common practice; nothing is read as a number."""
    said = batch.outcome
    found: list[Site] = []
    read = {seen.gauge.channel.name for seen in batch.readings}

    def add(channel: str, low: float, high: float, soft: float, **more: float) -> None:
        force = channel == "passes"
        look = _look(batch, number, RAM_FORCE.name if force else channel, force=force)
        found.append(Site(look=look, low=low, high=high, soft=soft, sure=more.get("sure", 1.0), source=said.text))

    if said.has(Ending.TOO_RUNNY, Ending.PUDDLED):
        add(YIELD_STRESS.name, -INF, math.log(PUDDLES_BELOW_PA), PUDDLES_SD_LOG)
        if LAYERS.name not in read:
            add(LAYERS.name, -INF, math.log(FEW_LAYERS), FEW_LAYERS_SD_LOG)
    _pushed(said, add)
    if said.has(Ending.TORE):
        add(YIELD_STRESS.name, math.log(TEARS_ABOVE_PA), INF, TEARS_SD_LOG, sure=SURE_TORE)
    _stood(said, read, brief, add)
    _oozed_or_cracked(said, read, add)
    return found


def _pushed(said: Outcome, add: object) -> None:
    """What words say of the force and of clogging. A stall may be a clog that had begun: it says nothing of that."""
    assert callable(add)
    blocked = said.has(Ending.STALLED, Ending.WOULD_NOT_EXTRUDE)
    if blocked:
        add("passes", 0.0, INF, FORCE_SD_LOG, sure=SURE_STALL if said.has(Ending.STALLED) else SURE_WOULD_NOT)
    elif said.ended and not said.has(Ending.CLOGGED, Ending.TORE):
        add("passes", -INF, 0.0, FORCE_SD_LOG)
    if said.has(Ending.CLOGGED):
        add(CLOGGING.name, 0.0, INF, FORCE_SD_LOG)
    elif said.has(Ending.WOULD_NOT_EXTRUDE):
        add(CLOGGING.name, 0.0, INF, FORCE_SD_LOG, sure=1 - SURE_WOULD_NOT)
    elif said.ended and not said.has(Ending.STALLED, Ending.TORE):
        add(CLOGGING.name, -INF, 0.0, FORCE_SD_LOG)


def _stood(said: Outcome, read: set[str], brief: Brief, add: object) -> None:
    assert callable(add)
    if said.fell_at is not None and LAYERS.name not in read:
        low = math.log(said.fell_at - 1) if said.fell_at > 1 else -INF
        add(LAYERS.name, low, math.log(said.fell_at), 0.05)
    if said.has(Ending.GOOD, Ending.PRINTED_WELL):
        add(YIELD_STRESS.name, math.log(PRINTS_ABOVE_PA), INF, PRINTS_SD_LOG)
        target = brief.line("layers_stood")
        if target and target.low and LAYERS.name not in read and not said.fell_at:
            add(LAYERS.name, math.log(target.low), INF, 0.2)


def _oozed_or_cracked(said: Outcome, read: set[str], add: object) -> None:
    assert callable(add)
    if said.has(Ending.KEPT_OOZING) and SPRING_BACK.name not in read:
        add(SPRING_BACK.name, math.log(OOZES_ABOVE_PERCENT), INF, OOZES_SD_LOG, sure=SURE_OOZED)
    if CRACKS.name in read:
        return
    if said.has(Ending.CRACKED):
        add(CRACKS.name, grade_latent(1.5), INF, SAID_CRACKED_SD)
    elif said.came_out_well:
        add(CRACKS.name, -INF, grade_latent(1.5), SAID_CRACKED_SD)


def as_sites(found: list[Site]) -> Sites:
    return Sites(
        low=np.array([s.low for s in found]),
        high=np.array([s.high for s in found]),
        soft=np.array([s.soft for s in found]),
        sure=np.array([s.sure for s in found]),
    )
