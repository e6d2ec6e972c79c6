"""How long a paste may be printed and kept. Common practice, no source: a smell, a colour or gas ends it sooner."""

from __future__ import annotations

from dataclasses import dataclass

from slake.ground.evidence import Range
from slake.ground.units import to_si

PRINT_WITHIN = Range(low=to_si(1, "h"), mid=to_si(3, "h"), high=to_si(4, "h"))
"""After first water: the stiffness of most gum pastes changes by under a quarter over one print."""
FRIDGE_WITHIN_S = to_si(5, "day")
WARM_WITHIN_S = to_si(2, "day")
RAW_WARM_WITHIN_S = to_si(1, "day")
MOULD_FROM_S = to_si(2, "day")
"""Covered at about 22 C mould is first seen on day 2 to 4: the early end, from which a tub is looked at daily."""


@dataclass(frozen=True, kw_only=True)
class Keeping:
    """Seconds since first water: print within (range), discard after (kept covered and cold, or warm); mould_from_s:
    the first day on which mould is usual in a warm tub.
    """

    print_within: Range
    discard_cold_s: float
    discard_warm_s: float
    mould_from_s: float
    words: str


def keeping_times(*, raw_food_waste: bool) -> Keeping:
    """Pot life and discard time of a paste without preservative, covered; at 4 C, or at about 20 C."""
    warm = RAW_WARM_WITHIN_S if raw_food_waste else WARM_WITHIN_S
    raw = " Waste that counts as raw spoils sooner: wear gloves and keep it away from food." if raw_food_waste else ""
    return Keeping(
        print_within=PRINT_WITHIN,
        discard_cold_s=FRIDGE_WITHIN_S,
        discard_warm_s=warm,
        mould_from_s=MOULD_FROM_S,
        words="Common practice, no source. Discard at once at any smell, colour, mould or gas." + raw,
    )


NOTHING_GROWS, DRY_ENOUGH, MOULDS_FROM = 0.60, 0.70, 0.80
"""Water activities under which nothing is known to grow, under which a powder usually keeps for months, and from which
most moulds grow. Source: beuchat1981 (memory); the middle one is practice.
"""


def keeps_words(activity: float, sd: float) -> str:
    """Whether a powder or dried piece of this water activity keeps; `sd` is what the reading may be off by."""
    if activity + sd < NOTHING_GROWS:
        return "nothing is known to grow at this"
    if activity + sd < DRY_ENOUGH:
        return "it usually keeps for months, closed"
    if activity - sd < DRY_ENOUGH:
        return "too near 0.70 to say: dry it on, or read it again"
    if activity < MOULDS_FROM:
        return "damp: some moulds grow, dry it on"
    return "most moulds grow at this: dry it on today, or throw it out"
