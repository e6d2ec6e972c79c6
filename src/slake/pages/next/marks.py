"""How an ending looks on the map: a shape and words for each, so that nothing rests on colour."""

from __future__ import annotations

from dataclasses import dataclass

from slake.campaign.outcomes import Ending, read_outcome
from slake.ground.problems import Problem


@dataclass(frozen=True, kw_only=True)
class Mark:
    """`shape` is a marker of the drawing library, `glyph` the same shape in text."""

    words: str
    shape: str
    glyph: str
    colour: str


TOO_SOFT = Mark(words="too soft: runny, puddled or oozing", shape="v", glyph="▼", colour="#1f5f99")
TOO_STIFF = Mark(words="too stiff: stalled, clogged or tore", shape="s", glyph="■", colour="#8a3b12")
FELL = Mark(words="fell, folded, bulged or leaned", shape="X", glyph="✖", colour="#6b2d8c")
CRACKED = Mark(words="stood, but cracked", shape="D", glyph="◆", colour="#8a6d00")
GOOD = Mark(words="good", shape="o", glyph="●", colour="#1d6b3a")
NO_WORDS = Mark(words="no ending written down", shape="P", glyph="✚", colour="#444444")
NEXT = Mark(words="proposed next", shape="*", glyph="★", colour="#000000")

_BY_ENDING: tuple[tuple[Mark, tuple[Ending, ...]], ...] = (
    (TOO_SOFT, (Ending.TOO_RUNNY, Ending.PUDDLED, Ending.KEPT_OOZING)),
    (TOO_STIFF, (Ending.STALLED, Ending.WOULD_NOT_EXTRUDE, Ending.CLOGGED, Ending.TORE)),
    (FELL, (Ending.FELL, Ending.FOLDED, Ending.FOOT_BULGED, Ending.LEANED)),
    (CRACKED, (Ending.CRACKED,)),
    (GOOD, (Ending.GOOD, Ending.PRINTED_WELL)),
)


def mark_of(words: str) -> Mark:
    """The mark of an outcome in words: the first of too soft, too stiff, fell, cracked, good that it says."""
    try:
        ending = read_outcome(words)
    except Problem:
        return NO_WORDS
    return next((mark for mark, endings in _BY_ENDING if ending.has(*endings)), NO_WORDS)
