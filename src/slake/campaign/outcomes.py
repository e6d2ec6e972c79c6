"""How a batch or print ended, in words. Reads several at once; guesses nothing."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum

from slake.ground.problems import Problem

MOST_LAYERS = 10_000
LONGEST = 300


class Ending(Enum):
    TOO_RUNNY = "too runny"
    PUDDLED = "puddled"
    STALLED = "stalled"
    WOULD_NOT_EXTRUDE = "would not extrude"
    CLOGGED = "clogged"
    TORE = "tore"
    KEPT_OOZING = "kept oozing"
    FELL = "fell at layer n"
    FOLDED = "folded"
    FOOT_BULGED = "foot bulged"
    LEANED = "leaned"
    GOOD = "good"
    PRINTED_WELL = "printed well"
    CRACKED = "cracked"
    DRYING = "still drying"


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """`text` as typed; `endings` in the order of the list above; the layer it fell at, where it fell."""

    text: str
    endings: tuple[Ending, ...]
    fell_at: int | None = None

    def has(self, *endings: Ending) -> bool:
        return any(e in self.endings for e in endings)

    @property
    def ended(self) -> bool:
        """Whether anything is said but that it dries."""
        return any(ending is not Ending.DRYING for ending in self.endings)

    @property
    def came_out_well(self) -> bool:
        """Good to the end: what is still drying may crack yet, so its being good so far says nothing of that."""
        return self.has(Ending.GOOD, Ending.PRINTED_WELL) and not self.has(Ending.DRYING)


_PATTERNS: tuple[tuple[str, Ending], ...] = (
    (r"(?:would(?:n['’]t| not) (?:extrude|come out)|too stiff)", Ending.WOULD_NOT_EXTRUDE),
    (r"(?:too )?(?:runny|soupy|soup)|too (?:soft|wet)", Ending.TOO_RUNNY),
    (r"puddled?", Ending.PUDDLED),
    (r"stall(?:ed)?", Ending.STALLED),
    (r"clogged|blocked", Ending.CLOGGED),
    (r"(?:tore|torn)", Ending.TORE),
    (r"kept oozing|oozed", Ending.KEPT_OOZING),
    (r"folded", Ending.FOLDED),
    (r"foot bulged|bulged", Ending.FOOT_BULGED),
    (r"leaned|leant", Ending.LEANED),
    (r"printed (?:well|fine|ok|okay)", Ending.PRINTED_WELL),
    (r"good|fine|ok|okay", Ending.GOOD),
    (r"cracked|cracks?", Ending.CRACKED),
    (r"(?:still )?drying|still wet", Ending.DRYING),
)
_FELL = re.compile(
    r"(fell|collapsed|toppled|leaned|leant|folded|bulged)(?: down| over)? (?:at|on|in) (?:layer )?"
    r"(\d{1,5})(?:st|nd|rd|th)?(?: layer)?"
)
_MODES = {
    "leaned": Ending.LEANED,
    "leant": Ending.LEANED,
    "folded": Ending.FOLDED,
    "bulged": Ending.FOOT_BULGED,
}
_JOINS = re.compile(r"\b(?:but|and|then|it|the|wall|print|base|also|nozzle)\b|[\s,;:.()+/&–-]+")
UNDERSTOOD = (
    "too runny, puddled, stalled, would not extrude, clogged, tore, kept oozing, fell at layer 9 "
    "(folded, foot bulged, leaned), good, printed well, cracked, still drying"
)


def read_outcome(typed: str | None) -> Outcome:
    """Reads words such as "good but cracked" or "fell at layer 9, foot bulged"; empty is an outcome without words.

    Raises Problem for anything not understood, and where two endings cannot both be.
    """
    text = (typed or "").strip()
    if len(text) > LONGEST:
        raise Problem(f"the outcome has {len(text)} characters: use a few words, such as {UNDERSTOOD}")
    rest, found, layer = " ".join(text.casefold().split()), [], None
    fell = _FELL.search(rest)
    if fell:
        layer, rest = int(fell.group(2)), rest[: fell.start()] + " " + rest[fell.end() :]
        found += [Ending.FELL, *([_MODES[fell.group(1)]] if fell.group(1) in _MODES else [])]
        if not 1 <= layer <= MOST_LAYERS:
            raise Problem(f"it fell at layer {layer}: give the layer it fell at, from 1 to {MOST_LAYERS}")
    for pattern, ending in _PATTERNS:
        rest, hits = re.subn(rf"\b(?:{pattern})\b", " ", rest)
        if hits:
            found.append(ending)
    left = _JOINS.sub("", rest)
    if left:
        raise Problem(f"the outcome “{text[:60]}” is not understood: use {UNDERSTOOD}, or several of them")
    return _checked(Outcome(text=text, endings=tuple(e for e in Ending if e in found), fell_at=layer))


def _checked(outcome: Outcome) -> Outcome:
    soft = outcome.has(Ending.TOO_RUNNY, Ending.PUDDLED)
    blocked = outcome.has(Ending.STALLED, Ending.WOULD_NOT_EXTRUDE)
    well = outcome.has(Ending.GOOD, Ending.PRINTED_WELL)
    if (soft and blocked) or (well and (soft or blocked)):
        raise Problem(
            f"the outcome “{outcome.text[:60]}” says two things that cannot both be: keep the one that ended it"
        )
    return outcome
