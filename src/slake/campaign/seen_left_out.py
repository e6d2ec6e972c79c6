"""What would have been foretold of each batch had slake known nothing of how it went: every batch left out in turn."""

from __future__ import annotations

import copy
import math
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from slake.ground.evidence import Z80

from .belief import Belief, forecast
from .gauge import Gauge
from .gauges import finite, fitting
from .history import Seen
from .layout import Look, table
from .notebook import Notebook
from .outcomes import read_outcome
from .priors import CHANNELS
from .seen_word import Foretold
from .told import Told, over_recipes

ONE_BY_ONE = 40
"""Batches up to which each is left out alone; of more, a twentieth is left out at a time."""
PARTS = 20
Scatters = Callable[[Collection[int]], Mapping[str, float]]
"""Batches left out -> how well readings repeat, as all others say (`Notebook.scatter_times`)."""


def as_all_say(book: Notebook) -> Scatters:
    """Where repeats are not looked at batch by batch."""
    return lambda _: book.scatter_times


def left_out(book: Notebook, scatters: Scatters) -> Iterator[tuple[Foretold, ...]]:
    """Readings of the lines of the brief beside what the other batches say of them, part by part."""
    for part in parts(len(book.batches)):
        if any(_read(book, number) for number in part):
            yield foretold_of(book, part, scatters(part))
        else:
            yield ()


def parts(count: int) -> list[tuple[int, ...]]:
    """Which batches are left out together: each alone, or every twentieth."""
    step = count if count <= ONE_BY_ONE else PARTS
    return [tuple(range(first, count, step)) for first in range(step)]


def foretold_of(book: Notebook, numbers: Sequence[int], scatter_times: Mapping[str, float]) -> tuple[Foretold, ...]:
    """What is foretold of these batches by all others."""
    rest = untold(book, numbers, scatter_times)
    belief = rest.belief()
    return tuple(one for number in numbers for one in _foretold(book, rest, belief, number))


def untold(book: Notebook, numbers: Collection[int], scatter_times: Mapping[str, float]) -> Notebook:
    """The same notebook, recipes and machines kept, told nothing of how these batches went."""
    rest = copy.copy(book)
    rest.scatter_times = dict(scatter_times)
    rest.batches = [_emptied(told) if i in numbers else replace(told) for i, told in enumerate(book.batches)]
    gauges = {line.name: _gauge(rest, line.gauge) for line in book.brief.lines}
    for told in rest.batches:
        gauges |= {s.gauge.name: _gauge(rest, s.gauge) for s in told.mixed.readings if s.gauge.name not in gauges}
    for told in rest.batches:
        readings = tuple(replace(seen, gauge=gauges[seen.gauge.name]) for seen in told.mixed.readings)
        told.mixed = replace(told.mixed, readings=readings)
    lines = tuple(line.seen_with(gauges[line.name]) for line in book.brief.lines)
    rest.brief = replace(book.brief, lines=lines)
    return rest


def _emptied(told: Told) -> Told:
    return replace(told, mixed=replace(told.mixed, outcome=read_outcome(None), readings=(), held=False))


def _gauge(rest: Notebook, was: Gauge) -> Gauge:
    """The gauge of a reading as the readings that are left make it; scatter as they repeat."""
    line, (rows, read) = rest.brief.line(was.name), over_recipes(rest.batches, was.name)
    values = [*(finite((line.low, line.high)) if line else []), *read.tolist()]
    over = (rows, read) if was.channel.name not in CHANNELS and len(read) else None
    found, times = (
        fitting(was.name, values, rest.instruments.get(was.name), over),
        rest.scatter_times.get(was.name, 1.0),
    )
    return found if times == 1.0 or found.half_step else found.scattering(times)


def _read(book: Notebook, number: int) -> list[Seen]:
    """Of each line, the reading of this batch nearest to an hour of age."""
    found = []
    for line in book.brief.lines:
        mine = [seen for seen in book.batches[number].mixed.readings if seen.gauge.name == line.name]
        found += [min(reversed(mine), key=lambda one: abs(one.log_age))] if mine else []
    return found


def _foretold(book: Notebook, rest: Notebook, belief: Belief, number: int) -> Iterator[Foretold]:
    seen = _read(book, number)
    if not seen:
        return
    looks, more = zip(*(_look(belief, book.batches[number], one) for one in seen), strict=True)
    view = forecast(belief, table(belief.layout, np.array([book.batches[number].fractions])), looks)
    for i, one in enumerate(seen):
        line = rest.brief.line(one.gauge.name)
        gauge = line.gauge if line else one.gauge
        half = belief.half_widths.get(gauge.channel.name, Z80)
        gauge = gauge.scattering(belief.scale.reading_of(gauge.channel.name))
        around = gauge.range80(float(view.mean[0, i]), float(view.cov[0, i, i]) + more[i], half)
        low, high = said(one)
        yield Foretold(batch=number, name=gauge.name, around=around, low=low, high=high)


def _look(belief: Belief, told: Told, seen: Seen) -> tuple[Look, float]:
    """How that reading looks at the batch, and the variance of errors no other reading shares."""
    shared = seen.gauge.shared(seen.with_which)
    known = {key: sd for key, sd in shared.items() if key in belief.layout.calibrations}
    look = Look(
        channel=seen.gauge.channel.name,
        row=0,
        batch=-1,
        log_age=seen.log_age,
        calibrations=tuple(known.items()),
        machine=told.mixed.machine,
        lots=told.mixed.lots,
    )
    return look, sum(sd**2 for key, sd in shared.items() if key not in known)


def said(seen: Seen) -> tuple[float, float]:
    """Between which values a reading lies, in its own unit: equal where it is one number."""
    low, high, _ = seen.bounds()
    if low == high:
        return seen.value, seen.value
    ends = [_value(seen.gauge, end) for end in (low, high)]
    return min(ends), max(ends)


def _value(gauge: Gauge, latent: float) -> float:
    if math.isfinite(latent):
        return gauge.value(latent)
    return -latent if gauge.falls else latent
