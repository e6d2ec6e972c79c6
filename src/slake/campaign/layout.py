"""Where every weight of the joint Gaussian sits, and the rows that look at it.

Weights: features of each channel; steps of lots after the first; ageing; calibration of each test; the force each
machine has; and one weight per unknown of a lot, in units of its own sd.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .channel import Channel
from .features import Space, Unknown, features, gradients, log_air_free_density, log_usual_shrinkage, water_gradient
from .machine import Ram
from .priors import CHANNELS
from .scales import Scales

Array = NDArray[np.float64]
SMOOTH_LENGTH = {"wet": 0.35, "gum": 1.0, "bind": 1.0, "thirst": 0.7, "cellulose": 0.7}
SHARE_LENGTH = 0.5
UNFAMILIAR = {"one": 2.5, "": 1.5}
"""How much wider the weights are where a filler is neither in the catalogue nor measured."""
LOCAL = ("wet2", "wet x gum", "one")
WATER_SD_LOG = 0.008
"""How far the water of one batch is off: scale, drips, what dries off while it is kneaded (practice)."""


@dataclass(frozen=True, kw_only=True)
class Look:
    """One linear look: the channel, the recipe row it is taken of, and what else it sees. `row` counts
    among the recipes given; `batch` keeps looks of one batch together (own misfit). `against_force` subtracts the
    machine's force (for passing the nozzle). calibrations: errors shared with other looks, each with its sd.
    """

    channel: str
    row: int
    batch: int
    log_age: float = 0.0
    calibrations: tuple[tuple[str, float], ...] = ()
    machine: str | None = None
    against_force: bool = False
    lots: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Layout:
    space: Space
    channels: tuple[Channel, ...]
    calibrations: tuple[str, ...]
    machines: dict[str, Ram]
    lots: tuple[str, ...] = ()
    unknowns: tuple[Unknown, ...] = ()
    places: dict[str, int] = field(default_factory=dict)
    mean: Array = field(default_factory=lambda: np.zeros(0))
    sd: Array = field(default_factory=lambda: np.zeros(0))
    slopes: Array = field(default_factory=lambda: np.zeros(0))
    """Weights that turn an error of a lot or of the water into one of a property: the likeliest so far."""

    def path(self, name: str) -> list[tuple[Channel, float]]:
        """The channel itself and its parents, each with the coefficient it enters with."""
        if name not in self._paths:
            self._paths[name] = self._path(name)
        return self._paths[name]

    @cached_property
    def _paths(self) -> dict[str, list[tuple[Channel, float]]]:
        return {}

    def _path(self, name: str) -> list[tuple[Channel, float]]:
        found, channel, times = [], self.named(name), 1.0
        while True:
            found.append((channel, times))
            if channel.parent is None:
                return found
            times *= channel.coefficient
            channel = self.named(channel.parent)

    def named(self, name: str) -> Channel:
        return next(c for c in self.channels if c.name == name)

    def weights_of(self, channel: str) -> slice:
        start = self.places[f"features {channel}"]
        return slice(start, start + len(self.space.names))

    @property
    def unknown_slice(self) -> slice:
        start = self.places["unknowns"]
        return slice(start, start + len(self.unknowns))


def with_parents(channels: list[Channel]) -> tuple[Channel, ...]:
    """Channels in a fixed order, parents included, none twice."""
    found: dict[str, Channel] = {}
    for channel in channels:
        step: Channel | None = channel
        while step is not None:
            found.setdefault(step.name, step)
            step = CHANNELS[step.parent] if step.parent else None
    return tuple(found[name] for name in sorted(found))


def laid_out(layout: Layout) -> Layout:
    """The layout with a place, prior mean and prior sd for every weight."""
    places: dict[str, int] = {}
    mean: list[float] = []
    sd: list[float] = []

    def put(name: str, *priors: tuple[float, float]) -> None:
        places[name] = len(mean)
        mean.extend(p[0] for p in priors)
        sd.extend(p[1] for p in priors)

    wider = UNFAMILIAR if layout.space.unfamiliar else {}
    for channel in layout.channels:
        weights = [channel.weight(f) for f in layout.space.names]
        times = [wider.get(f, wider.get("", 1.0)) for f in layout.space.names]
        put(f"features {channel.name}", *((w[0], w[1] * t) for w, t in zip(weights, times, strict=True)))
        put(f"age {channel.name}", channel.age)
        for lot in layout.lots:
            put(f"lot {lot} {channel.name}", (0.0, channel.lot_sd))
    for key in layout.calibrations:
        put(f"calibration {key}", (0.0, 1.0))
    for name, machine in layout.machines.items():
        put(f"force {name}", (machine.log_force, machine.sd_log))
    put("unknowns", *((0.0, 1.0) for _ in layout.unknowns))
    return replace(layout, places=places, mean=np.array(mean), sd=np.array(sd), slopes=np.array(mean))


@dataclass(frozen=True, kw_only=True)
class Table:
    """Features of some recipes, computed once: values, gradients in the unknowns and in the log of the water added,
    offsets by name, smooth scale; and the plain shares over how they spread in what was mixed.
    """

    values: Array
    gradients: Array
    watered: Array
    offsets: dict[str, Array]
    local: Array
    shares: Array

    def at(self, rows: Sequence[int] | NDArray[np.intp]) -> Table:
        return Table(
            values=self.values[rows],
            gradients=self.gradients[:, rows],
            watered=self.watered[rows],
            offsets={name: column[rows] for name, column in self.offsets.items()},
            local=self.local[rows],
            shares=self.shares[rows],
        )


def table(layout: Layout, rows: Array) -> Table:
    space = layout.space
    values = features(space, rows)
    keep = [i for i, n in enumerate(space.names) if n not in LOCAL and not n.startswith("lot ")]
    lengths = np.array([SMOOTH_LENGTH.get(space.names[i], SHARE_LENGTH) for i in keep])
    return Table(
        values=values,
        gradients=gradients(space, rows, layout.unknowns),
        watered=water_gradient(space, rows),
        offsets={
            "usual shrinkage": log_usual_shrinkage(space, rows),
            "air-free density": log_air_free_density(space, rows),
        },
        local=values[:, keep] / lengths,
        shares=space.placed(rows),
    )


def design(layout: Layout, tab: Table, looks: list[Look]) -> tuple[Array, Array]:
    """(n, d) rows on the weights, and (n,) constants, of the given looks. Looks that differ in the recipe only go
    together.
    """
    seen, constants = np.zeros((len(looks), len(layout.mean))), np.zeros(len(looks))
    alike: dict[tuple[object, ...], list[int]] = {}
    for i, look in enumerate(looks):
        key = (look.channel, look.log_age, look.calibrations, look.machine, look.against_force, look.lots)
        alike.setdefault(key, []).append(i)
    for mine in alike.values():
        seen[mine], constants[mine] = seen_by(layout, tab, looks[mine[0]], [looks[i].row for i in mine])
    return seen, constants


def seen_by(layout: Layout, tab: Table, look: Look, rows: list[int]) -> tuple[Array, Array]:
    """What a look like `look` sees at each of some rows of the table."""
    seen, constants = np.zeros((len(rows), len(layout.mean))), np.zeros(len(rows))
    for channel, times in layout.path(look.channel):
        mine = layout.weights_of(channel.name)
        seen[:, mine] += times * tab.values[rows]
        seen[:, layout.places[f"age {channel.name}"]] += times * look.log_age
        for lot in look.lots:
            seen[:, layout.places[f"lot {lot} {channel.name}"]] += times
        if layout.unknowns and channel.by_lots:
            seen[:, layout.unknown_slice] += times * (tab.gradients[:, rows] @ layout.slopes[mine]).T
        constants += times * _constant(layout, channel, tab, look)[rows]
    for key, sd in look.calibrations:
        seen[:, layout.places[f"calibration {key}"]] += sd
    if look.against_force:
        seen[:, layout.places[f"force {look.machine}"]] -= 1
    return seen, constants


def _constant(layout: Layout, channel: Channel, tab: Table, look: Look) -> Array:
    base = np.full(len(tab.values), -channel.coefficient * channel.parent_centre if channel.parent else 0.0)
    if channel.offset == "nozzle":
        return np.asarray(
            base + layout.machines[look.machine or next(iter(layout.machines))].machine.log_force_per_pa()
        )
    return np.asarray(base + tab.offsets[channel.offset]) if channel.offset else base


def spreads(layout: Layout, looks: list[Look], scale: Scales) -> tuple[Array, Array]:
    """(n, C) standard deviations of the smooth remainder and of the batch's own misfit in every channel."""
    index = {c.name: j for j, c in enumerate(layout.channels)}
    by_channel: dict[str, tuple[Array, Array]] = {}
    for name in {look.channel for look in looks}:
        smooth, own = np.zeros(len(layout.channels)), np.zeros(len(layout.channels))
        for channel, times in layout.path(name):
            more_smooth, more_own = scale.of(channel.name)
            smooth[index[channel.name]] = channel.smooth * times * more_smooth
            own[index[channel.name]] = channel.misfit * times * more_own
        by_channel[name] = (smooth, own)
    found = [by_channel[look.channel] for look in looks]
    shape = (len(looks), len(layout.channels))
    return np.array([f[0] for f in found]).reshape(shape), np.array([f[1] for f in found]).reshape(shape)


def watered_each(layout: Layout, tab: Table, looks: Sequence[Look]) -> Array:
    """(n,) what one standard deviation of a batch's own error in its water does to each look, at its own recipe."""
    found = np.zeros(len(looks))
    for name in {look.channel for look in looks}:
        mine = [i for i, look in enumerate(looks) if look.channel == name]
        found[mine] = watered(layout, tab, looks[mine[0]], [looks[i].row for i in mine])
    return found


def watered(layout: Layout, tab: Table, look: Look, rows: list[int]) -> Array:
    """(rows,) what one standard deviation of a batch's own error in its water does to a look: one cause for all the
    readings of that batch.
    """
    found = np.zeros(len(rows))
    for channel, times in layout.path(look.channel):
        if channel.by_lots:
            found += times * (tab.watered[rows] @ layout.slopes[layout.weights_of(channel.name)])
    return WATER_SD_LOG * found
