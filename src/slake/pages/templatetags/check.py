"""Numbers of a check in bench units."""

from __future__ import annotations

from django import template

from slake.ground.problems import plain
from slake.ground.units import from_si

register = template.Library()


LEAST_SAID = 0.01


@register.filter
def times(number: float) -> str:
    """How many times its load it bears; what is next to nothing is said so."""
    return f"under {LEAST_SAID:g}" if number < LEAST_SAID else plain(float(f"{number:.2g}"))


@register.filter
def in_unit(number: float, unit: str) -> str:
    """An SI number in a bench unit, three figures."""
    return plain(float(f"{from_si(number, unit):.3g}"))
