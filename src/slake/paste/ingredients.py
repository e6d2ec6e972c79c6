"""Typical values of the ingredients a bench meets, each tagged with how it is known. Data: ingredients.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from enum import Enum
from functools import cache
from importlib.resources import files
from typing import Any

from slake.ground.evidence import Range
from slake.ground.problems import Problem

from .traits import Trait


class Role(Enum):
    FILLER = "filler"
    THICKENER = "thickener"
    BINDER = "binder"
    FIBRE = "fibre"
    PLASTICISER = "plasticiser"
    LIQUID = "liquid"
    ADDITIVE = "additive"
    COAT = "coat"


class HowKnown(Enum):
    READ = "read"
    SECONDARY = "secondary"
    MEMORY = "memory"
    PRACTICE = "practice"
    MEASURED = "measured"
    TYPICAL = "typical of its role"
    PARENTS = "from its parents"


@dataclass(frozen=True, kw_only=True)
class Known:
    """A planning value: an 80 % range and how it is known. `source` is a key of sources.toml, or empty."""

    value: Range
    how: HowKnown
    source: str = ""


class Basis(Enum):
    """What a dose is counted on; the value is how a page says its unit."""

    WATER = "g per 100 g of water"
    DRY = "g per 100 g of dry mass"
    AREA = "g per m2 of surface"


@dataclass(frozen=True, kw_only=True)
class Dose:
    """How much of it is used. `limits`: below the low end it does nothing, above the high end it harms: slake warns."""

    usual: Range
    limits: Range
    basis: Basis
    how: HowKnown
    source: str = ""


@dataclass(frozen=True, kw_only=True)
class Fact:
    """One more thing known of it, such as where it melts; `unit` is the unit of `value`."""

    what: str
    value: Range
    unit: str
    how: HowKnown
    source: str = ""


@dataclass(frozen=True, kw_only=True)
class Ingredient:
    """One ingredient as a recipe names it.

    density: of the dry solid, kg/m3. water_demand: water drunk per dry solid to a cohesive ball, g/g.
    moisture: wet basis as bought or prepared (dried, milled), fraction; fresh_moisture: of the waste as it comes.
    linear_shrinkage: of a printable paste that is mostly this, fraction of the wet length. hazards: stage (milling,
    weighing, wetting, heating, handling, storing, coating, burial) -> caution.
    """

    key: str
    name: str
    role: Role
    density_kg_m3: Known
    water_demand: Known
    moisture: Known
    dose: Dose | None = None
    fresh_moisture: Known | None = None
    linear_shrinkage: Known | None = None
    raw_food_waste: bool = False
    traits: frozenset[Trait] = frozenset()
    facts: tuple[Fact, ...] = ()
    allergens: tuple[str, ...] = ()
    hazards: Mapping[str, str] = field(default_factory=dict)
    other_names: tuple[str, ...] = ()

    @property
    def cellulose_rich(self) -> bool:
        return Trait.CELLULOSE_RICH in self.traits

    @property
    def dose_per_100_water(self) -> Known | None:
        """The usual dose of a thickener or binder, which is counted on the water; None for all others."""
        if self.dose is None or self.role not in {Role.THICKENER, Role.BINDER}:
            return None
        return Known(value=self.dose.usual, how=self.dose.how, source=self.dose.source)

    @property
    def how_known(self) -> tuple[HowKnown, ...]:
        """How each value of it is known, one entry for each value; those that say there is none are left out."""
        return tuple(how for how, _ in self.rests_on)

    @property
    def rests_on(self) -> tuple[tuple[HowKnown, str], ...]:
        """How each value is known and by which source, "" where none; as `how_known`."""
        values = (self.density_kg_m3, self.water_demand, self.moisture, self.fresh_moisture, self.linear_shrinkage)
        kept = [(value.how, value.source) for value in values if value is not None and value.value.high > 0]
        dose = () if self.dose is None else ((self.dose.how, self.dose.source),)
        return (*kept, *dose, *((fact.how, fact.source) for fact in self.facts))


def _range(row: Sequence[float]) -> Range:
    return Range(low=row[0], mid=row[1], high=row[2])


def _known(row: Mapping[str, Any]) -> Known:
    return Known(value=_range(row["range"]), how=HowKnown(row["how"]), source=row.get("source", ""))


def _dose(row: Mapping[str, Any]) -> Dose:
    usual, ends = _range(row["range"]), row["limits"]
    limits = Range(low=ends[0], mid=usual.mid, high=ends[1])
    basis = Basis[row["basis"].upper()]
    return Dose(usual=usual, limits=limits, basis=basis, how=HowKnown(row["how"]), source=row.get("source", ""))


def _fact(row: Mapping[str, Any]) -> Fact:
    value, how = _range(row["range"]), HowKnown(row["how"])
    return Fact(what=row["what"], value=value, unit=row["unit"], how=how, source=row.get("source", ""))


def _ingredient(key: str, row: Mapping[str, Any]) -> Ingredient:
    return Ingredient(
        key=key,
        name=row["name"],
        role=Role(row["role"]),
        density_kg_m3=_known(row["density_kg_m3"]),
        water_demand=_known(row["water_demand"]),
        moisture=_known(row["moisture"]),
        dose=_dose(row["dose"]) if "dose" in row else None,
        fresh_moisture=_known(row["fresh_moisture"]) if "fresh_moisture" in row else None,
        linear_shrinkage=_known(row["linear_shrinkage"]) if "linear_shrinkage" in row else None,
        raw_food_waste=row.get("raw_food_waste", False),
        traits=frozenset(Trait[name.upper()] for name in row.get("traits", ())),
        facts=tuple(_fact(fact) for fact in row.get("facts", ())),
        allergens=tuple(row.get("allergens", ())),
        hazards=row.get("hazards", {}),
        other_names=tuple(row.get("other_names", ())),
    )


@cache
def catalogue() -> Mapping[str, Ingredient]:
    """Every ingredient slake has typical values for, by key, in the order of the file."""
    rows = tomllib.loads(files("slake.paste").joinpath("ingredients.toml").read_text(encoding="utf-8"))
    return {key: _ingredient(key, row) for key, row in rows.items()}


PREPARED = frozenset(
    {"ground", "dried", "dry", "fine", "finely", "crushed", "milled", "washed", "sieved", "powdered", "used"}
)


def find(name: str) -> Ingredient | None:
    """The ingredient a person means by `name` (key, name or another name, said with or without how it was
    prepared), or None: then they give its role.
    """
    wanted = name.strip().casefold().replace("_", " ")
    return _by_name().get(wanted) or _by_name().get(_unprepared(wanted))


def close_to(name: str) -> Ingredient | None:
    """The ingredient whose name is spelt most like `name`, for a question, never for a guess; or None."""
    alike = get_close_matches(_unprepared(name.casefold()), _by_name(), n=1, cutoff=0.75)
    return _by_name()[alike[0]] if alike else None


def _unprepared(name: str) -> str:
    return " ".join(word for word in name.replace(",", " ").split() if word not in PREPARED)


@cache
def _by_name() -> Mapping[str, Ingredient]:
    return {
        said.casefold().replace("_", " "): item
        for item in reversed(list(catalogue().values()))
        for said in (item.key, item.name, *item.other_names)
    }


_TYPICAL_OF_ROLE: dict[Role, tuple[Range, Range, Range | None]] = {
    Role.FILLER: (Range(low=1200, mid=1800, high=2800), Range(low=0.2, mid=0.7, high=3.0), None),
    Role.FIBRE: (Range(low=1200, mid=1400, high=1600), Range(low=1.5, mid=3.0, high=5.0), None),
    Role.THICKENER: (
        Range(low=1400, mid=1500, high=1650),
        Range(low=0, mid=0, high=0),
        Range(low=0.5, mid=1.5, high=5),
    ),
    Role.BINDER: (
        Range(low=1300, mid=1500, high=1650),
        Range(low=0, mid=0, high=0),
        Range(low=2, mid=5, high=20),
    ),
    Role.PLASTICISER: (Range(low=1000, mid=1250, high=1300), Range(low=0, mid=0, high=0), None),
    Role.LIQUID: (Range(low=900, mid=1000, high=1100), Range(low=0, mid=0, high=0), None),
    Role.ADDITIVE: (Range(low=1000, mid=1500, high=3000), Range(low=0, mid=0, high=0.5), None),
    Role.COAT: (Range(low=850, mid=950, high=1200), Range(low=0, mid=0, high=0), None),
}


def typical_of_role(name: str, role: Role) -> Ingredient:
    """An ingredient slake has no values for: wide ranges, typical of its role (practice). Raises Problem unnamed."""
    if not name.strip():
        raise Problem("an ingredient needs a name: type what is on the bag")
    density, demand, dose = _TYPICAL_OF_ROLE[role]
    moist = Range(low=0.01, mid=0.06, high=0.15) if role is not Role.LIQUID else Range(low=1, mid=1, high=1)

    def known(value: Range) -> Known:
        return Known(value=value, how=HowKnown.TYPICAL)

    spread = Range(low=dose.low / 2, mid=dose.mid, high=dose.high * 2) if dose else None
    return Ingredient(
        key=name.strip().casefold().replace(" ", "_"),
        name=name.strip(),
        role=role,
        density_kg_m3=known(density),
        water_demand=known(demand),
        moisture=known(moist),
        dose=Dose(usual=dose, limits=spread, basis=Basis.WATER, how=HowKnown.TYPICAL) if dose and spread else None,
    )
