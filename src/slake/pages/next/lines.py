"""What comes to the notebook page besides its text: a small grid, a file, and which lot each word means."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.core.files.uploadedfile import UploadedFile

from slake.campaign.reading_lines import LONGEST_TEXT
from slake.ground.problems import Problem
from slake.paste.ingredients import Role
from slake.records.models import Lot

GRID_ROWS = 5
LARGEST_FILE_BYTES = 1_000_000
NEW = "new:"
MOST_WORDS = 60
ROLES = tuple(role.value for role in Role if role is not Role.COAT)
EXAMPLE = """shell 300 g, guar 2,5 g, alginate 4, water 140 - stalled; cone 7 mm at 60 min
shell 300, guar 2.5, alginate 4, water 230 - too runny
shell 300, guar 2.5, alginate 4, water 200 - fell at layer 9; cone 19 mm at 60 min
shell 300, guar 3, alginate 8, water 195 - good but cracked; shrinkage 6 %
shell 300, guar 3, alginate 4, water 180 - good; all 40 layers stood; cone 13 mm at 55 min"""


def text_of_file(file: UploadedFile | None) -> str:
    """The text of a file somebody chose: any plain text or table, UTF-8. Raises Problem where it is none."""
    if file is None:
        return ""
    if (file.size or 0) > LARGEST_FILE_BYTES:
        raise Problem(
            f"the file has {(file.size or 0) // 1000} kB, but at most {LARGEST_FILE_BYTES // 1000} kB fit: cut it, or "
            "paste the lines in parts"
        )
    try:
        return file.read().decode("utf-8-sig").replace("\x00", "")
    except UnicodeDecodeError:
        raise Problem("the file is not plain text in UTF-8: save it as CSV (UTF-8), or paste the lines") from None


def joined(*texts: str) -> str:
    """One text of several, line ends alike; blank ones left out."""
    alike = (text.replace("\r\n", "\n").replace("\r", "\n") for text in texts)
    return "\n".join(text.strip("\n") for text in alike if text.strip())


@dataclass(frozen=True, kw_only=True)
class GridCell:
    """One cell of the grid: the name its input goes by, what it is, and what was typed."""

    name: str
    label: str
    typed: str
    css: str = ""


class Grid:
    """Five rows of grams per lot, readings and words; filled rows become lines of text."""

    def __init__(self, lots: Sequence[Lot], typed: Mapping[str, str]) -> None:
        self.columns = [(f"g{lot.pk}", lot.name) for lot in lots] + [("water", "water")]
        self.typed = typed

    @property
    def rows(self) -> list[list[GridCell]]:
        more = [("words", "how it ended", "grid-words"), ("readings", "readings", "grid-words")]
        columns = [(name, f"{label}, g", "") for name, label in self.columns] + more
        return [
            [
                GridCell(name=f"{name}-{n}", label=f"batch {n}: {label}", typed="", css=css)
                for name, label, css in columns
            ]
            for n in range(1, GRID_ROWS + 1)
        ]

    @property
    def lines(self) -> str:
        return "\n".join(filter(None, (self._line(n) for n in range(1, GRID_ROWS + 1))))

    def _line(self, n: int) -> str:
        amounts = [(label, self._text(name, n)) for name, label in self.columns]
        parts = [", ".join(f"{label} {grams}" for label, grams in amounts if grams)]
        parts += [self._text("words", n), self._text("readings", n)]
        return "; ".join(part for part in parts if part)

    def _text(self, name: str, n: int) -> str:
        return " ".join(str(self.typed.get(f"{name}-{n}", "")).split())


def chosen_lots(typed: Mapping[str, str]) -> dict[str, str]:
    """What was picked for each word: a lot's number, or "new:" and the role of a lot still to be made."""
    pairs = ((typed.get(f"word_{n}", ""), typed.get(f"lot_for_{n}", "")) for n in range(MOST_WORDS))
    return {word: pick for word, pick in pairs if word and ((pick.isascii() and pick.isdigit()) or _new_role(pick))}


def known_lots(chosen: Mapping[str, str]) -> dict[str, int]:
    return {word: int(pick) for word, pick in chosen.items() if not pick.startswith(NEW)}


def new_lots(chosen: Mapping[str, str]) -> dict[str, str]:
    """Words that are to become lots, with their roles."""
    return {word: _new_role(pick) for word, pick in chosen.items() if pick.startswith(NEW)}


def _new_role(pick: str) -> str:
    role = pick.removeprefix(NEW)
    return role if pick.startswith(NEW) and role in ROLES else ""


def limit_words() -> str:
    characters = f"{LONGEST_TEXT:,}".replace(",", "\N{NO-BREAK SPACE}")
    return f"At most {characters} characters, or a text file of {LARGEST_FILE_BYTES // 1000} kB; any language."
