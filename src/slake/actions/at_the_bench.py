"""What only the bench session does: an overshoot is accepted, the room is said for the batch in hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from slake.campaign.proposal import Proposal, described
from slake.ground.evidence import Range
from slake.ground.problems import MovedOn, Problem, plain
from slake.paste.bases import paste_fractions
from slake.paste.recipe import Recipe
from slake.records.models import Action, Batch, Lot, Room
from slake.records.values import moisture_of

from .campaign import Campaign, tell
from .entry import Entry, recorded
from .mixing import Overshoot, overshoot
from .proposing import thickener
from .setting_up import say_room

ACCEPTED = "accept overshoot"
STEP_G = 0.1
SHARE = 0.01
CONE = "cone_depth_mm"


def tolerance_g(target_g: float) -> float:
    """How far a pour may be off without a word: 1 % of it, at least one step of a 0.1 g scale. Common practice."""
    return max(STEP_G, SHARE * target_g)


def overshoot_to_decide(batch: Batch) -> Overshoot | None:
    """The worst overshoot beyond the tolerance that nobody has accepted yet."""
    found = overshoot(batch)
    if found is None or found.over_g <= tolerance_g(found.over_g / (found.factor - 1)):
        return None
    rows = Action.objects.filter(name=ACCEPTED, inputs__batch=batch.pk)
    accepted = any(row.answer == _as_kept(found) for row in rows)
    return None if accepted else found


def _as_kept(over: Overshoot) -> dict[str, object]:
    return {"key": over.key, "over_g": round(over.over_g, 3)}


def require_same(batch: Batch, shown: str) -> Overshoot:
    """The overshoot the person decided on is still the one there is. Raises MovedOn where it grew or went."""
    found = overshoot(batch)
    if found is None:
        raise MovedOn("nothing on the pan is over its amount any more: weigh on to the amount shown")
    if shown and shown != factor_words(found):
        raise MovedOn(
            f"the bowl moved on: it is now {factor_words(found)} times its amount, not {shown[:12]}: look, then choose"
        )
    return found


def require_decided(batch: Batch) -> None:
    """Raises MovedOn while an overshoot waits for a choice: another pour would blur what it was."""
    found = overshoot_to_decide(batch)
    if found is not None:
        raise MovedOn(
            f"{found.key.replace('_', ' ')} is {found.over_g:.1f} g too much: undo it, rescale the rest or accept it "
            "first, then send this again"
        )


def factor_words(over: Overshoot) -> str:
    return f"{over.factor:.3f}"


def accept_as_it_is(entry: Entry, batch_id: int, shown: str = "") -> Batch:
    """Keep the overshoot in the bowl and weigh the rest as planned; the recipe mixed is then another one."""
    with recorded(entry, ACCEPTED, {"batch": batch_id, "shown": shown}) as log:
        batch = Batch.objects.get(pk=batch_id)
        if log.before is None:
            log.answer = _as_kept(require_same(batch, shown))
        return batch


def say_room_here(entry: Entry, batch_id: int, typed: Mapping[str, str]) -> Room:
    """Air at this batch; what was said of the water before stays said."""
    with recorded(entry, "say room here", {"batch": batch_id, **typed}) as log:
        if log.before is not None:
            return Room.objects.get(pk=log.before["room"])
        last = Room.objects.last()
        hardness = "" if last is None or last.water_hardness_mg_l is None else plain(last.water_hardness_mg_l)
        own = Entry(id=entry.part("room"), at=entry.at, person=entry.person)
        room = say_room(own, {"water_hardness_mg_l": hardness, **typed})
        if room.temperature_c is None and room.humidity_percent is None:
            raise Problem("neither temperature nor humidity was given: type one of them, or leave the room for later")
        batch = Batch.objects.get(pk=batch_id)
        batch.temperature_c, batch.humidity_percent = room.temperature_c, room.humidity_percent
        batch.revision += 1
        batch.save()
        log.answer = {"room": room.pk}
        return room


MOST_KEPT = 32
_kept: dict[tuple[object, ...], Proposal] = {}
"""Forecasts of overshoots looked at lately: the page asks again at every entry, the answer is the same."""


@dataclass(frozen=True, kw_only=True)
class Accepting:
    """What accepting an overshoot makes of the batch. Cones are None where the brief has no cone line."""

    water_asked: float
    water_then: float
    gum_asked: float
    gum_then: float
    cone_asked: Range | None
    cone_then: Range | None
    chance_asked: Range | None
    chance_then: Range | None


def accepting(batch: Batch, over: Overshoot) -> Accepting:
    """Recipe and forecast (80 % ranges) as asked and as it would be. Forecasts are None where slake cannot tell yet."""
    lots = [row.lot for row in batch.amounts.select_related("lot") if row.lot]
    asked, then = _forecasts((over.asked, over.accepted), lots)
    return Accepting(
        water_asked=over.asked.water_per_dry,
        water_then=over.accepted.water_per_dry,
        gum_asked=thickener(over.asked, lots),
        gum_then=thickener(over.accepted, lots),
        cone_asked=asked.predictions.get(CONE) if asked else None,
        cone_then=then.predictions.get(CONE) if then else None,
        chance_asked=asked.chance if asked else None,
        chance_then=then.chance if then else None,
    )


def _forecasts(recipes: tuple[Recipe, Recipe], lots: list[Lot]) -> tuple[Proposal | None, Proposal | None]:
    """Both or neither: a bench the notebook cannot take in still decides on its overshoot."""
    moisture = {lot.name: moisture_of(lot).value.mid for lot in lots}
    try:
        told = tell()
        first, second = (_forecast(paste_fractions(recipe, moisture), told) for recipe in recipes)
        return first, second
    except Problem:
        return None, None


def _forecast(fractions: Mapping[str, float], told: Campaign) -> Proposal:
    book = told.book
    row = np.array([fractions.get(name, 0.0) for name in book.keys])
    key = (told.seen, *row.round(9))
    if key not in _kept:
        if len(_kept) >= MOST_KEPT:
            _kept.clear()
        _kept[key] = described(book, book.belief(), book.aim(), row)
    return _kept[key]
