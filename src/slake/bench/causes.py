"""Causes of a disagreement, each tried out: the readings as that cause would have them.

The weights of the causes before anything is read, and how far a reading outside its good range may be off, are
practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum

from slake.ground.evidence import Kind
from slake.ground.problems import Problem
from slake.ground.units import from_si

from .comparing import NOT_INSTRUMENT
from .declaration import Choice, Scalar
from .together import COMPARABLE_LOG_AGE, Look

OUT_OF_RANGE_SD, MORE_SCATTER_SD, UNKNOWN_SD = 1.0, 0.3, 1.5
FAR_OUTSIDE_LOG = 0.5
NO_CAUSE_WEIGHT = 0.1
BESIDE_A_BLIND_ONE = 0.4
"""What is left of the weight of a wrong instrument where another reading lies outside its range and this one does not:
the one that is outside is the likelier to be off."""
UNSEEN = 0.5
"""Weight of an instrument nobody has declared, where another one of the bench would fit: practice."""


class Cause(Enum):
    """What may lie behind a disagreement."""

    AGE = "read at different paste ages"
    OUT_OF_RANGE = "read outside the range of the test"
    WRONG_INSTRUMENT = "written down with the wrong instrument"
    SLIP_BY_TEN = "a slip by ten"
    UNKNOWN = "not known"


WEIGHT = {
    Cause.AGE: 0.3,
    Cause.OUT_OF_RANGE: 0.45,
    Cause.WRONG_INSTRUMENT: 0.2,
    Cause.SLIP_BY_TEN: 0.3,
    Cause.UNKNOWN: NO_CAUSE_WEIGHT,
}


@dataclass(frozen=True, kw_only=True)
class Guess:
    """One cause tried out: the looks as it would have them, and what it leaves unexplained (variance, by look)."""

    cause: Cause
    weight: float
    looks: tuple[Look, ...]
    odd: int | None = None
    spare: float = 0.0
    ages: bool = False
    words: str = ""


def guesses(
    looks: Sequence[Look], instruments: Mapping[str, Mapping[str, object]], worst: tuple[int, int]
) -> Iterator[Guess]:
    all_looks = tuple(looks)
    yield _guess(Cause.UNKNOWN, all_looks, spare=UNKNOWN_SD**2, words="why is not known")
    yield _guess(Cause.UNKNOWN, all_looks, spare=MORE_SCATTER_SD**2, words="more scatter than this test usually has")
    if ages_differ(looks[worst[0]], looks[worst[1]]):
        yield aged_guess(all_looks, looks[worst[0]], looks[worst[1]])
    outside = [_outside(look) for look in looks]
    for n, look in enumerate(looks):
        if outside[n] > 0:
            spare = (OUT_OF_RANGE_SD * outside[n]) ** 2
            yield _guess(Cause.OUT_OF_RANGE, all_looks, odd=n, spare=spare, words=_outside_words(look))
        beside = BESIDE_A_BLIND_ONE if outside[n] == 0 and max(outside) > 0 else 1.0
        for cause, share, changed, words in (*_slips(look), *_other_instruments(look, instruments)):
            swapped = (*looks[:n], changed, *looks[n + 1 :])
            less = beside if cause is Cause.WRONG_INSTRUMENT else 1.0
            yield _guess(cause, swapped, odd=n, share=share * less, words=words)


def _guess(cause: Cause, looks: tuple[Look, ...], share: float = 1.0, **more: object) -> Guess:
    return Guess(cause=cause, weight=WEIGHT[cause] * share / len(looks), looks=looks, **more)  # type: ignore[arg-type]


def aged_guess(looks: tuple[Look, ...], one: Look, other: Look) -> Guess:
    """That two of the readings differ because the paste stiffened in between."""
    return _guess(Cause.AGE, looks, ages=True, words=_age_words(one, other))


def ages_differ(one: Look, other: Look) -> bool:
    if one.log_age is None or other.log_age is None:
        return False
    return abs(one.log_age - other.log_age) >= COMPARABLE_LOG_AGE


def _age_words(one: Look, other: Look) -> str:
    minutes = [from_si(look.context.age_s or 0.0, "min") for look in (one, other)]
    return f"they were read {abs(minutes[0] - minutes[1]):.0f} min apart, and paste stiffens"


def _outside(look: Look) -> float:
    """How far outside its good range a reading lies: 0 inside it, 1 from FAR_OUTSIDE_LOG beyond its ends."""
    if look.test.reads_well is None:
        return 0.0
    value, (low, high) = look.test.bench_value(look.raw), look.test.reads_well(look.raw)
    if low <= value <= high:
        return 0.0
    if value <= 0 or (value < low and low <= 0):
        return 1.0
    beyond = math.log(low / value) if value < low else math.log(value / high)
    return min(1.0, beyond / FAR_OUTSIDE_LOG)


def _outside_words(look: Look) -> str:
    assert look.test.reads_well is not None
    value, (low, high) = look.test.bench_value(look.raw), look.test.reads_well(look.raw)
    unit = look.test.notebook_unit
    return f"{look.called} is {value:g} {unit}, and the test reads well from {low:g} to {high:g} {unit}"


Tried = tuple[Cause, float, Look, str]


def _slips(look: Look) -> Iterator[Tried]:
    """Every number of the reading ten times larger and smaller, where its limits allow."""
    scalars = [item for item in look.test.inputs if isinstance(item, Scalar) and look.raw.numbers.get(item.name, 0) > 0]
    typed = [item for item in scalars if _was_typed(look, item.name)]
    for item in typed:
        for factor in (10.0, 0.1):
            value = from_si(look.raw.numbers[item.name] * factor, item.unit)
            if not item.low <= value <= item.high:
                continue
            numbers = {**look.raw.numbers, item.name: look.raw.numbers[item.name] * factor}
            changed = _read_again(replace(look, raw=replace(look.raw, numbers=numbers)), look)
            if changed is not None:
                was = from_si(look.raw.numbers[item.name], item.unit)
                words = f"in {look.called}, {item.label} may be {value:g} {item.unit} and not {was:g}, a slip by ten"
                yield Cause.SLIP_BY_TEN, 1 / (2 * len(typed)), changed, words


def _was_typed(look: Look, name: str) -> bool:
    fields = look.raw.typed.get("fields", look.raw.typed)
    return not isinstance(fields, Mapping) or bool(str(fields.get(name, "")).strip())


def _other_instruments(look: Look, instruments: Mapping[str, Mapping[str, object]]) -> Iterator[Tried]:
    """The other words of every choice, and the facts of the bench's other instruments: those it has are likelier."""
    on_the_shelf = [(name, changed) for name, facts in instruments.items() if (changed := _with_facts(look, facts))]
    of_words = UNSEEN if on_the_shelf else 1.0
    for item in look.test.inputs:
        if isinstance(item, Choice) and item.name in look.raw.words and item.name not in NOT_INSTRUMENT:
            was = item.words[look.raw.words[item.name]]
            for key, word in item.words.items():
                if key != look.raw.words[item.name]:
                    words = {**look.raw.words, item.name: key}
                    changed = _read_again(replace(look, raw=replace(look.raw, words=words)), look)
                    if changed is not None:
                        said = f"in {look.called}, {item.label} may be {word} and not {was}"
                        yield Cause.WRONG_INSTRUMENT, of_words / (len(item.words) - 1), changed, said
    for name, changed in on_the_shelf:
        yield Cause.WRONG_INSTRUMENT, 1.0, changed, f"{look.called} may have been read with “{name}”"


def _with_facts(look: Look, facts: Mapping[str, object]) -> Look | None:
    numbers = {k: float(str(v)) for k, v in facts.items() if k in look.raw.numbers}
    words = {k: str(v) for k, v in facts.items() if k in look.raw.words}
    raw = replace(look.raw, numbers={**look.raw.numbers, **numbers}, words={**look.raw.words, **words})
    same = raw.numbers == look.raw.numbers and raw.words == look.raw.words
    return None if same else _read_again(replace(look, raw=raw), look)


def _read_again(look: Look, before: Look) -> Look | None:
    """The look where the test can still be read so and says no less than it did, else None: what was exact stays so,
    a bound may become any other.
    """
    try:
        headline = look.test.bench_value(look.raw)
        fits = look.test.floor <= headline <= look.test.ceiling
        says_enough = look.evidence.kind is Kind.EXACT or before.evidence.kind is not Kind.EXACT
        return look if fits and says_enough else None
    except (Problem, ValueError):
        return None
