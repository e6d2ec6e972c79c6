"""Text that a spreadsheet would run is made harmless on its way out, and read as it was meant on its way in."""

from __future__ import annotations

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
QUOTE = "'"


def harmless(cell: object) -> object:
    """A cell for any CSV or XLSX file slake writes: text beginning like a formula gets a quote before it, numbers stay
    numbers.
    """
    return f"{QUOTE}{cell}" if isinstance(cell, str) and cell.startswith(FORMULA_STARTS) else cell


def as_meant(text: str) -> str:
    """A cell of a text table without the quote that only kept it from being run."""
    return text[1:] if text.startswith(QUOTE) and text[1:].startswith(FORMULA_STARTS) else text
