"""A new lot of a known recipe: what to change in it, how sure that is, and the batches that follow.

The recipe is carried over first and changed as little as the difference of the lots asks: its water and its thickener,
and once a batch of the new lot was read every part a little. What the rest of the notebook says of stiffness, force and
drying stays what it is: a lot has a thirst and a small step of its own, not laws of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit, Problem
from slake.paste.ingredients import Role

from .belief import Belief, learn, sight
from .candidates import around
from .chances import all_hold, line_chances, of_the_recipe
from .choose import Aim
from .layout import Layout
from .lot_grains import Sieved, with_grains
from .lot_water import Watered, stiffness_line, water_for
from .not_yet import times_left
from .notebook import Notebook
from .proposal import Proposal, described

Array = NDArray[np.float64]
WATER_LOG, GUM_LOG = (-0.3, 0.3, 121), (-0.4, 0.4, 9)
NEAR, CLOSER = 20, (0.06, 0.03, 0.015)
AROUND = 200
LOTS_DIFFER, DIFFER_EXPECTED = (0.5, 1.0, 2.0), (-0.7, 0.0, -0.7)
"""What the spread between lots is multiplied by, and the log of how that is expected before any lot was seen."""
SLOPE = 1e-4


@dataclass(frozen=True, kw_only=True)
class Known:
    """A recipe the person goes by. fractions: of the wet paste, by lot as mixed then. swapped: old lot -> new lot.
    batches: numbers of its batches, which held every line. sieved: new lot -> its grains beside those of the old one,
    where sieves tell.
    """

    fractions: Mapping[str, float]
    swapped: Mapping[str, str]
    batches: tuple[int, ...] = ()
    sieved: Mapping[str, Sieved] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class LotChange:
    """carried: the recipe with the new lot in the place of the old. proposal: what to mix, as it should end.

    watered: the water it takes, with its range, and how to come there from the dry side; None where the brief has no
    line of stiffness. differ: what the spread between lots is taken as, over the usual one. lots_seen: of the materials
    that changed, the lots before this one that were mixed. drinks: new lot -> what its grains let it drink, over what
    was expected of it without a sieve.
    """

    carried: Mapping[str, float]
    proposal: Proposal
    watered: Watered | None
    thickener: float
    differ: float
    lots_seen: int
    drinks: Mapping[str, Range]


def lot_change(book: Notebook, known: Known, seed: int = 1) -> LotChange:
    """What to change for the new lot. The same evidence and seed give the same answer."""
    book, drinks = with_grains(_marked(book, known), known.sieved)
    base = _carried(book, known)
    belief, differ = lots_learned(book)
    aim = book.aim()
    mine = _mixed_with(book, known)
    chosen = _chosen(book, belief, aim, (base, mine, np.random.default_rng([seed, len(book.batches)])))
    line = stiffness_line(book.brief.lines)
    look = aim.looks[book.brief.lines.index(line)] if line else None
    gums = _gums(book)
    return LotChange(
        carried=dict(zip(book.keys, map(float, base), strict=True)),
        proposal=described(book, belief, aim, chosen),
        watered=water_for(belief, line, look, chosen) if line and look else None,
        thickener=_times(base, chosen, gums),
        differ=differ,
        lots_seen=_lots_seen(book, known),
        drinks=drinks,
    )


def _times(base: Array, chosen: Array, gums: list[int]) -> float:
    """Thickener per dry filler, over that of the recipe carried over."""
    if not gums or base[gums].sum() <= 0:
        return 1.0
    rest = [i for i in range(len(base) - 1) if i not in gums]
    per = [row[gums].sum() / max(row[rest].sum(), 1e-9) for row in (chosen, base)]
    return float(per[0] / per[1])


def _marked(book: Notebook, known: Known) -> Notebook:
    """The same notebook, knowing that the batches of this recipe held every line."""
    wrong = [n for n in known.batches if not 0 <= n < len(book.batches)]
    if wrong:
        raise Problem(f"there is no batch {wrong[0]}: there are {len(book.batches)}, counted from 0")
    marked = copy(book)
    held = set(known.batches)
    marked.batches = [
        replace(told, mixed=replace(told.mixed, held=True)) if n in held else told
        for n, told in enumerate(book.batches)
    ]
    return marked


def _carried(book: Notebook, known: Known) -> Array:
    """The recipe as fractions of the notebook's lots, the new one where the old one was: the same dry grams of it."""
    facts = {f.key: f for f in book.space.facts}
    for key in (*known.fractions, *known.swapped, *known.swapped.values()):
        if key not in book.keys:
            raise Problem(f"the recipe names “{key[:40]}”, which is no lot here: use {', '.join(book.keys)}")
    parts = dict.fromkeys(book.keys, 0.0)
    for key, part in known.fractions.items():
        new = known.swapped.get(key, key)
        dry = (1 - facts[key].moisture) / (1 - facts[new].moisture) if new != key else 1.0
        parts[new] += part * dry
        parts["water"] += part * (1 - dry)
    row = np.array([parts[key] for key in book.keys])
    if row[:-1].sum() <= 0 or row[-1] <= 0:
        raise DoesNotFit("the recipe leaves no powder or no water once the new lot is in it: weigh its moisture again")
    return np.asarray(row / row.sum())


def _mixed_with(book: Notebook, known: Known) -> tuple[int, ...]:
    """Batches that hold a new lot and were read."""
    new = [book.keys.index(key) for key in known.swapped.values()]
    read = [n for n, told in enumerate(book.batches) if told.mixed.readings or told.mixed.outcome.endings]
    return tuple(n for n in read if any(book.batches[n].fractions[i] > 0 for i in new))


def _lots_seen(book: Notebook, known: Known) -> int:
    named = {f.key: f.name for f in book.space.facts}
    changed = {named[key] for key in known.swapped.values()}
    others = [i for i, key in enumerate(book.keys[:-1]) if named[key] in changed and key not in known.swapped.values()]
    return sum(any(told.fractions[i] > 0 for told in book.batches) for i in others)


def lots_learned(book: Notebook) -> tuple[Belief, float]:
    """The belief with the spread between lots that the lots so far make likeliest, and that over the usual spread."""
    layout, mixed = book.layout(), [told.mixed for told in book.batches]
    found = [learn(_spread(layout, times), mixed, book.brief) for times in LOTS_DIFFER]
    worth = [b.fit.log_evidence + e for b, e in zip(found, DIFFER_EXPECTED, strict=True)]
    best = int(np.argmax(worth))
    return found[best], LOTS_DIFFER[best]


def _spread(layout: Layout, times: float) -> Layout:
    """The layout with steps and thirst of lots wider or narrower; lots with no sibling stay as they are."""
    names = [f.name for f in layout.space.facts]
    sd = layout.sd.copy()
    lots = [i for i, name in enumerate(layout.space.names) if name.startswith("lot ")]
    for channel in layout.channels:
        start = layout.places[f"features {channel.name}"]
        sd[[start + i for i in lots]] *= times
    for j, unknown in enumerate(layout.unknowns):
        if unknown.kind == "demand" and names.count(names[unknown.lot]) > 1:
            sd[layout.places["unknowns"] + j] *= times
    return replace(layout, sd=sd)


def _chosen(book: Notebook, belief: Belief, aim: Aim, how: tuple[Array, tuple[int, ...], np.random.Generator]) -> Array:
    """The likeliest recipe to hold every line near the one carried over; what failed with this lot counts."""
    base, mine, rng = how
    rows = _changed(book, base)
    score = _score(belief, aim, rows, mine)
    for size in CLOSER if mine else ():
        best = rows[np.argsort(-score)[:NEAR]]
        rows = np.concatenate([best, around(best, book.box, AROUND, size, rng)])
        score = _score(belief, aim, rows, mine)
    return np.asarray(rows[int(np.argmax(score))])


def _changed(book: Notebook, base: Array) -> Array:
    """The recipe with water and thickener changed, within the bounds where any such recipe is."""
    gums = _gums(book)
    rows = np.tile(base, (WATER_LOG[2] * GUM_LOG[2], 1))
    water, gum = np.meshgrid(np.exp(np.linspace(*WATER_LOG)), np.exp(np.linspace(*GUM_LOG)))
    rows[:, -1] *= water.ravel()
    rows[:, gums] *= gum.ravel()[:, None]
    rows /= rows.sum(1, keepdims=True)
    low, high = book.box
    inside = ((rows >= low - 1e-6) & (rows <= high + 1e-6)).all(1)
    return np.asarray(rows[inside] if inside.any() else rows)


def _gums(book: Notebook) -> list[int]:
    """Columns of the thickeners; of the binders where there is none."""
    for role in (Role.THICKENER, Role.BINDER):
        found = [i for i, f in enumerate(book.space.facts) if f.role is role]
        if found:
            return found
    return []


def _score(belief: Belief, aim: Aim, rows: Array, mine: tuple[int, ...]) -> Array:
    """Chance that every line holds, given that no batch of this lot so far held them all."""
    seen = sight(belief, rows, aim.looks)
    view = of_the_recipe(seen.view)
    chance = all_hold(view.mean, view.cov, aim.windows, 128)
    left = times_left(belief, aim.looks, aim.windows, (seen, seen), mine)[0] if mine else 1.0
    soft = np.log(np.maximum(line_chances(view, aim.windows), 1e-12)).sum(1)
    return np.asarray(chance * left + SLOPE * soft)
