"""What would carry it: pauses, slower layers, a thicker or waved wall, stiffer paste; each worked out anew."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slake.ground.units import from_si, to_si
from slake.paste.buckling import waved_longer

from .standing import Laid, Stack
from .stands_answer import Stands, chance_of, stands

Array = NDArray[np.float64]
SURE = 0.8
"""A fix carries the object where its chance is at least this: slake's ranges hold 8 in 10."""
HALVINGS, SEARCH_LOOKS = 6, 6
TRIED = (0.0, 0.1, 0.4, 1.0)
"""Shares of the most that are tried first: a change may carry where more of it does not."""
THINNED = 100
TO_SPARE = 0.02
"""Looked for on part of the draws, so with a little more than is asked for."""
WAVES_PER_WALL = 8.0
"""A wall laid in waves repeats after eight of its widths: practice."""
PAUSES_AT = (0.25, 0.5, 0.75)

Changed = Callable[[Stack, Laid, float], tuple[Stack, Laid]]


@dataclass(frozen=True, kw_only=True)
class Lever:
    """Something a person may change, from no change to the most that is tried."""

    name: str
    none: float
    most: float
    words: Callable[[float], str]
    changed: Changed


@dataclass(frozen=True, kw_only=True)
class Fix:
    """The least change of one kind that carries the object, or the most that was tried and does not. amount: in SI or
    times. answer: the whole verdict worked out anew with it.
    """

    name: str
    words: str
    amount: float
    carries: bool
    answer: Stands
    longer_s: float


def _paused(stack: Stack, laid: Laid, amount: float) -> tuple[Stack, Laid]:
    """The same pause after a quarter, half and three quarters of the layers."""
    count = len(stack.done_s)
    after = np.unique([max(round(share * count), 1) for share in PAUSES_AT])
    waits = amount * np.searchsorted(after, np.arange(count), side="right")
    return replace(stack, done_s=stack.done_s + waits), laid


def _slower(stack: Stack, laid: Laid, amount: float) -> tuple[Stack, Laid]:
    return replace(stack, done_s=stack.done_s[0] + (stack.done_s - stack.done_s[0]) * amount), laid


def _thicker(stack: Stack, laid: Laid, amount: float) -> tuple[Stack, Laid]:
    """Wall and contact wider by the same amount of paste; drying is slower by as much."""
    more = stack.wall_m * (amount - 1)
    wide = replace(stack, wall_m=stack.wall_m + more, contact_m=stack.contact_m + more)
    return replace(wide, area_m2=stack.area_m2 + stack.thickness_m * more), laid


def _waved(stack: Stack, laid: Laid, amount: float) -> tuple[Stack, Laid]:
    """Waves of an amplitude of so many walls, eight walls long."""
    return replace(stack, wave_m=amount * float(np.median(stack.wall_m))), laid


def _stiffer(stack: Stack, laid: Laid, amount: float) -> tuple[Stack, Laid]:
    return stack, laid.stiffer(amount)


def _minutes(amount: float) -> str:
    return f"{from_si(amount, 'min'):.3g} min"


LEVERS = (
    Lever(
        name="pauses",
        none=0.0,
        most=to_si(2, "h"),
        words=lambda a: f"pause {_minutes(a)} after a quarter, half and three quarters of the layers, paste covered",
        changed=_paused,
    ),
    Lever(
        name="slower layers",
        none=1.0,
        most=10.0,
        words=lambda a: f"take {a:.3g} times as long over each layer",
        changed=_slower,
    ),
    Lever(
        name="thicker wall",
        none=1.0,
        most=3.0,
        words=lambda a: f"make the wall {a:.3g} times as thick",
        changed=_thicker,
    ),
    Lever(
        name="waved wall",
        none=0.0,
        most=1.5,
        words=lambda a: (
            f"lay the wall in waves {2 * a:.3g} walls from crest to crest across, one every {WAVES_PER_WALL:g} walls "
            f"({waved_longer(a, WAVES_PER_WALL):.2f} times the paste)"
        ),
        changed=_waved,
    ),
    Lever(
        name="stiffer paste",
        none=1.0,
        most=10.0,
        words=lambda a: f"use paste {a:.3g} times as stiff (does the ram still push it?)",
        changed=_stiffer,
    ),
)


def fixes(stack: Stack, laid: Laid, sure: float = SURE) -> tuple[Fix, ...]:
    """Each change alone, at the least amount that brings the chance of the whole object to `sure`.

    Searched on some of the draws by halving, then worked out anew on all of them. What a change does to extrusion,
    drying, joints and travels is not told here: slower layers and pauses weaken joints.
    """
    return tuple(fix_of(lever, stack, laid, sure) for lever in LEVERS)


def fix_of(lever: Lever, stack: Stack, laid: Laid, sure: float = SURE) -> Fix:
    """One change of LEVERS; about a second, so a page may show how far it is between them."""
    few = thinned(laid)

    def carries(amount: float) -> bool:
        return chance_of(*lever.changed(stack, few, amount), looks=SEARCH_LOOKS) >= min(sure + TO_SPARE, 1.0)

    tried = [lever.none + share * (lever.most - lever.none) for share in TRIED]
    found = next((place for place in range(1, len(tried)) if carries(tried[place])), None)
    low, high = (tried[found - 1], tried[found]) if found else (lever.none, lever.most)
    for _ in range(HALVINGS if found else 0):
        middle = (low + high) / 2
        low, high = (low, middle) if carries(middle) else (middle, high)
    new_stack, new_laid = lever.changed(stack, laid, high)
    answer = stands(new_stack, new_laid)
    enough = answer.chance >= sure
    said = lever.words(high)
    short = f"{said} is not enough by itself: chance {from_si(answer.chance, '%'):.0f} %"
    return Fix(
        name=lever.name,
        words=said if enough else short,
        amount=high,
        carries=enough,
        answer=answer,
        longer_s=float(new_stack.done_s[-1] - stack.done_s[-1]),
    )


def thinned(laid: Laid, most: int = THINNED) -> Laid:
    """Every so many-th draw of the paste."""
    every = max(math.ceil(laid.draws / most), 1)
    return laid.each(lambda values: values[::every] if len(values) > 1 else values)
