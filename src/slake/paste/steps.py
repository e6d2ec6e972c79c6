"""The timed steps of one batch, from premix to discard, and when each is due. The steps are data: steps.toml.

Common practice, no source; pot life and discard time are those of keeping.py.
"""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

from slake.ground.problems import OutsideRange
from slake.ground.units import from_si, to_si

from .ingredients import Role
from .keeping import Keeping
from .order import rule_for

PRINT_LASTS_S = to_si(1, "h")
"""Left for the print itself between the last time to load and the end of the pot life: common practice, no source."""
OLDEST_CONE_S = to_si(24, "h")
CONE, LOAD, PRINT, DISCARD = "cone", "load", "print", "discard"


@dataclass(frozen=True, kw_only=True)
class TimedStep:
    """One step. `due_s` counts from first water, None before it; with `after` it is that step's time and `lasts_s`.

    `by`: a limit to keep, such as the pot life, and not a thing to do.
    """

    key: str
    words: str
    why: str
    due_s: float | None = None
    after: str = ""
    lasts_s: float = 0.0
    by: bool = False


@cache
def _declared() -> tuple[tuple[TimedStep, bool], ...]:
    """Every step, and whether it is only for a recipe with a dry blend."""
    text = files("slake.paste").joinpath("steps.toml").read_text(encoding="utf-8")
    found = []
    for key, row in tomllib.loads(text).items():
        step = TimedStep(
            key=key,
            words=row["words"],
            why=row["why"],
            due_s=to_si(row["due_min"], "min") if "due_min" in row else None,
            after=row.get("after", ""),
            lasts_s=to_si(row.get("lasts_min", 0), "min"),
            by=row.get("by", False),
        )
        found.append((step, row.get("blends", False)))
    return tuple(found)


def blends_dry(kinds: Mapping[str, Role]) -> bool:
    """Whether the order of adding blends a gum with dry filler. `kinds`: key of the catalogue -> role."""
    gums = any(rule_for(key, role).blend for key, role in kinds.items())
    return gums and Role.FILLER in kinds.values()


def timed_steps(kinds: Mapping[str, Role], keeping: Keeping, cone_age_s: float) -> tuple[TimedStep, ...]:
    """The steps of a batch of these ingredients, planned in seconds since first water.

    `cone_age_s`: the paste age the brief reads its cone at. Raises OutsideRange where it is no age of a working paste.
    """
    if not 0 < cone_age_s <= OLDEST_CONE_S:
        hours = from_si(cone_age_s, "h")
        raise OutsideRange("age of the cone reading (h)", got=hours, low=0.1, high=24, do="60 min is usual")
    ends = {
        CONE: cone_age_s,
        LOAD: keeping.print_within.mid - PRINT_LASTS_S,
        PRINT: keeping.print_within.mid,
        DISCARD: keeping.discard_warm_s,
    }
    steps: list[TimedStep] = []
    for step, only_blended in _declared():
        if not only_blended or blends_dry(kinds):
            steps.append(replace(step, due_s=_planned(step, steps, ends)))
    return tuple(steps)


def _planned(step: TimedStep, before: Sequence[TimedStep], ends: Mapping[str, float]) -> float | None:
    if step.key in ends:
        return ends[step.key]
    earlier = next((other.due_s for other in before if other.key == step.after), None)
    return step.due_s if earlier is None else earlier + step.lasts_s


def due_times_s(steps: Sequence[TimedStep], done_s: Mapping[str, float]) -> dict[str, float | None]:
    """When each step is due, seconds since first water, after what was really done when (`done_s`).

    A step that follows another moves with it; ages and limits stay where they are.
    """
    due: dict[str, float | None] = {}
    for step in steps:
        earlier = done_s.get(step.after, due.get(step.after))
        due[step.key] = step.due_s if earlier is None else earlier + step.lasts_s
    return due


def next_step(steps: Sequence[TimedStep], done: Collection[str]) -> TimedStep | None:
    """The first step after the last one done; a step passed over is not asked for any more. None at the end."""
    last = max((place for place, step in enumerate(steps) if step.key in done), default=-1)
    return steps[last + 1] if last + 1 < len(steps) else None
