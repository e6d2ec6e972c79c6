"""Filters of the pages of ingredients and of what ingredients do to each other."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from django import template

from slake.actions.mixes import warnings_of_batch, warnings_of_coats, warnings_of_parts, warnings_of_recipe
from slake.bench.describe import known_sources
from slake.ground.evidence import Range
from slake.ground.units import from_si
from slake.paste.ingredients import HowKnown
from slake.paste.mix import MixWarning, Severity
from slake.records.models import Batch, Lot, Recipe

from .bench import HOW_WORDS, range_plain

register = template.Library()

SEVERITY_WORDS = {Severity.STOP: "Stop", Severity.CARE: "Take care", Severity.NOTE: "Note"}


@register.filter
def warnings_of(thing: Batch | Recipe | Mapping[str, Any]) -> tuple[MixWarning, ...]:
    """What the ingredients of a batch, a recipe or the answer of a proposal do to each other."""
    if isinstance(thing, Batch):
        return warnings_of_batch(thing)
    if isinstance(thing, Recipe):
        return warnings_of_recipe(thing)
    return warnings_of_parts(thing["parts"], thing["water_per_dry"])


@register.filter
def coat_warnings(recipe: Recipe) -> list[tuple[Lot, tuple[MixWarning, ...]]]:
    """What each coat of this bench does on a part of this recipe."""
    return warnings_of_coats(recipe)


@register.filter
def mg_per_litre(hardness_kg_m3: float) -> str:
    """A water hardness as strips say it."""
    return f"{from_si(hardness_kg_m3, 'mg/L'):.0f} mg/L"


@register.filter
def bare_range(value: Range, unit: str) -> str:
    """An SI range in a bench unit that the heading of its column names."""
    return range_plain([from_si(part, unit) for part in (value.low, value.mid, value.high)])


@register.filter
def severity_words(severity: Severity) -> str:
    return SEVERITY_WORDS[severity]


@cache
def _titles() -> Mapping[str, str]:
    """Title of each source by its key."""
    return {key: str(row["title"]) for key, row in known_sources().items()}


@register.filter
def known_words(how: HowKnown, source: str = "") -> str:
    """How it is known, and by which source where one was read."""
    title = _titles().get(source, "")
    return f"{HOW_WORDS[how]}: {title}" if title else HOW_WORDS[how]


@register.filter
def graver(warnings: tuple[MixWarning, ...]) -> list[MixWarning]:
    return [warning for warning in warnings if warning.severity is not Severity.NOTE]


@register.filter
def notes(warnings: tuple[MixWarning, ...]) -> list[MixWarning]:
    return [warning for warning in warnings if warning.severity is Severity.NOTE]
