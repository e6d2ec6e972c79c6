"""One ingredient for another: what else will change, each with direction, range and how it is known; and which test
would tell where nothing was read.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from slake.ground.evidence import Z80, Range
from slake.paste.dose_curve import DoseCurve
from slake.paste.ingredients import HowKnown, Ingredient, Known, Role
from slake.paste.order import rule_for
from slake.paste.traits import Trait

GUMS = (Role.THICKENER, Role.BINDER)
AROUND = (0.6, 1.0, 1.6)
"""Doses to read around the one of the recipe, so that the curve need not be drawn past them."""
PRACTICE_OF = {"springy": "spring-back, ooze and strings", "ready_min": "minutes until it is ready, pot life with it"}
SAID_OF_TRAIT: Mapping[Trait, str] = {
    Trait.KEEPS_THICKENING: "it keeps thickening for one to two hours: read later, print later, and expect less time "
    "from then until it is too stiff",
    Trait.CALCIUM_SET: "calcium from shell or hard water sets it: add shell last and print at once",
    Trait.COOKED: "it must be cooked in its water before it does anything",
    Trait.COLD_SET: "it sets on cooling: the temperature of the barrel becomes part of the recipe",
    Trait.STARCHY: "it is food for mould, and enzymes of flour or grain eat it",
    Trait.SENSITISER: "its dust can make people allergic, for life",
    Trait.PROTEIN: "it is a protein: smell and mould come sooner",
    Trait.ACID: "it is sour: with shell it fizzes",
    Trait.CARBONATE: "it fizzes with anything sour",
    Trait.CALCIUM: "it brings calcium, which sets alginate and some pectins",
    Trait.CELLULOSE_RICH: "it is rich in cellulose: it drinks more, shrinks more and cracks more",
    Trait.OILY: "its oil wets badly and blocks gums",
    Trait.SALTY: "it pulls water from the air: prints stay damp",
    Trait.SUGARS: "its sugars stay sticky in damp air",
}


SAID_OF_HOW: Mapping[HowKnown, str] = {
    HowKnown.READ: "read in a source",
    HowKnown.SECONDARY: "read in a text that reports its source",
    HowKnown.MEMORY: "from memory",
    HowKnown.PRACTICE: "common practice, no source",
    HowKnown.MEASURED: "measured or stated here",
    HowKnown.TYPICAL: "typical of its role",
    HowKnown.PARENTS: "from its parents",
}


@dataclass(frozen=True, kw_only=True)
class Changes:
    """One thing that changes. `times`: the factor, None where it is no number; `rises`: None where it cannot be told.
    `how`: how it is known.
    """

    what: str
    words: str
    rises: bool | None
    how: str
    times: Range | None = None


@dataclass(frozen=True, kw_only=True)
class Telling:
    """The test that would tell, how long it takes hands on, and what to weigh."""

    test: str
    minutes: float
    waits_min: float
    weigh: tuple[str, ...]
    also: tuple[str, ...] = ()


@cache
def _practice() -> Mapping[str, Mapping[str, list[float]]]:
    found: dict[str, Any] = tomllib.loads(files("slake.campaign").joinpath("swap.toml").read_text(encoding="utf-8"))
    return found


def _said(table: str, key: str) -> Range | None:
    row = _practice()[table].get(key)
    return None if row is None else Range(low=row[0], mid=row[1], high=row[2])


def may_replace(old: Ingredient, new: Ingredient) -> bool:
    """Whether the two do the same work: a thickener for a thickener, a filler or fibre for a filler or fibre."""
    drinkers = {Role.FILLER, Role.FIBRE}
    return old.role is new.role or {old.role, new.role} <= drinkers


def what_else(old: Ingredient, new: Ingredient, known: Mapping[str, tuple[Known, Known]]) -> list[Changes]:
    """Everything beside the amount that is known to differ. `known`: values as this bench has them, by what they are,
    old and new.
    """
    found = [_valued(what, *pair) for what, pair in known.items() if pair[0].value.mid > 0 or pair[1].value.mid > 0]
    found += _by_practice(old, new)
    found += [*_traits(old, new), *_order(old, new), *_hazards(old, new), *_allergens(old, new)]
    return [*found, *_never_carried_over(old)]


def ratio(old: Range, new: Range) -> Range:
    """New over old, 80 %, the two not known together."""
    if min(old.low, new.low) <= 0:
        return Range(low=0.0, mid=new.mid / old.mid if old.mid > 0 else 0.0, high=math.inf)
    sds = [math.log(one.high / one.low) / (2 * Z80) for one in (old, new)]
    half, mid = Z80 * math.hypot(*sds), new.mid / old.mid
    return Range(low=mid * math.exp(-half), mid=mid, high=mid * math.exp(half))


def rises(times: Range) -> bool | None:
    return True if times.low > 1 else False if times.high < 1 else None


def _valued(what: str, old: Known, new: Known) -> Changes:
    times = ratio(old.value, new.value)
    how = " and ".join(dict.fromkeys(SAID_OF_HOW[one.how] for one in (old, new)))
    if not math.isfinite(times.high):
        return Changes(what=what, words="cannot be told", rises=None, how=how)
    return Changes(what=what, words="", rises=rises(times), how=how, times=times)


def _by_practice(old: Ingredient, new: Ingredient) -> Iterator[Changes]:
    for table, what in PRACTICE_OF.items():
        pair = _said(table, old.key), _said(table, new.key)
        if None in pair:
            if new.role in GUMS:
                yield Changes(what=what, words="not known", rises=None, how="nobody has said")
            continue
        times = ratio(*(one for one in pair if one is not None))
        yield Changes(what=what, words="", rises=rises(times), how="common practice, no source", times=times)


def _traits(old: Ingredient, new: Ingredient) -> Iterator[Changes]:
    for trait in sorted(new.traits ^ old.traits, key=lambda one: one.value):
        if trait in SAID_OF_TRAIT:
            gained = trait in new.traits
            words = SAID_OF_TRAIT[trait] if gained else f"no longer so: {SAID_OF_TRAIT[trait]}"
            yield Changes(what=trait.value, words=words, rises=gained, how="common practice, no source")


def _order(old: Ingredient, new: Ingredient) -> Iterator[Changes]:
    then, now = rule_for(old.key, old.role), rule_for(new.key, new.role)
    if then.name != now.name:
        words = f"{now.alone} {now.why}"
        yield Changes(what="order of adding", words=words, rises=None, how="common practice, no source")


def _hazards(old: Ingredient, new: Ingredient) -> Iterator[Changes]:
    for stage, caution in new.hazards.items():
        if old.hazards.get(stage) != caution:
            yield Changes(what=f"hazard, {stage}", words=caution, rises=None, how="common practice, and safety sheets")


def _allergens(old: Ingredient, new: Ingredient) -> Iterator[Changes]:
    for name in new.allergens:
        if name not in old.allergens:
            words = f"{name} come in: ask everybody in the room, and change the label"
            yield Changes(what="allergen", words=words, rises=True, how="common practice, no source")


def _never_carried_over(old: Ingredient) -> Iterator[Changes]:
    if old.role in GUMS:
        words = "not known of a gum by its run-out: what more of it stays in the wall shrinks with it"
        yield Changes(what="drying shrinkage and cracks", words=words, rises=None, how="nobody has read it")
    words = "not known of the new one: what was read with the old does not carry over"
    yield Changes(what="strength, keeping, and what soil does to it", words=words, rises=None, how="nobody has read it")


def would_tell(old: tuple[str, float], new: tuple[str, float]) -> Telling:
    """The run-out of both, three doses each around those expected. `old`, `new`: name and dose, g dry per 100 g of
    water.
    """
    weigh = [f"{name}: {_doses(dose)} g, each into 100 g of water" for name, dose in (old, new)]
    return Telling(
        test="gum_run_out", minutes=40, waits_min=120, weigh=tuple(weigh),
        also=("the same syringe, the same temperature, the same hours since stirring for all six",),
    )  # fmt: skip


def _doses(middle: float) -> str:
    said = [f"{middle * times:.2g}" for times in AROUND]
    return f"{said[0]}, {said[1]} and {said[2]}"


def would_tell_of_fillers(old: str, new: str, unread: Sequence[str]) -> Telling | None:
    """Water demand and sieve split of those of the two not read here; None where both are."""
    if not unread:
        return None
    weigh = [f"{name}: 10 g for the water demand, 20 g for the sieves" for name in (old, new) if name in unread]
    return Telling(test="water_demand", minutes=20.0 * len(weigh), waits_min=0.0, weigh=tuple(weigh))


@dataclass(frozen=True, kw_only=True)
class Matched:
    """An equivalent dose and what it rests on."""

    dose_per_100_water: Range
    old_dose_per_100_water: float
    by: str
    old: DoseCurve | None = None
    new: DoseCurve | None = None
    note: str = ""

    @property
    def grams_for_one(self) -> Range:
        """Grams of the new one (dry) for one gram of the old."""
        return self.dose_per_100_water.scaled(1 / self.old_dose_per_100_water)
