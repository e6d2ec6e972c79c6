"""In which order things go into the bowl, and why. The rules are data: order.toml. Common practice, no
source.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from .ingredients import Role

BLEND_TIMES = 7.5
"""Filler per gum by mass in a dry blend: the middle of 5 to 10, common practice."""

FEWEST_BLEND_TIMES, MOST_BLEND_TIMES = 5.0, 10.0


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


@dataclass(frozen=True, kw_only=True)
class DryBlend:
    """What is blended dry before it meets water: gums, each by what a card calls it, and the filler they go into."""

    filler: str
    gums: tuple[str, ...]


def dry_blend(kinds: Mapping[str, tuple[str, Role]], received_kg: Mapping[str, float]) -> DryBlend | None:
    """The gums that find enough filler for one dry blend, shell only where no other is enough; the largest gums are
    left out until it is enough. None where no filler is.

    `kinds`: what a card calls it -> its key of the catalogue and its role.
    """
    gums = sorted((n for n, (key, role) in kinds.items() if rule_for(key, role).blend), key=lambda n: received_kg[n])
    fillers = sorted(
        (n for n, (_, role) in kinds.items() if role is Role.FILLER),
        key=lambda n: (_place(kinds[n]), -received_kg[n], n),
    )
    for many in range(len(gums), 0, -1):
        wanted = FEWEST_BLEND_TIMES * math.fsum(received_kg[name] for name in gums[:many])
        filler = next((name for name in fillers if received_kg[name] >= wanted > 0), None)
        if filler is not None:
            return DryBlend(filler=filler, gums=tuple(gums[:many]))
    return None


def _place(kind: tuple[str, Role]) -> int:
    return rule_for(*kind).place
