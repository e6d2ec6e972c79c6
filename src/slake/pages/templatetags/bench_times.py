"""Times as short as a label needs."""

from __future__ import annotations

from datetime import datetime

from django import template
from django.utils import timezone

from slake.ground.units import from_si

register = template.Library()


@register.filter
def short_when(moment: datetime) -> str:
    """Day, month and time by the clock of the machine that serves; a label lives for days, so no year."""
    return moment.astimezone().strftime("%-d %b %H:%M")


@register.filter
def clock_time(moment: datetime) -> str:
    """Hour and minute; with the day where that is not today."""
    here, today = moment.astimezone(), timezone.now().astimezone()
    return here.strftime("%H:%M") if here.date() == today.date() else short_when(moment)


@register.filter
def in_days(seconds: float) -> str:
    days = round(from_si(seconds, "day"))
    return f"{days} day" if days == 1 else f"{days} days"


@register.filter
def add_g(grams: float, more: float) -> float:
    """Two masses together."""
    return grams + more
