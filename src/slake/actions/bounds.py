"""Bounds a bench gives its notebook: lots of the past are not weighed from, and each waste in use stays in use."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from slake.campaign.span import span_of_use
from slake.paste.ingredients import Role
from slake.records.models import Lot
from slake.records.values import ingredient_of

WASTES = {Role.FILLER, Role.FIBRE}


def bounds_of(
    told: Sequence[Lot], now: Sequence[Lot], fractions: Sequence[Mapping[str, float]]
) -> dict[str, tuple[float, float]]:
    """(low, high) fraction of the wet paste as received, for lots of the past and for wastes beside other wastes.

    `fractions`: past batches by lot name. Gums, water, a waste not tried yet and one that is the only one
    keep their usual spans.
    """
    bounds = {lot.name: (0.0, 0.0) for lot in told if lot not in now}
    wastes = [lot for lot in now if Role(lot.role) in WASTES]
    if len(wastes) < 2:
        return bounds
    kinds = {lot.name: ingredient_of(lot).key for lot in told}
    for lot in wastes:
        alike = [name for name, kind in kinds.items() if kind == kinds[lot.name]]
        span = span_of_use([sum(batch.get(name, 0.0) for name in alike) for batch in fractions])
        if span is not None:
            bounds[lot.name] = span
    return bounds
