"""Levers in words and rows for their page. Nothing is worked out here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slake.actions.levers import Amount, Said
from slake.campaign.changed import Effect, grade_changes
from slake.campaign.levers import Step, Way
from slake.ground.evidence import Range, percent

from .words import figures

LEAST_SAID_G = 0.05


@dataclass(frozen=True, kw_only=True)
class EffectRow:
    """One property: as it was, afterwards, by what factor or by how much, and which way that is."""

    words: str
    before: str
    after: str
    change: str
    way: str
    css: str


@dataclass(frozen=True, kw_only=True)
class Weighed:
    """One lot in the changed recipe."""

    name: str
    grams: str
    more: str
    short: str


@dataclass(frozen=True, kw_only=True)
class Lost:
    """One line of the brief whose chance falls."""

    line: str
    now: str
    then: str


@dataclass(frozen=True, kw_only=True)
class WayShown:
    """One way, single or two together, as the page has it."""

    key: str
    together: bool
    steps: tuple[Step, ...]
    chance: str
    effects: Sequence[EffectRow]
    amounts: Sequence[Weighed]
    changes_recipe: bool
    lost: Sequence[Lost]
    hours: str
    days: str
    readings: Sequence[tuple[str, str]]
    rests: str


def ways_shown(said: Said) -> list[WayShown]:
    """Two together first where one is not enough."""
    ways = (*said.levers.pairs, *said.levers.ways)
    return [_shown(said, way) for way in sorted(ways, key=lambda way: -way.chance)]


def _shown(said: Said, way: Way) -> WayShown:
    changes = any(step.by is not None for step in way.steps)
    return WayShown(
        key=way.key,
        together=len(way.steps) > 1,
        steps=way.steps,
        chance=percent(way.chance),
        effects=[effect_row(effect) for effect in way.effects],
        amounts=[_weighed(amount) for amount in said.amounts(way)] if changes else [],
        changes_recipe=changes,
        lost=[_lost(said, way, name) for name in way.lost],
        hours=_hours(way),
        days=_days(way.more_days),
        readings=[(said.words.get(name, name), _three(value)) for name, value in way.predictions.items()],
        rests=_rests(way),
    )


def effect_row(effect: Effect) -> EffectRow:
    falls = effect.falls
    better = None if falls is None else (falls if effect.name in {"shrinkage", "cracks"} else not falls)
    return EffectRow(
        words=effect.words,
        before=_ranged(effect.before, effect.unit),
        after=_ranged(effect.after, effect.unit),
        change=_change(effect),
        way="cannot be told" if falls is None else "falls" if falls else "rises",
        css="unsure" if better is None else "in" if better else "out",
    )


def _change(effect: Effect) -> str:
    if effect.name == "cracks":
        low, mid, high = grade_changes(effect)
        return f"{mid:+.1f} ({low:+.1f} to {high:+.1f}) grades"
    low, mid, high = (100 * (times - 1) for times in (effect.times.low, effect.times.mid, effect.times.high))
    return f"{mid:+.0f} % ({low:+.0f} to {high:+.0f} %)"


def _ranged(value: Range, unit: str) -> str:
    low, mid, high = (figures(number, unit) for number in (value.low, value.mid, value.high))
    said = "" if unit in {"grade", "layers"} else f" {unit}"
    return f"{mid}{said} ({low} to {high})"


def _three(value: Range) -> str:
    return f"{figures(value.mid)} ({figures(value.low)} to {figures(value.high)})"


def _weighed(amount: Amount) -> Weighed:
    more = "as before" if abs(amount.more_g) < LEAST_SAID_G else f"{amount.more_g:+.1f} g"
    short = f"only {amount.left_g:.0f} g left" if amount.short else ""
    return Weighed(name=amount.name, grams=f"{amount.grams:.1f}", more=more, short=short)


def _lost(said: Said, way: Way, name: str) -> Lost:
    now, then = way.chances[name]
    return Lost(line=said.words.get(name, name), now=percent(now), then=percent(then))


def _hours(way: Way) -> str:
    """What the dearest step takes, and the other on top."""
    low = sum(step.told.hours.low for step in way.steps)
    high = sum(step.told.hours.high for step in way.steps)
    return f"{low:g} to {high:g} h at the bench"


def _days(days: Range | None) -> str:
    return "" if days is None else f"{days.mid:.1f} days more of drying ({days.low:.1f} to {days.high:.1f})"


def _rests(way: Way) -> str:
    own = [step.told.title for step in way.steps if step.by is None]
    if not own:
        return "Worked out from what this bench has read and from usual behaviour, on the recipe below."
    return f"What {' and '.join(own)} does is common practice, no source: no reading of yours is in it."


def whole_words(step: Step) -> str:
    return f"{step.told.title} ({step.words})"
