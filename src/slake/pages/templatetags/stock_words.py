"""Filters of the pages of stock, packs and cartridges: masses, volumes and times in bench units."""

from __future__ import annotations

from datetime import datetime

from django import template

from slake.actions.packing import Filling
from slake.ground.units import from_si

from .bench import plain, three

register = template.Library()


@register.filter
def kg_as_g(mass_kg: float) -> str:
    """Kilograms inside, grams to a tenth on the page."""
    return f"{from_si(mass_kg, 'g'):.1f} g"


@register.filter
def ml_said(volume_m3: float) -> str:
    return f"{from_si(volume_m3, 'mL'):.0f} mL"


@register.filter
def density_said(density_kg_m3: float) -> str:
    return f"{three(from_si(density_kg_m3, 'g/mL'))} g/mL"


@register.filter
def hours_said(seconds: float) -> str:
    return f"{plain(round(from_si(seconds, 'min')))} min" if seconds < 7200 else f"{from_si(seconds, 'h'):.1f} h"


@register.filter
def share_abs(change: float) -> str:
    """How far two weighings differ, without a sign; below a tenth of a percent only that."""
    percent = abs(from_si(change, "%"))
    return "less than 0.1 %" if percent < 0.1 else f"{percent:.1f} %"


@register.filter
def day_clock(moment: datetime) -> str:
    """Weekday, day and time by the clock of the machine that serves."""
    return moment.astimezone().strftime("%a %-d %b, %H:%M")


@register.filter
def two_ways_said(fill: Filling) -> str:
    """The choice in one line: "3.04: make 3 and trim 18 mL, or fill 4"."""
    ways = fill.ways
    exact = f"{ways.exact_count:.2f}"
    if not ways.fewer:
        return f"{exact}: fill 1 in part"
    if not ways.trim_m3:
        return f"{exact}: fill {ways.more}"
    return f"{exact}: make {ways.fewer} and trim {ml_said(ways.trim_m3)}, or fill {ways.more}"
