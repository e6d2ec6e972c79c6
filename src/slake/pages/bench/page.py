"""What the bench page shows of one batch now. The parts that change are rendered alone for the outbox."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from functools import partial

from django.http import HttpRequest
from django.template.loader import render_to_string

from slake.actions.advising import Advice, advice
from slake.actions.agreeing import agreeing
from slake.actions.answers import meaning
from slake.actions.keeping import deadlines
from slake.actions.readings_told import Own, own_scatter
from slake.ground.numbers import Limits, read_optional
from slake.ground.problems import Problem
from slake.records.models import Batch, Lot, Reading

from ..readings import Said, said_of
from .card import card_of
from .cone import expected_cone
from .kept import NEWEST, kept_lines
from .others import others_waiting
from .start_dry import start_dry
from .steps import steps_context
from .took import scales_said, took_context

LIVE = ("clock", "steps", "bowl", "over", "card", "dry", "now", "took", "room", "scale", "others", "lines")
LEFT = Limits(low=1, high=100_000, unit="g", do="weigh the bowl and take off its tare")


def live_context(batch: Batch, now: datetime, asked: Mapping[str, str]) -> dict[str, object]:
    """Everything the changing parts show. `asked`: left_g, grams of paste left where somebody weighed them, and
    step, the step of the card to show.
    """
    left_typed = asked.get("left_g", "")
    readings = list(batch.readings.select_related("strike", "person", "instrument").order_by("-at", "-id")[:NEWEST])
    standing = next((row for row in readings if not hasattr(row, "strike")), None)
    own = own_scatter(row.test for row in readings)
    says = partial(meaning, own=own)
    said = said_of(standing, says) if standing else None
    told, trouble = _advised(batch, said, left_typed, own)
    return {
        "batch": batch,
        **_times(batch, now),
        "card": card_of(batch, _step_asked(asked.get("step", ""))),
        **steps_context(batch, now),
        **took_context(batch, standing),
        "scales": scales_said(now),
        **_foretold(batch, readings),
        "said": said,
        "advice": told,
        "advice_lot": _filler_of(batch, told),
        "advice_trouble": trouble,
        "left_typed": left_typed[:20],
        "kept": kept_lines(batch, [said_of(row, says) for row in readings]),
        "others": others_waiting(batch, now),
        "together": agreeing(batch, own),
    }


def _foretold(batch: Batch, readings: Sequence[Reading]) -> dict[str, object]:
    """What was said of this batch before it was mixed, and is still of use."""
    standing = [row for row in readings if not hasattr(row, "strike")]
    return {"cone": expected_cone(batch), "dry": start_dry(batch, standing)}


def _times(batch: Batch, now: datetime) -> dict[str, object]:
    """Now and first water, as the script reads them; and until when the paste keeps."""
    water = batch.first_water_at
    return {
        "now_s": f"{now.timestamp():.3f}",
        "water_s": f"{water.timestamp():.3f}" if water else "",
        "deadlines": deadlines(batch),
    }


def _filler_of(batch: Batch, told: Advice | None) -> Lot | None:
    """The lot to knead in where the advice names one; None for water."""
    if told is None or not told.add_filler:
        return None
    return next((row.lot for row in batch.amounts.all() if row.lot and row.lot.name == told.add_filler), None)


def _step_asked(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 5 else 0


def _advised(batch: Batch, said: Said | None, left_typed: str, own: Own) -> tuple[Advice | None, str]:
    """What to do now, or the sentence why that cannot be said."""
    if said is None or said.meaning is None:
        return None, ""
    try:
        return advice(batch, said.reading, read_optional(left_typed, "paste left in the bowl", LEFT), own), ""
    except Problem as problem:
        return None, str(problem)


def live_parts(request: HttpRequest, context: Mapping[str, object]) -> dict[str, str]:
    """Each changing part as the page has it, without tokens: the script sends what they hold."""
    shown = {**context, "for_script": True}
    return {name: render_to_string(f"bench/live/{name}.html", shown, request) for name in LIVE}
