"""Times as short as a label needs."""

from __future__ import annotations

from datetime import datetime

from django import template

from slake.ground.units import from_si

register = template.Library()


@register.filter
def short_when(moment: datetime) -> str:
    """Day, month and time by the clock of the machine that serves; a label lives for days, so no year."""
    return moment.astimezone().strftime("%-d %b %H:%M")


@register.filter
def in_days(seconds: float) -> str:
    days = round(from_si(seconds, "day"))
    return f"{days} day" if days == 1 else f"{days} days"
