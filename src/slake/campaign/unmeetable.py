"""No recipe in these bounds can meet the brief: which line, or which two, on what evidence, and what would help.

By draws of what is believed, at recipes spread over the bounds and climbed to every line: in how many of them does any
recipe hold. Said only where the lines in question were read often enough, or where two lines cannot both be.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Range

from .belief import Belief, forecast
from .brief import Brief
from .choose import Aim, climbed, soft_score
from .holding import Known, jointly, known, recipe_chances, root_of
from .layout import table
from .notebook import Notebook
from .proposal import predicted

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
FEWEST_BATCHES, FEWEST_READ = 6, 4
UNLIKELY = 0.03
POOL_NEAR, POOL_WIDE, DRAWS = 24, 80, 200
SLACK = 0.08
"""Windows are taken this much wider (in logs: 8 %) at each end, for the pool is a sample of the recipes there are."""
PRESSED, MOVED_BY, MOST_MOVED = 0.03, 0.3, 4
APART_SD = 3.0


@dataclass(frozen=True, kw_only=True)
class Reached:
    """One line. any: chance that some recipe in the bounds meets it alone. gets_to: 80 % range of its reading at the
    recipe that is best for all the other lines; read: readings of it so far.
    """

    name: str
    any: float
    gets_to: Range
    read: int


@dataclass(frozen=True, kw_only=True)
class Moved:
    """A bound the best recipe presses on: moved to `to`, the best recipe's chance goes from `now` to `then`."""

    key: str
    side: str
    bound: float
    to: float
    now: float
    then: float


@dataclass(frozen=True, kw_only=True)
class Unmeetable:
    """any: chance that some recipe in the bounds meets every line. lines: those that stand in the way: one that none
    meets, two that exclude each other, or all.
    """

    any: float
    lines: tuple[str, ...]
    reached: tuple[Reached, ...]
    pairs: tuple[tuple[str, str, float], ...]
    moved: tuple[Moved, ...]
    batches: int
    certain: bool


def contradiction(brief: Brief) -> tuple[str, str] | None:
    """Two lines that look at one property and leave no value to it, whatever is mixed."""
    for one, other in combinations(brief.lines, 2):
        if one.gauge.channel.name == other.gauge.channel.name:
            slack = APART_SD * sum(sum(sd**2 for sd in g.gauge.shared("").values()) ** 0.5 for g in (one, other))
            if max(one.latent_low, other.latent_low) - min(one.latent_high, other.latent_high) > slack:
                return one.name, other.name
    return None


def unmeetable(book: Notebook, seed: int = 1) -> Unmeetable | None:
    """The verdict with its evidence, or None. Without readings of the lines in question it is never said."""
    return unmeetable_of(known(book), seed)


def unmeetable_of(what: Known, seed: int) -> Unmeetable | None:
    book, belief, aim = what.book, what.belief, what.aim
    certain = contradiction(book.brief)
    if certain is None and len(book.batches) < FEWEST_BATCHES:
        return None
    lines = len(book.brief.lines)
    pool = _pool(belief, aim, np.random.default_rng([seed, len(book.batches), 7]))
    inside = _inside(belief, aim, pool)
    every = float(np.asarray(inside.all(2)).any(1).mean())
    blame = certain or _blamed(book, inside)
    read = _readings(book)
    if certain is None and (every > UNLIKELY or min(read[name] for name in blame) < FEWEST_READ):
        return None
    names = [line.name for line in book.brief.lines]
    alone = inside.any(1).mean(0)
    moved = () if certain else moves(belief, aim, book.keys, seed)
    return Unmeetable(
        any=0.0 if certain else every,
        lines=tuple(blame),
        reached=tuple(_reached(book, belief, aim, i, (float(alone[i]), read[names[i]])) for i in range(lines)),
        pairs=_pairs(names, inside),
        moved=moved,
        batches=len(book.batches),
        certain=certain is not None,
    )


def _pool(belief: Belief, aim: Aim, rng: np.random.Generator) -> Array:
    """Recipes near the best for all lines and for each line, and some spread out."""
    near, wide, score = climbed(belief, aim, rng)
    found = [near[np.argsort(-soft_score(belief, aim, near))[:POOL_NEAR]]]
    for i in range(len(aim.looks)):
        one = only(aim, [i])
        found.append(wide[np.argsort(-soft_score(belief, one, wide))[: POOL_NEAR // 4]])
    weight = np.exp(0.2 * np.maximum(score, -40))
    found.append(wide[rng.choice(len(wide), POOL_WIDE, replace=False, p=weight / weight.sum())])
    return np.concatenate(found)


def only(aim: Aim, which: Sequence[int]) -> Aim:
    """The aim of some of the lines."""
    at = list(which)
    return replace(aim, looks=[aim.looks[i] for i in at], windows=aim.windows[at], reading_sd=aim.reading_sd[at])


def _inside(belief: Belief, aim: Aim, pool: Array) -> Flags:
    """(draws, pool, lines) which lines each recipe itself holds in each draw; the nozzle counts as a line."""
    mean, cov = jointly(belief, aim, pool, own=False)
    size = len(mean)
    root = root_of(cov)
    drawn = np.random.default_rng([size, len(pool)]).standard_normal((DRAWS, size))
    lines = (mean + drawn @ root.T).reshape(DRAWS, len(pool), -1)
    return np.asarray((lines >= aim.windows[:, 0] - SLACK) & (lines <= aim.windows[:, 1] + SLACK))


def _blamed(book: Notebook, inside: Flags) -> tuple[str, ...]:
    """The line no recipe meets; else the two that least go together; else all lines."""
    names = [line.name for line in book.brief.lines]
    alone = inside.any(1).mean(0)[: len(names)]
    if alone.min() <= UNLIKELY:
        return (names[int(np.argmin(alone))],)
    pairs = _pairs(names, inside)
    if pairs and pairs[0][2] <= UNLIKELY:
        return pairs[0][:2]
    return tuple(names)


def _pairs(names: Sequence[str], inside: Flags) -> tuple[tuple[str, str, float], ...]:
    """Every two lines with the chance that some recipe meets both, the worst first."""
    found = [
        (names[i], names[j], float((inside[:, :, i] & inside[:, :, j]).any(1).mean()))
        for i, j in combinations(range(len(names)), 2)
    ]
    return tuple(sorted(found, key=lambda pair: pair[2]))


def _readings(book: Notebook) -> dict[str, int]:
    """Batches in which each line was read or told by words."""
    counts = {line.name: 0 for line in book.brief.lines}
    for number in range(len(book.batches)):
        for verdict in book.explain(number)[: len(counts)]:
            counts[verdict.name] += verdict.held is not None
    return counts


def _reached(book: Notebook, belief: Belief, aim: Aim, i: int, known: tuple[float, int]) -> Reached:
    """How far line i gets where all the other lines hold best."""
    others = [j for j in range(len(aim.looks)) if j != i] or [i]
    part = only(aim, others)
    near, _, _ = climbed(belief, part, np.random.default_rng([i, len(book.batches), 9]))
    best = near[int(np.argmax(soft_score(belief, part, near)))]
    view = forecast(belief, table(belief.layout, best[None, :]), aim.looks)
    name = book.brief.lines[i].name
    return Reached(name=name, any=known[0], gets_to=predicted(book.brief, belief, view)[name], read=known[1])


def moves(belief: Belief, aim: Aim, keys: Sequence[str], seed: int) -> tuple[Moved, ...]:
    """The bounds that the best recipe presses on, each moved by a third of its span, the most helpful first."""
    rng = np.random.default_rng([seed, 11])
    best, now = _best(belief, aim, rng)
    low, high = aim.box
    span = high - low
    found = []
    for i, key in enumerate(keys):
        for side, end, near in (("least", low, best[i] - low[i]), ("most", high, high[i] - best[i])):
            if span[i] > 1e-6 and near <= PRESSED * span[i]:
                to = float(np.clip(end[i] + (MOVED_BY if side == "most" else -MOVED_BY) * span[i], 0.0, 1.0))
                ends = [low.copy(), high.copy()]
                ends[side == "most"][i] = to
                _, then = _best(belief, replace(aim, box=(ends[0], ends[1])), rng)
                found.append(Moved(key=key, side=side, bound=float(end[i]), to=to, now=now, then=then))
    helpful = [moved for moved in found if moved.to != moved.bound]
    return tuple(sorted(helpful, key=lambda moved: -moved.then)[:MOST_MOVED])


def _best(belief: Belief, aim: Aim, rng: np.random.Generator) -> tuple[Array, float]:
    """The recipe nearest to meeting all lines, and the stated chance that it does."""
    near, _, _ = climbed(belief, aim, rng)
    score = soft_score(belief, aim, near)
    top = near[np.argsort(-score)[:10]]
    chances = recipe_chances(belief, aim, top)
    return np.asarray(top[0]), float(chances.max())
