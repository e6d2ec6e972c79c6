"""Long lists, one page of rows at a time, newest first: a link to the older ones and one back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest

ROWS_A_PAGE = 50
LONGEST_NUMBER = 12


@dataclass(frozen=True, kw_only=True)
class Page:
    """Rows of one page. `older` and `newer`: what the address says to get there, None where there is none."""

    rows: Sequence[Any]
    total: int
    older: str | None
    newer: str | None


def page_of(request: HttpRequest, rows: QuerySet[Any], by: str = "pk", most: int = ROWS_A_PAGE) -> Page:
    """The page the address asks for: ?before=n shows rows below n, ?after=n those just above it.

    `by` is a unique whole number of the rows, such as a batch's number.
    """
    before, after = _asked(request, "before"), _asked(request, "after")
    falling = rows.order_by(f"-{by}")
    if after is not None:
        found = list(rows.filter(**{f"{by}__gt": after}).order_by(by)[:most])[::-1]
    elif before is not None:
        found = list(falling.filter(**{f"{by}__lt": before})[:most])
    else:
        found = list(falling[:most])
    if not found and (before is not None or after is not None):
        found = list(falling[:most])
    highest, lowest = (getattr(found[0], by), getattr(found[-1], by)) if found else (0, 0)
    return Page(
        rows=found,
        total=rows.count(),
        older=f"before={lowest}" if rows.filter(**{f"{by}__lt": lowest}).exists() else None,
        newer=f"after={highest}" if rows.filter(**{f"{by}__gt": highest}).exists() else None,
    )


def _asked(request: HttpRequest, name: str) -> int | None:
    text = request.GET.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < LONGEST_NUMBER else None
