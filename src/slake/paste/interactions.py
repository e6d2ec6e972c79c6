"""What the ingredients of a recipe do to each other, and doses that do nothing or too much, said before weighing.

The rules are data: interactions.toml. None of them is a clearance where it keeps quiet.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import permutations
from typing import Any

from slake.ground.units import to_si

from .doses import coats_within, doses_outside, uncooked
from .ingredients import HowKnown, Ingredient, Role
from .mix import Effect, Mix, MixWarning, Severity, capital
from .traits import Trait


@dataclass(frozen=True, kw_only=True)
class Group:
    """Ingredients any one of which meets it: named, of a role, or with one of the traits."""

    keys: frozenset[str]
    roles: frozenset[Role]
    traits: frozenset[Trait]

    def met_by(self, item: Ingredient) -> bool:
        return item.key in self.keys or item.role in self.roles or bool(self.traits & item.traits)


@dataclass(frozen=True, kw_only=True)
class Rule:
    """One thing that happens where every group of `needs` is met by another ingredient and none of `unless` is.

    `hardness_kg_m3`: it also needs water harder than this (as CaCO3). `also_coats`: coats count.
    """

    name: str
    needs: tuple[Group, ...]
    unless: tuple[Group, ...]
    hardness_kg_m3: float | None
    also_coats: bool
    effect: Effect
    severity: Severity
    when: str
    what: str
    do: str
    how: HowKnown
    source: str


def _group(row: Mapping[str, Sequence[str]]) -> Group:
    return Group(
        keys=frozenset(row.get("keys", ())),
        roles=frozenset(Role(role) for role in row.get("roles", ())),
        traits=frozenset(Trait[name.upper()] for name in row.get("traits", ())),
    )


def _rule(name: str, row: Mapping[str, Any]) -> Rule:
    return Rule(
        name=name,
        needs=tuple(_group(group) for group in row["needs"]),
        unless=tuple(_group(group) for group in row.get("unless", ())),
        hardness_kg_m3=to_si(row["harder_than"], "mg/L") if "harder_than" in row else None,
        also_coats=row.get("also_coats", False),
        effect=Effect(row["effect"]),
        severity=Severity(row["severity"]),
        when=row["when"],
        what=row["what"],
        do=row["do"],
        how=HowKnown(row["how"]),
        source=row["source"],
    )


@cache
def rules() -> tuple[Rule, ...]:
    """Every rule, in the order of the file."""
    text = files("slake.paste").joinpath("interactions.toml").read_text(encoding="utf-8")
    return tuple(_rule(name, row) for name, row in tomllib.loads(text).items())


def warnings_for(mix: Mix) -> tuple[MixWarning, ...]:
    """Everything known to happen in this mix, worst first; each rule is said once, of all it is about.

    A rule that hangs on the hardness of the water is said as a note where nobody measured it.
    """
    found = [said for rule in rules() for said in _said(rule, mix)]
    found += [*coats_within(mix), *uncooked(mix), *doses_outside(mix)]
    order = list(Severity)
    return tuple(sorted(found, key=lambda warning: order.index(warning.severity)))


def rules_about(item: Ingredient) -> tuple[Rule, ...]:
    """The rules this ingredient can set off, for its own page; not those it keeps quiet itself."""
    coat = item.role is Role.COAT
    able = [
        rule
        for rule in rules()
        if (rule.also_coats or not coat) and not any(group.met_by(item) for group in rule.unless)
    ]
    return tuple(rule for rule in able if any(group.met_by(item) for group in rule.needs))


def _said(rule: Rule, mix: Mix) -> Iterable[MixWarning]:
    here = (*mix.within, *(mix.coats if rule.also_coats else ()))
    if any(group.met_by(item) for group in rule.unless for item in here):
        return
    hard = mix.hardness_kg_m3
    if rule.hardness_kg_m3 is not None and hard is not None and hard <= rule.hardness_kg_m3:
        return
    met = _meeting(rule, here)
    if not met:
        return
    names = [_listed([items[i] for items in met]) for i in range(len(rule.needs))]
    unmeasured = rule.hardness_kg_m3 is not None and hard is None
    what = capital(rule.what.format(*names))
    yield MixWarning(
        rule=rule.name,
        effect=rule.effect,
        severity=Severity.NOTE if unmeasured else rule.severity,
        what=f"{what} Nobody has noted how hard the water is." if unmeasured else what,
        when=rule.when,
        do=rule.do.format(*names),
        about=tuple(dict.fromkeys(item.name for items in met for item in items)),
        how=rule.how,
        source=rule.source,
    )


def _meeting(rule: Rule, here: Sequence[Ingredient]) -> list[tuple[Ingredient, ...]]:
    """Every choice of different ingredients that meets the groups of a rule, one for each group in order."""
    each_once = {item.key: item for item in here}.values()
    useful = [item for item in each_once if any(group.met_by(item) for group in rule.needs)]
    chosen = permutations(useful, len(rule.needs))
    return [each for each in chosen if all(g.met_by(item) for g, item in zip(rule.needs, each, strict=True))]


def _listed(items: Iterable[Ingredient]) -> str:
    return " and ".join(dict.fromkeys(item.name for item in items))
