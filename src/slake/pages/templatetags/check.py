"""Numbers of a check in bench units."""

from __future__ import annotations

from django import template

from slake.ground.problems import plain
from slake.ground.units import from_si

register = template.Library()


@register.filter
def in_unit(number: float, unit: str) -> str:
    """An SI number in a bench unit, three figures."""
    return plain(float(f"{from_si(number, unit):.3g}"))
