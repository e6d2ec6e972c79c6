"""A proposal in words and rows for its page. Numbers come from the answer as given; none is worked out here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from slake.bench.declaration import Choice
from slake.bench.shelf import test_of_reading
from slake.ground.evidence import percent
from slake.ground.units import from_si
from slake.paste.batch import HELD_BACK, Plan
from slake.paste.recipe import WATER

CONE = "cone_depth_mm"


@dataclass(frozen=True, kw_only=True)
class Prediction:
    """One line of the brief: what slake expects at the stated minute, the window, the chance of this line alone."""

    name: str
    line: str
    low: str
    mid: str
    high: str
    unit: str
    window: str
    chance: str


@dataclass(frozen=True, kw_only=True)
class ToWeigh:
    """One step of the weigh card, grams as received."""

    name: str
    grams: str
    do: str
    why: str
    held_back: bool


def chance_words(answer: Mapping[str, Any]) -> str:
    low, mid, high = answer["chance"]
    return f"Chance that all lines hold: {percent(mid)} (80 %: {100 * low:.0f} to {100 * high:.0f} %)."


NO_WEIGHING_HELPS = "No single weighing of a lot would narrow this by 2 % or more: the batch itself will tell."


def least_known_words(answer: Mapping[str, Any]) -> str:
    """The one thing to weigh next, where weighing it would be felt."""
    return answer["least_known"] if answer["least_known"] in answer["why"] else NO_WEIGHING_HELPS


def reasons_of(answer: Mapping[str, Any]) -> list[str]:
    """Why, without the chance and the least known thing, which the page says by themselves."""
    apart = ("Chance that all lines hold", "Least known:")
    return [sentence for sentence in answer["why"] if not sentence.startswith(apart)]


def prediction_rows(answer: Mapping[str, Any]) -> list[Prediction]:
    rows = [_row(name, three, answer) for name, three in answer["predictions"].items()]
    named = set(answer["predictions"])
    return rows + [
        Prediction(name=name, line=name, low="", mid="", high="", unit="", window="", chance=percent(share))
        for name, share in answer["line_chances"].items()
        if name not in named
    ]


def _row(name: str, three: Sequence[float], answer: Mapping[str, Any]) -> Prediction:
    test = test_of_reading(name)
    unit = test.notebook_unit if test else ""
    low, mid, high = (figures(value, unit) for value in three)
    return Prediction(
        name=name,
        line=answer["line_words"].get(name, name),
        low=low,
        mid=mid,
        high=high,
        unit="" if unit == "grade" else unit,
        window=window_words(answer["windows"].get(name, [None, None])),
        chance=percent(answer["line_chances"].get(name, 0.0)),
    )


def window_words(window: Sequence[float | None]) -> str:
    low, high = window
    if low is None:
        return f"at most {high:g}"
    return f"at least {low:g}" if high is None else f"{low:g} to {high:g}"


def figures(value: float, unit: str = "") -> str:
    """As many figures as a person reads off, never an exponent."""
    if unit == "layers" or abs(value) >= 100:
        return f"{value:.0f}"
    return f"{value:.1f}" if abs(value) >= 1 or unit == "grade" else f"{value:.2g}"


def amounts_of(plan: Plan) -> list[ToWeigh]:
    names = {WATER: "water, now", HELD_BACK: "water held back"}
    return [
        ToWeigh(
            name=names.get(amount.key, amount.key),
            grams=f"{from_si(amount.kg, 'g'):.1f}",
            do=amount.do,
            why=amount.why,
            held_back=amount.key == HELD_BACK,
        )
        for amount in plan.amounts
    ]


PHASES = {
    "dry side": "dry side: on purpose stiffer than wanted, to learn how this material takes water",
    "wet side": "wet side: on purpose softer than wanted, to learn how this material takes water",
    "aim": "aim: the batch after which the fewest more are to be expected until every line holds; where another would "
    "be surer today, this one teaches more",
}


def phase_words(answer: Mapping[str, Any]) -> str:
    return PHASES.get(answer["phase"], answer["phase"])


def parts_words(answer: Mapping[str, Any]) -> str:
    return ", ".join(f"{name} {100 * part:.1f} %" for name, part in answer["parts"].items()) + " of the dry solids"


def paste_words(plan: Plan) -> str:
    """The batch as a whole, with its bases said."""
    dry, paste, water = (from_si(kg, "g") for kg in (plan.dry_kg, plan.paste_kg, plan.water_to_add_kg))
    return f"{paste:.0f} g of paste from {dry:.0f} g of dry solids; {water:.1f} g of water to add in all."


def read_with(answer: Mapping[str, Any], name: str = CONE) -> str:
    """What the reading is foreseen for, such as "30 g, 30 deg": as last used here, else the usual of the test."""
    test, used = test_of_reading(name), answer.get("read_with", {}).get(name, {})
    if test is None:
        return ""
    said = []
    for item in test.inputs:
        typed = used.get(item.name) or item.typical
        if item.name != name and typed is not None:
            said.append(item.words.get(str(typed), "") if isinstance(item, Choice) else f"{typed} {item.unit}")
    return ", ".join(filter(None, (text.replace(".0 ", " ") for text in said)))


def cone_of(rows: Sequence[Prediction]) -> Prediction | None:
    return next((row for row in rows if row.name == CONE), None)
