"""In which order things go into the bowl, and why. The rules are data: order.toml. Common practice, no
source.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from .ingredients import Role

BLEND_TIMES = 7.5
"""Filler per gum by mass in a dry blend: the middle of 5 to 10, common practice."""

FEWEST_BLEND_TIMES = 5.0


@dataclass(frozen=True, kw_only=True)
class OrderRule:
    """One place in the order: whom it is for, what to do alone or blended with filler, and the reason."""

    name: str
    place: int
    keys: frozenset[str]
    roles: frozenset[Role]
    alone: str
    blend: str
    why: str


@cache
def order_rules() -> tuple[OrderRule, ...]:
    text = files("slake.paste").joinpath("order.toml").read_text(encoding="utf-8")
    return tuple(
        OrderRule(
            name=name,
            place=row["place"],
            keys=frozenset(row.get("keys", ())),
            roles=frozenset(Role(role) for role in row.get("roles", ())),
            alone=row["alone"],
            blend=row.get("blend", ""),
            why=row["why"],
        )
        for name, row in tomllib.loads(text).items()
    )


def rule_for(key: str, role: Role) -> OrderRule:
    """The rule naming the key, else the one naming the role (every role has one)."""
    named = (rule for rule in order_rules() if key in rule.keys)
    by_role = (rule for rule in order_rules() if role in rule.roles)
    found = next(named, None)
    return found if found is not None else next(by_role)


def blend_filler(kinds: Mapping[str, tuple[str, Role]], received_kg: Mapping[str, float]) -> str | None:
    """The filler to dry-blend gums with: not shell where there is another, then the largest amount.

    `kinds`: what a card calls it -> its key of the catalogue and its role.
    """
    fillers = [key for key, (_, role) in kinds.items() if role is Role.FILLER and received_kg.get(key, 0) > 0]
    if not fillers:
        return None
    return min(fillers, key=lambda key: (rule_for(kinds[key][0], Role.FILLER).place, -received_kg[key], key))
