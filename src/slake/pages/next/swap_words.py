"""A swap in words and rows for its page. Nothing is worked out here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slake.actions.swap import Swap
from slake.actions.swap_effects import Foreseen
from slake.campaign.swap import Changes
from slake.ground.evidence import Range, percent
from slake.ground.units import from_si
from slake.paste.recipe import Recipe

from .levers_words import EffectRow, effect_row
from .words import figures

DRY_G = 300.0


@dataclass(frozen=True, kw_only=True)
class ChangeRow:
    """One thing that changes: which way, how much, how it is known."""

    what: str
    way: str
    words: str
    how: str


@dataclass(frozen=True, kw_only=True)
class AmountRow:
    """Dry grams of one part before and after, in the same batch."""

    name: str
    before: str
    after: str


@dataclass(frozen=True, kw_only=True)
class PointRow:
    """One reading a curve rests on."""

    name: str
    dose: str
    value: str
    address: int


@dataclass(frozen=True, kw_only=True)
class Shown:
    """The whole answer."""

    answer: str
    rests: str
    note: str
    guess: str
    changes: Sequence[ChangeRow]
    amounts: Sequence[AmountRow]
    water: str
    effects: Sequence[EffectRow]
    chance: str
    readings: Sequence[tuple[str, str]]
    points: Sequence[PointRow]
    volumes: str


def shown(before: Recipe, found: Swap, ahead: Foreseen | None) -> Shown:
    return Shown(
        answer=_answer(found),
        rests=f"From the {found.matched.by}." if found.matched else "",
        note=found.matched.note if found.matched else "",
        guess=_guess(found),
        changes=[_change(one) for one in found.changes],
        amounts=_amounts(before, found.recipe) if found.recipe else [],
        water=_range(found.water_per_dry) if found.water_per_dry else "",
        effects=[effect_row(one) for one in ahead.effects] if ahead else [],
        chance=percent(ahead.chance) if ahead else "",
        readings=[(name, _range(value)) for name, value in ahead.readings.items()] if ahead else [],
        points=[_point(name, point.dose_per_100_water, point) for name, point in found.points],
        volumes=_volumes(found),
    )


def _answer(found: Swap) -> str:
    new, old = found.new.item.name, found.old.name
    if found.matched is not None:
        grams, dose = found.matched.grams_for_one, found.matched.dose_per_100_water
        return (
            f"For 1 g of {old} (dry) take {_range(grams)} g of {new} (dry): "
            f"{_range(dose)} g in 100 g of water where it was {figures(found.matched.old_dose_per_100_water)}."
        )
    if found.water_per_dry is not None:
        return f"{new} takes the room of {old}, and the water goes to {_range(found.water_per_dry)} g per g of all dry."
    return f"Unknown: how much {new} does the work of {old} was not read here."


def _guess(found: Swap) -> str:
    if found.orientation is None or found.matched is not None:
        return ""
    return (
        f"A guess from the doses people usually take (common practice, no source): {_range(found.orientation)} g for "
        "1 g. Do not mix from it without the test."
    )


def _range(value: Range) -> str:
    return f"{figures(value.mid)} ({figures(value.low)} to {figures(value.high)})"


def _change(one: Changes) -> ChangeRow:
    way = "cannot be told" if one.times is not None and one.rises is None else ""
    if one.times is not None and one.rises is not None:
        way = "rises" if one.rises else "falls"
    words = one.words if one.times is None else f"times {_range(one.times)}{'; ' + one.words if one.words else ''}"
    return ChangeRow(what=one.what, way=way, words=words, how=one.how)


def _amounts(before: Recipe, after: Recipe) -> list[AmountRow]:
    """In a batch of 300 g of what is in both; gums are few grams of it."""
    found = []
    for name in dict.fromkeys((*before.parts, *after.parts)):
        pair = [f"{DRY_G * recipe.parts.get(name, 0.0):.1f}" for recipe in (before, after)]
        found.append(AmountRow(name=f"{name}, dry", before=pair[0], after=pair[1]))
    water = [f"{DRY_G * recipe.water_per_dry:.1f}" for recipe in (before, after)]
    return [*found, AmountRow(name="all the water", before=water[0], after=water[1])]


def _point(name: str, dose: float, point: object) -> PointRow:
    reading = point.reading  # type: ignore[attr-defined]
    value = f"{figures(reading.headline_value)} {reading.headline_unit}"
    return PointRow(name=name, dose=f"{dose:.2f}", value=value, address=reading.pk)


def _volumes(found: Swap) -> str:
    if found.volumes is None:
        return ""
    then, now = (from_si(part, "%") for part in found.volumes)
    return f"Solids with the water they drink fill {then:.0f} % of the paste now and {now:.0f} % then."
