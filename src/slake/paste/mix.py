"""A recipe as far as its ingredients meet, and what is said of it before it is weighed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from slake.ground.problems import OutsideRange, Problem
from slake.ground.units import from_si, to_si

from .ingredients import HowKnown, Ingredient

LEAST_PART = 1e-6
SENTENCE_END = re.compile(r"(?<=\.) ")
HARDEST_KG_M3 = to_si(2000, "mg/L")


class Severity(Enum):
    """How much it matters; in the order they are shown."""

    STOP = "stop"
    CARE = "care"
    NOTE = "note"


class Effect(Enum):
    """What becomes of the paste, the part or the person."""

    GELS = "gels"
    FIZZES = "fizzes"
    FOAMS = "foams"
    CURDLES = "curdles"
    SPOILS = "spoils"
    HEATS = "heats itself"
    BURNS = "burns skin"
    SENSITISES = "sensitises"
    WEAKENS = "weakens"
    THICKENS = "thickens"
    STICKY = "stays sticky"
    SOFT = "stays soft"
    UNCOOKED = "is not cooked"
    DOSE = "dose"
    COAT = "is a coat"


@dataclass(frozen=True, kw_only=True)
class MixWarning:
    """One sentence said before weighing: what happens, when, what to do, about which ingredients, and how known."""

    rule: str
    effect: Effect
    severity: Severity
    what: str
    when: str
    do: str
    about: tuple[str, ...]
    how: HowKnown
    source: str = ""


@dataclass(frozen=True, kw_only=True)
class Mix:
    """What a recipe is made of, as far as its ingredients meet: dry parts by ingredient key, and what is known beside.

    `ingredients` names every key of `parts`. `water_per_dry` None: doses per water are not judged.
    `hardness_kg_m3` None: nobody measured the water. `cooked`: keys that went through heat and water already.
    `coats`: what will be on the dried part.
    """

    ingredients: Mapping[str, Ingredient]
    parts: Mapping[str, float]
    water_per_dry: float | None = None
    hardness_kg_m3: float | None = None
    cooked: frozenset[str] = frozenset()
    coats: tuple[Ingredient, ...] = ()

    def __post_init__(self) -> None:
        missing = [key for key in self.parts if key not in self.ingredients]
        if missing:
            raise Problem(f"nothing is known of {missing[0]}: give its role, or choose it from the list")
        hard = self.hardness_kg_m3
        if hard is not None and not 0 <= hard <= HARDEST_KG_M3:
            got, most = from_si(hard, "mg/L"), from_si(HARDEST_KG_M3, "mg/L")
            raise OutsideRange("water hardness (mg/L of CaCO3)", got=got, low=0, high=most, do="read the strip again")

    @property
    def within(self) -> tuple[Ingredient, ...]:
        return tuple(self.ingredients[key] for key, part in self.parts.items() if part > LEAST_PART)


def capital(text: str) -> str:
    """The text with its first letter large, the rest as it is."""
    return text[:1].upper() + text[1:]


def sentences(caution: str) -> list[str]:
    """The sentences of a caution, so that each is said once however many ingredients share it."""
    return [one for one in SENTENCE_END.split(caution) if one]
