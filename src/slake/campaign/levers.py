"""From a print that cracked: what to change, with what each change is expected to do, and what it costs.

Changes of the recipe are worked out by the belief on their own recipe, its water found anew; changes beside it come on
top of the recipe as it was. Ranked by the chance that every line of the brief holds afterwards.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Range

from .belief import Belief, Forecast, forecast
from .brief import Brief
from .chances import all_hold, line_chances, of_the_recipe
from .changed import STANDING_ALONE, Effect, Moved, effects
from .choose import Aim
from .gauge import grade_gauge
from .layout import Look, Table, table
from .lever_practice import Beside, Part, Told, beside, told
from .lever_recipes import Mixture, Stiffness, Turn, taken_apart, thirstiest, turns, watered_to
from .priors import CRACKS, YIELD_STRESS
from .proposal import predicted

Array = NDArray[np.float64]
ENOUGH, LOST = 0.5, 0.05
"""Chance from which one lever is called enough, and by how much the chance of a line must fall to be called lost."""
PAIRS_SHOWN = 3
NO_MORE_THAN, NO_CRACKS = 1.0, "cracks no more than hairline (not in the brief)"
SHOWN = ("shrinkage", "cracks", "layers")


@dataclass(frozen=True, kw_only=True)
class Step:
    """One change: its key in levers.toml, how much of it, and what it does on top where it is beside the recipe."""

    key: str
    words: str
    by: Callable[[Mixture], Mixture] | None = None
    beside: Beside | None = None

    @property
    def told(self) -> Told:
        return told()[self.key]


@dataclass(frozen=True, kw_only=True)
class Way:
    """One lever, or two together. `fractions`: of the wet paste as received. `chances`: of each line by itself, now
    and then. `lost`: names of lines whose chance falls. `predictions`: of the next reading of each line.
    """

    steps: tuple[Step, ...]
    fractions: Mapping[str, float]
    effects: tuple[Effect, ...]
    chance: float
    chances: Mapping[str, tuple[float, float]]
    lost: tuple[str, ...]
    predictions: Mapping[str, Range]

    @property
    def key(self) -> str:
        return "+".join(step.key for step in self.steps)

    @property
    def more_days(self) -> Range | None:
        return next((s.beside.more_days for s in self.steps if s.beside and s.beside.more_days), None)


@dataclass(frozen=True, kw_only=True)
class Levers:
    """`as_it_was`: the same recipe once more. `ways`: single levers, best first. `pairs`: the best two together, where
    none of the single ones is enough. `not_at_hand`: those that want a lot nobody has here, by key.
    """

    as_it_was: Way
    ways: tuple[Way, ...]
    pairs: tuple[Way, ...]
    not_at_hand: tuple[str, ...] = ()

    @property
    def enough(self) -> bool:
        return bool(self.ways) and self.ways[0].chance >= ENOUGH


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What levers are worked out from: belief, aim and brief as they stand, which lots may be used, and the part."""

    belief: Belief
    aim: Aim
    brief: Brief
    keys: tuple[str, ...]
    allowed: frozenset[str]
    part: Part
    cracks_added: bool = False

    @property
    def names(self) -> list[str]:
        """What the looks of the aim are called, in their order."""
        lines = [line.name for line in self.brief.lines]
        return [*lines, *self.aim.unsaid, *([NO_CRACKS] if self.cracks_added else [])]


def levers(asked: Asked, row: Sequence[float]) -> Levers:
    """What to change of this recipe (fractions of the wet paste, as received, in the order of `asked.keys`)."""
    asked = _with_cracks(asked)
    base, singles = _singles(asked, np.asarray(row, dtype=np.float64))
    pairs = [one + two for i, one in enumerate(singles) for two in singles[i + 1 :] if one[0].key != two[0].key]
    steps: list[tuple[Step, ...]] = [(), *singles, *pairs]
    mixtures = [_changed(base, chain) for chain in steps]
    rows = watered_to(asked.belief, stiffness_of(asked).look, mixtures)
    rows[0] = np.asarray(row, dtype=np.float64)
    for n, chain in enumerate(steps):
        if all(step.by is None for step in chain):
            rows[n] = rows[0]
    judged = _judged(asked, rows, steps)
    best = _best_of_each(steps, judged[0])
    ways = [_way(asked, rows, (n, steps[n]), judged) for n in best]
    single = [way for way in ways if len(way.steps) == 1]
    double = [] if single and single[0].chance >= ENOUGH else [way for way in ways if len(way.steps) == 2]
    better = [way for way in double if not single or way.chance > single[0].chance]
    as_it_was = _way(asked, rows, (0, ()), judged)
    lacking = _not_at_hand(asked, base, single)
    return Levers(as_it_was=as_it_was, ways=tuple(single), pairs=tuple(better[:PAIRS_SHOWN]), not_at_hand=lacking)


def _not_at_hand(asked: Asked, base: Mixture, ways: Sequence[Way]) -> tuple[str, ...]:
    """Fillers are only missed where one of the recipe is thirsty."""
    thirsty = thirstiest(asked.belief.layout.space, base) is not None
    wanted = (*(("skeleton", "less_thirsty") if thirsty else ()), "more_binder", "plasticiser")
    return tuple(key for key in wanted if key not in {way.key for way in ways})


def _with_cracks(asked: Asked) -> Asked:
    """Where the brief says nothing of cracks, they are to be hairline at most all the same: that is what is asked."""
    aim = asked.aim
    if any(look.channel == CRACKS.name for look in aim.looks):
        return asked
    look = Look(channel=CRACKS.name, row=0, batch=-1, machine=aim.looks[0].machine, lots=aim.looks[0].lots)
    windows = np.vstack([aim.windows, grade_gauge().window(None, NO_MORE_THAN)])
    return replace(asked, aim=replace(aim, looks=[*aim.looks, look], windows=windows), cracks_added=True)


def stiffness_of(asked: Asked) -> Stiffness:
    """The line of the brief that says how stiff the paste must be; without one, the stiffness itself."""
    for line, look in zip(asked.brief.lines, asked.aim.looks, strict=False):
        if line.gauge.channel is YIELD_STRESS or line.gauge.channel.name == YIELD_STRESS.name:
            return Stiffness(look=look, soft=line.latent_low, stiff=line.latent_high)
    look = replace(asked.aim.looks[0], channel=YIELD_STRESS.name, calibrations=(), against_force=False)
    return Stiffness(look=look, soft=None, stiff=None)


def _singles(asked: Asked, row: Array) -> tuple[Mixture, list[tuple[Step, ...]]]:
    stiffness, layout = stiffness_of(asked), asked.belief.layout
    now = float(forecast(asked.belief, table(layout, row[None, :]), [stiffness.look]).mean[0, 0])
    base = taken_apart(layout.space, row, stiffness.kept(now))
    found: list[tuple[Step, ...]] = [(_step(turn),) for turn in turns(layout.space, base, asked.allowed, stiffness)]
    return base, [*found, *((Step(key=one.key, words=one.words, beside=one),) for one in beside(asked.part))]


def _step(turn: Turn) -> Step:
    return Step(key=turn.key, words=turn.words, by=turn.by)


def _changed(base: Mixture, steps: tuple[Step, ...]) -> Mixture:
    for step in steps:
        base = step.by(base) if step.by is not None else base
    return base


def _on_top(steps: tuple[Step, ...]) -> dict[str, Moved]:
    found: dict[str, Moved] = {}
    for step in steps:
        for channel, (mean, sd) in (step.beside.on_top if step.beside else {}).items():
            before = found.get(channel, (0.0, 0.0))
            found[channel] = before[0] + mean, float(np.hypot(before[1], sd))
    return found


Judged = tuple[Array, Array, Forecast, Table]
"""(n,) chance of all lines, (n, L) of each, and the views of the recipes with what comes on top in them."""


def _judged(asked: Asked, rows: Array, steps: list[tuple[Step, ...]]) -> Judged:
    rows_table = table(asked.belief.layout, rows)
    view = forecast(asked.belief, rows_table, asked.aim.looks)
    mean, cov = view.mean.copy(), view.cov.copy()
    for n, chain in enumerate(steps):
        for channel, (more, sd) in _on_top(chain).items():
            which = np.array([look.channel == channel for look in asked.aim.looks], dtype=np.float64)
            mean[n] += more * which
            cov[n] += sd**2 * np.outer(which, which)
    view = replace(view, mean=mean, cov=cov)
    meant = of_the_recipe(view)
    every = all_hold(meant.mean, meant.cov, asked.aim.windows)
    return every, line_chances(meant, asked.aim.windows), view, rows_table


def _best_of_each(steps: list[tuple[Step, ...]], chance: Array) -> list[int]:
    """Of each lever, and of each two, the strength likeliest to hold every line; best first."""
    best: dict[tuple[str, ...], int] = {}
    for n, chain in enumerate(steps):
        name = tuple(step.key for step in chain)
        if chain and (name not in best or chance[n] > chance[best[name]]):
            best[name] = n
    return sorted(best.values(), key=lambda n: -chance[n])


def _way(asked: Asked, rows: Array, which: tuple[int, tuple[Step, ...]], judged: Judged) -> Way:
    (n, steps), (chance, each, view, _) = which, judged
    chances = {name: (float(each[0, i]), float(each[n, i])) for i, name in enumerate(asked.names)}
    look = Look(channel=STANDING_ALONE[0].name, row=0, batch=-1, machine=asked.aim.looks[0].machine)
    two = table(asked.belief.layout, rows[[0, n]])
    return Way(
        steps=steps,
        fractions=dict(zip(asked.keys, map(float, rows[n]), strict=True)),
        effects=effects(asked.belief, two, look, SHOWN, _on_top(steps)),
        chance=float(chance[n]),
        chances=chances,
        lost=tuple(name for name, (now, then) in chances.items() if then < now - LOST),
        predictions=predicted(asked.brief, asked.belief, view, n),
    )
