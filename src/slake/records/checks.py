"""Constraint pieces used by many models: only finite numbers between limits get into the file."""

from __future__ import annotations

from django.db.models import CheckConstraint, F, Q

LONGEST_NAME = 80
LONGEST_TEXT = 2000


def between(name: str, field: str, low: float, high: float) -> CheckConstraint:
    """A CHECK that also refuses nan and infinities (SQLite stores nan as NULL, which only an optional field takes)."""
    rule = Q(**{f"{field}__gte": low}) & Q(**{f"{field}__lte": high})
    return CheckConstraint(name=name, condition=rule | Q(**{f"{field}__isnull": True}))


def rises(name: str, low: str, high: str) -> CheckConstraint:
    open_side = Q(**{f"{low}__isnull": True}) | Q(**{f"{high}__isnull": True})
    return CheckConstraint(name=name, condition=open_side | Q(**{f"{low}__lte": F(high)}))


def one_of(name: str, field: str, words: list[str]) -> CheckConstraint:
    return CheckConstraint(name=name, condition=Q(**{f"{field}__in": words}))
