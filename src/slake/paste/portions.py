"""The amounts in the order they go into the bowl. A gum takes its dry blend out of the filler's own amount, so that all
portions together are what the recipe holds.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from .amounts import Amount, rounded
from .order import BLEND_TIMES, MOST_BLEND_TIMES, DryBlend, dry_blend, order_rules, rule_for

JAR = "Into a dry jar; {gums} next, into the same jar."
INTO_JAR = "Into the jar with the {filler}."
LAST_INTO_JAR = "Into the jar with the {filler}; close and shake it, then rain the blend into stirred water."
THE_REST = "The rest of it. "


def in_order(amounts: Sequence[Amount]) -> tuple[Amount, ...]:
    """Each told what to do with it and why. The filler of a dry blend comes as a portion for it, then the rest."""
    alone = [_alone(a) for a in amounts]
    blend = dry_blend({a.key: (a.kind, a.role) for a in amounts}, {a.key: a.kg for a in amounts})
    if blend is None:
        return tuple(sorted(alone, key=_by_place))
    gums = sorted((a for a in alone if a.key in blend.gums), key=_by_place)
    filler = next(a for a in alone if a.key == blend.filler)
    jar, rest = _portions(filler, gums)
    others = sorted((a for a in [*alone, *rest] if a is not filler and a.key not in blend.gums), key=_by_place)
    before = [a for a in others if _place(a) < _place(gums[0])]
    return (*before, jar, *_into_jar(gums, blend), *others[len(before) :])


def _portions(filler: Amount, gums: Sequence[Amount]) -> tuple[Amount, list[Amount]]:
    """The portion for the blend, and what is left of the filler: all of it goes where the blend can take it."""
    gum_kg = math.fsum(gum.kg for gum in gums)
    kg = filler.kg
    if kg > MOST_BLEND_TIMES * gum_kg:
        kg = max(rounded(BLEND_TIMES * gum_kg, filler.resolution_kg), filler.resolution_kg)
    names = " and ".join(_called(gum) for gum in gums)
    jar = replace(filler, kg=kg, do=JAR.format(gums=names), why=_gum_why())
    left = round(filler.kg - kg, 9)
    return jar, [replace(filler, kg=left, do=THE_REST + filler.do)] if left > 0 else []


def _into_jar(gums: Sequence[Amount], blend: DryBlend) -> list[Amount]:
    filler = blend.filler.replace("_", " ")
    told = [replace(gum, do=INTO_JAR.format(filler=filler)) for gum in gums]
    return [*told[:-1], replace(told[-1], do=LAST_INTO_JAR.format(filler=filler))]


def _gum_why() -> str:
    return next(rule.blend for rule in order_rules() if rule.blend)


def _alone(amount: Amount) -> Amount:
    rule = rule_for(amount.kind, amount.role)
    return replace(amount, do=rule.alone, why=rule.why)


def _called(amount: Amount) -> str:
    return amount.key.replace("_", " ")


def _place(amount: Amount) -> int:
    return rule_for(amount.kind, amount.role).place


def _by_place(amount: Amount) -> tuple[int, float, str]:
    return _place(amount), -amount.kg, amount.key
