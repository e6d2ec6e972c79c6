"""Where the campaign stands, in words and rows for a page. Numbers come from the answer as given."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from slake.paste.recipe import WATER

HEADINGS = {
    "good enough": "Good enough: you may stop here",
    "cannot be met": "No recipe in these bounds can do it",
    "mix again": "Mix the last good one again",
    "go on": "Not there yet",
}


@dataclass(frozen=True, kw_only=True)
class Within:
    """One ingredient of the window: grams of the recipe, from and to with all off together, and with it alone off."""

    name: str
    grams: str
    low: str
    high: str
    alone: str


def stands_told(answer: Mapping[str, Any], paste_g: float) -> dict[str, object] | None:
    """What the page shows of it; None for a proposal kept before slake said where one stands."""
    stands = answer.get("stands")
    if not stands:
        return None
    enough, again = stands.get("enough"), stands.get("again")
    return {
        "heading": HEADINGS.get(stands["verdict"], stands["verdict"]),
        "verdict": stands["verdict"],
        "sentences": stands["sentences"],
        "doubts": stands.get("doubts", []),
        "window": window_rows(enough, paste_g) if enough else [],
        "paste_g": f"{paste_g:.0f}",
        "weighed": _recipe_url(enough) if enough else "",
        "again": _recipe_url(again) if again and again["worth_it"] else "",
        "again_batch": again["batch"] if again else None,
        "moves": stands["verdict"] == "cannot be met",
    }


def _recipe_url(kept: Mapping[str, Any]) -> str:
    return reverse("recipe", args=[kept["recipe"]])


def window_rows(enough: Mapping[str, Any], paste_g: float) -> list[Within]:
    """The window in grams of a batch of this size, water last."""
    parts = enough["fractions"]
    order = [*(key for key in parts if key != WATER), *([WATER] if WATER in parts else [])]
    return [_within(key, parts[key] * paste_g, enough["window"]) for key in order]


def _within(key: str, grams: float, window: Mapping[str, Any]) -> Within:
    low, high = (_g(grams * (1 + off)) for off in window["together"][key])
    alone = " to ".join(_g(grams * (1 + off)) for off in window["alone"][key])
    return Within(name="water, all of it" if key == WATER else key, grams=_g(grams), low=low, high=high, alone=alone)


def _g(grams: float) -> str:
    """Grams as far as a window is told: never finer than a kitchen scale."""
    return f"{grams:.1f}"


def settles_words(settles: Mapping[str, float], lines: Mapping[str, str]) -> list[str]:
    """What reading a batch would settle, most first: line by line, how much narrower it is known then."""
    ranked = sorted(settles.items(), key=lambda pair: pair[1])
    told = [f"{lines.get(name, name)}: known {round(100 * (1 - left))} % narrower" for name, left in ranked]
    return [words for words, (_, left) in zip(told, ranked, strict=True) if left < 0.95]


def chances_of(rows: Sequence[Mapping[str, Any]]) -> str:
    """The chance that at least one of today's batches holds every line."""
    return f"{100 * rows[0]['any_holds']:.0f} %"


@dataclass(frozen=True, kw_only=True)
class Beside:
    """One row of recipes side by side: a cell for each."""

    name: str
    cells: Sequence[str]


def side_by_side(answers: Sequence[Mapping[str, Any]], paste_g: float) -> list[Beside]:
    """The chance of each recipe, and what it takes of everything, all water last."""
    names = dict.fromkeys(name for one in answers for name in one["fractions"] if name != WATER)
    chance = Beside(name="all lines hold", cells=[f"{100 * one['chance'][1]:.0f} %" for one in answers])
    rows = [
        Beside(name=name, cells=[_g(paste_g * one["fractions"].get(name, 0.0)) for one in answers])
        for name in (*names, WATER)
    ]
    return [chance, *rows]
