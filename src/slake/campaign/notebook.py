"""The whole interface of a campaign: add what happened, ask what to mix next. Knows no database and no page."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from slake.bench.comparing import Ends
from slake.ground.numbers import Limits, read_number
from slake.ground.problems import DoesNotFit, Problem, plain

from .aims import aimed, some_clogged
from .belief import Belief, learn
from .brief import Brief, read_brief
from .candidates import near_what_was_mixed, read_bounds, with_room_for
from .choose import Aim
from .explain import Verdict, explained
from .features import Space
from .gauge import Gauge
from .gauges import Instrument, OverRecipes, finite, fitting, known_names
from .history import Mixed, Seen
from .layout import Layout, laid_out, with_parents
from .lots import WATER, Lot, all_facts
from .machine import Machine, Ram, ram
from .outcomes import read_outcome
from .priors import CHANNELS, CLOGGING, LAYERS, YIELD_STRESS
from .proposal import Proposal, propose
from .told import One, Told, every_reading, lots_told, machine_name, machine_told, over_recipes

SUM_WITHIN = 0.005
MOST_BATCHES = 2000


class Notebook:
    """One campaign. `lots`: ingredient -> Lot or its name. `brief`: reading -> (low, high), None for a usual brief.

    `instruments`: reading -> what it is taken with, where not typical, such as {"slump_mm": {"mould": "cylinder"}}.
    `scatter_times`, set before batches are added: reading -> its scatter over the declared one, as own repeats say.
    `bounds`: ingredient (or "water") -> (low, high) fraction of total wet paste as received, None for usual ones.
    Every Problem raised is one sentence a person can act on.
    """

    def __init__(
        self,
        lots: Mapping[str, Lot | str],
        brief: Mapping[str, object] | None = None,
        bounds: Mapping[str, Sequence[float]] | None = None,
        machine: Machine | None = None,
        instruments: Mapping[str, Instrument] | None = None,
    ) -> None:
        self.space = self.stated = Space(facts=all_facts(lots))
        self.instruments = dict(instruments or {})
        self.scatter_times: dict[str, float] = {}
        self.brief: Brief = read_brief(brief, known_names(), self._fitting)
        self.typical_bounds = bounds is None
        self.box = read_bounds(self.space, bounds)
        self.unbounded = np.array([key not in (bounds or {}) for key in self.keys])
        self.machine = machine
        self.batches: list[Told] = []
        self._known_gauges: dict[str, Gauge] = {}

    @property
    def keys(self) -> tuple[str, ...]:
        return (*(f.key for f in self.space.facts), WATER)

    def add(
        self,
        fractions: Mapping[str, float],
        outcome: str | None = None,
        readings: Mapping[str, object] | None = None,
        **more: object,
    ) -> int:
        """Add one batch; returns its number, from 0.

        readings: name -> value, or (value, minutes since first water, name of the instrument, Ends it lies between) as
        far as known; or a list of such, for a test read several times. more: reached_cap (the print stood to its last
        planned layer; or which counts of layers did), lot (ingredient -> label, or one label), machine (a Machine),
        nozzle (mm).
        """
        number = self._take(fractions, outcome, readings, more)
        self._regauged()
        return number

    def add_all(self, batches: Iterable[Mapping[str, Any]]) -> None:
        """Many batches at once, each a mapping of what `add` takes by name: the same as adding them one by one."""
        batches = list(batches)
        values: dict[str, list[object]] = {}
        for batch in batches:
            for name, (value, *_) in every_reading(batch.get("readings") or {}):
                values.setdefault(name, []).append(value)
        self._known_gauges = {name: self._gauge(name, *found) for name, found in values.items()}
        try:
            for batch in batches:
                more = {key: value for key, value in batch.items() if key not in {"fractions", "outcome", "readings"}}
                self._take(batch["fractions"], batch.get("outcome"), batch.get("readings"), more)
        finally:
            self._known_gauges = {}
        self._regauged()

    def _take(
        self,
        fractions: Mapping[str, float],
        outcome: str | None,
        readings: Mapping[str, object] | None,
        more: Mapping[str, object],
    ) -> int:
        unknown = set(more) - {"reached_cap", "lot", "machine", "nozzle"}
        if unknown:
            raise Problem(f"a batch has no “{min(unknown)}”: use reached_cap, lot, machine or nozzle")
        if len(self.batches) >= MOST_BATCHES:
            raise Problem(f"a campaign holds at most {MOST_BATCHES} batches: start a new one")
        row = self._fractions(fractions)
        cap, machine = more.get("reached_cap"), machine_told(more, self.machine)
        mixed = Mixed(
            fractions=row,
            outcome=read_outcome(outcome),
            readings=tuple(self._seen(name, one, cap) for name, one in every_reading(readings or {})),
            lots=lots_told(more.get("lot"), self.keys),
            machine=machine_name(machine),
        )
        self.batches.append(Told(fractions=row, mixed=mixed, machine=machine))
        self._made_room(row)
        return len(self.batches) - 1

    def _made_room(self, row: tuple[float, ...]) -> None:
        """Unknown water demands and bounds nobody stated follow what was mixed."""
        rows = np.array([told.fractions for told in self.batches])
        self.space = self.stated.centred(rows).spanned(rows).having(rows)
        guessed = np.array([*(f.guessed for f in self.space.facts), self.space.unfamiliar])
        self.box = near_what_was_mixed(self.box, rows, guessed & self.unbounded)
        self.box = with_room_for(self.box, row, self.unbounded)

    def _fractions(self, fractions: Mapping[str, float]) -> tuple[float, ...]:
        for key in fractions:
            if key not in self.keys:
                raise Problem(
                    f"the batch names “{str(key)[:40]}”, which is no ingredient here: use {', '.join(self.keys)}"
                )
        limits = Limits(low=0, high=1, do="give fractions of the total wet paste")
        row = [read_number(fractions.get(k, 0.0), f"the fraction of {k}", limits) for k in self.keys]
        total = math.fsum(row)
        if abs(total - 1) > SUM_WITHIN:
            raise DoesNotFit(
                f"the fractions sum to {plain(total)}, but must sum to 1 within {SUM_WITHIN}: "
                "divide every mass, water included, by the total mass of the paste"
            )
        return tuple(x / total for x in row)

    def _seen(self, name: str, given: One, cap: object) -> Seen:
        value, minutes, which, ends = given
        found = self._known_gauges.get(name) or self._gauge(name, value)
        if minutes is not None:
            minutes = read_number(minutes, f"the minutes of {name}", Limits(low=0, high=1e6, unit="min"))
        at_cap = name == "layers_stood" and (value in cap if isinstance(cap, Collection) else bool(cap))
        checked = found.checked(value)
        ends = Ends(low=checked, high=None) if at_cap else ends
        return Seen(gauge=found, value=checked, minutes=minutes, ends=ends, with_which=which)

    def _fitting(self, name: str, values: list[float], mixed: OverRecipes | None = None) -> Gauge:
        found, times = fitting(name, values, self.instruments.get(name), mixed), self.scatter_times.get(name, 1.0)
        return found if times == 1.0 or found.half_step else found.scattering(times)

    def _gauge(self, name: str, *values: object) -> Gauge:
        """The gauge of a reading, one for all batches; a value only another instrument can give changes it for all."""
        line, (rows, read) = self.brief.line(name), over_recipes(self.batches, name)
        window = finite((line.low, line.high)) if line else []
        return self._fitting(name, [*window, *read.tolist(), *finite(values)], None if values else (rows, read))

    def _regauged(self) -> None:
        """All readings and lines of one name through the gauge of the newest one."""
        newest = {s.gauge.name: s.gauge for t in self.batches for s in t.mixed.readings}
        newest |= {name: self._gauge(name) for name, gauge in newest.items() if gauge.channel.name not in CHANNELS}
        for told in self.batches:
            read = tuple(replace(s, gauge=newest[s.gauge.name]) for s in told.mixed.readings)
            told.mixed = replace(told.mixed, readings=read)
        lines = tuple(line.seen_with(newest.get(line.name, line.gauge)) for line in self.brief.lines)
        self.brief = replace(self.brief, lines=lines)

    def belief(self) -> Belief:
        """What all batches say together."""
        return learn(self.layout(), [told.mixed for told in self.batches], self.brief)

    def layout(self) -> Layout:
        """Every weight this notebook reckons with, before any batch is looked at."""
        seen = [seen for told in self.batches for seen in told.mixed.readings]
        which = self._with_which()
        read = {(s.gauge.name, s.with_which): s.gauge for s in seen}
        read |= {(line.name, which.get(line.name, "")): line.gauge for line in self.brief.lines}
        shared = [gauge.shared(with_which) for (_, with_which), gauge in read.items()]
        channels = [gauge.channel for gauge in read.values()]
        channels += [CLOGGING] if some_clogged(self.batches) else []
        channels += [LAYERS, YIELD_STRESS, *(CHANNELS[n] for n in ("ram force", "spring-back", "crack grade"))]
        machines = {machine_name(m): self._ram(m) for m in (self.machine, *(t.machine for t in self.batches))}
        lots = {lot for told in self.batches for lot in told.mixed.lots}
        return laid_out(
            Layout(
                space=self.space,
                channels=with_parents(channels),
                calibrations=tuple(sorted({key for one in shared for key in one})),
                machines=machines,
                lots=tuple(sorted(lots)),
                unknowns=self.space.unknowns(),
            )
        )

    def _with_which(self) -> dict[str, str]:
        """Reading -> the instrument it was last taken with."""
        return {seen.gauge.name: seen.with_which for told in self.batches for seen in told.mixed.readings}

    def _ram(self, machine: Machine | None) -> Ram:
        """The machine with what is known of its force; a brief that allows a force says about what it has."""
        line = self.brief.line("ram_force_n")
        machine = machine or Machine()
        limits = []
        for pushed, name, value in machine.bounds():
            found = fitting(name, [float(value)])
            low, high, sd = found.latent(found.checked(value))
            limits.append((pushed, found.channel.name, low if math.isfinite(low) else high, sd))
        return ram(machine, line.high if line else None, limits)

    def aim(self) -> Aim:
        """What the next batch is chosen for."""
        machine = machine_name(self.machine)
        return aimed(self, machine, self._with_which(), known=self.machine is not None)

    def propose(self, seed: int = 1) -> Proposal:
        """The next batch. The same batches and seed give the same proposal."""
        return propose(self, np.random.default_rng([seed, len(self.batches)]))

    def explain(self, number: int) -> tuple[Verdict, ...]:
        """For one past batch, every line of the brief: held, broke or unknown, and from what."""
        if not 0 <= number < len(self.batches):
            raise Problem(f"there is no batch {number}: there are {len(self.batches)}, counted from 0")
        return explained(self.brief, self.batches[number].mixed)
