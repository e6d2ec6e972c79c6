"""Water for a new lot: where its paste is as stiff as wanted, on which side to start, and what a reading there adds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Z80, Range

from .belief import Belief, forecast, held
from .brief import Line
from .gauge import Gauge
from .layout import Layout, Look, Table, spreads, table, watered
from .priors import YIELD_STRESS
from .remainder import Looks, shared

Array = NDArray[np.float64]
FARTHEST_LOG, STEPS = 0.5, 201
"""Water is looked for between e^-0.5 and e^0.5 of the recipe's."""
READ_AT = (-1.645, -Z80, -0.5, 0.0, 0.5, Z80, 1.645)
"""Which readings the table is made for: standard deviations from the likeliest one."""


@dataclass(frozen=True, kw_only=True)
class ThenAdd:
    """What the stiffness test shows at the start, and the water to add then, as a share of that weighed in first."""

    reading: float
    more_water: Range


@dataclass(frozen=True, kw_only=True)
class Watered:
    """wanted: the reading to end at. water: over the recipe's own, that ends there. start: what to weigh in first."""

    line: Line
    wanted: float
    water: Range
    start: float
    shows_at_start: Range
    then: tuple[ThenAdd, ...]


def stiffness_line(lines: tuple[Line, ...]) -> Line | None:
    """The line of the brief whose test tells stiffness alone, as a cone does."""
    return next((line for line in lines if line.gauge.channel.name == YIELD_STRESS.name), None)


def water_for(belief: Belief, line: Line, look: Look, recipe: Array) -> Watered:
    """How much water makes the paste of `recipe` (water last) as stiff as it is foretold to be, and how sure."""
    logs = np.linspace(-FARTHEST_LOG, FARTHEST_LOG, STEPS)
    joint = _Joint(belief, look, with_water(recipe, logs))
    middle = STEPS // 2
    wanted = float(joint.mean[middle])
    found = _crossing(logs, joint.mean, np.sqrt(np.diag(joint.cov)), wanted)
    start = int(np.argmin(np.abs(logs - np.log(found.low))))
    gauge = line.gauge.scattering(belief.scale.reading_of(line.gauge.channel.name))
    mean, var = float(joint.mean[start]), float(joint.cov[start, start])
    likely = [gauge.value(mean + z * float(np.sqrt(var))) for z in READ_AT]
    readings = [value for value in likely if gauge.low <= value <= gauge.high and _can_show(gauge, value)]
    rows = [_then(joint, gauge.latent(value), (logs, start), wanted) for value in readings]
    return Watered(
        line=line,
        wanted=gauge.value(wanted),
        water=found,
        start=float(np.exp(logs[start])),
        shows_at_start=gauge.range80(mean, var),
        then=tuple(ThenAdd(reading=r, more_water=m) for r, m in zip(readings, rows, strict=True)),
    )


def with_water(recipe: Array, logs: Array) -> Array:
    """(n, q) the recipe with its water times e^log, the rest of it as it was."""
    rows = np.tile(recipe, (len(logs), 1))
    rows[:, -1] *= np.exp(logs)
    return np.asarray(rows / rows.sum(1, keepdims=True))


class _Joint:
    """The stiffness of one batch at several waters, all evidence counted: the same batch, the same unknowns."""

    def __init__(self, belief: Belief, look: Look, rows: Array) -> None:
        layout, tab = belief.layout, table(belief.layout, rows)
        view = forecast(belief, tab, [look])
        self.mean = view.mean[:, 0]
        seen, cross = view.looks[:, 0], view.cross[:, 0]
        self.cov = (seen * layout.sd**2) @ seen.T + _smooth(belief, look, tab) + _own(layout, belief, look, tab)
        if belief.sites:
            self.cov = self.cov - held(belief, view.cross)[:, 0] @ cross.T


def _smooth(belief: Belief, look: Look, tab: Table) -> Array:
    smooth, _ = spreads(belief.layout, [look], belief.scale)
    rows = np.arange(len(tab.values))
    others = Looks(smooth=np.tile(smooth, (len(rows), 1)), tab=tab, rows=rows)
    return shared(belief.layout, belief.scale, smooth, tab, others)[:, 0]


def _own(layout: Layout, belief: Belief, look: Look, tab: Table) -> Array:
    _, own = spreads(layout, [look], belief.scale)
    water = watered(layout, tab, look, list(range(len(tab.values))))
    return np.asarray(float((own**2).sum()) + np.outer(water, water))


def _crossing(logs: Array, mean: Array, sd: Array, wanted: float) -> Range:
    """Where a falling curve known so well passes a height; where it never does, the end of what was looked at."""
    below, at, above = (_passes(logs, mean + z * sd, wanted) for z in (-Z80, 0.0, Z80))
    low, mid, high = sorted(float(np.exp(x)) for x in (below, at, above))
    return Range(low=low, mid=mid, high=high)


def _passes(logs: Array, curve: Array, wanted: float) -> float:
    """More water is never stiffer: what of a curve rises is the end of what is known, and is not used."""
    falling = np.minimum.accumulate(curve)
    if falling[0] <= wanted:
        return float(logs[0])
    if falling[-1] >= wanted:
        return float(logs[-1])
    i = int(np.argmax(falling <= wanted))
    share = (falling[i - 1] - wanted) / max(falling[i - 1] - falling[i], 1e-12)
    return float(logs[i - 1] + share * (logs[i] - logs[i - 1]))


def _can_show(gauge: Gauge, value: float) -> bool:
    """Whether the test gives a number there: a cone on the bottom of its cup does not."""
    low, high, _ = gauge.latent(value)
    return bool(np.isfinite(low) and np.isfinite(high))


def _then(joint: _Joint, read: tuple[float, float, float], at: tuple[Array, int], wanted: float) -> Range:
    """Water to add to what is in, as a share of the water weighed in first, once the start was read."""
    logs, start = at
    low, high, soft = read
    value = (low + high) / 2
    gain = joint.cov[:, start] / (joint.cov[start, start] + soft**2)
    mean = joint.mean + gain * (value - joint.mean[start])
    var = np.maximum(np.diag(joint.cov) - gain * joint.cov[:, start], 1e-9)
    needed = _crossing(logs, mean, np.sqrt(var), wanted)
    first = float(np.exp(logs[start]))
    return Range(low=needed.low / first - 1, mid=needed.mid / first - 1, high=needed.high / first - 1)
