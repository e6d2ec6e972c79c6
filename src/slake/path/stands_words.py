"""The answer in sentences: the bracket, the chance, and where the models do not hold for this object."""

from __future__ import annotations

import math

import numpy as np

from slake.ground.units import from_si

from .standing import Laid, Stack
from .stands_answer import End, Stands

SHELL_FROM = 3.0
"""A round wall is a thin shell from a radius of three walls on."""
SLOW_S = 3600.0


def sentences(found: Stands, stack: Stack) -> list[str]:
    """What is said first: does it stand, between which layers it falls and why, and how sure that is."""
    count = len(stack.done_s)
    top = f"{from_si(float(stack.top_m[-1]), 'mm'):.3g} mm, {count} layers"
    said = [f"It stands to its top ({top}) with a chance of {_percent(found.chance)}."]
    if found.earliest.falls:
        said.append(f"Earliest: {_end(found.earliest)}.")
    else:
        said.append(f"Even at its weakest it stands to the top; first to go would be: {found.earliest.words}.")
    if found.latest.falls:
        said.append(f"Latest: {_end(found.latest)}.")
    else:
        said.append(f"At its strongest it stands to the top; first to go would be: {found.latest.words}.")
    said.append(
        f"If all were as weak as the earliest end takes it, the chance would be {_percent(found.chance_low)}; as "
        f"strong as the latest, {_percent(found.chance_high)}."
    )
    return said


def _end(end: End) -> str:
    spread = end.range_layers
    high = "the top" if math.isinf(spread.high) else f"{spread.high:.3g}"
    return (
        f"at layer {end.layers:.3g} (80 %: {min(spread.low, end.layers):.3g} to {high}), "
        f"{from_si(end.height_m, 'mm'):.3g} mm up, after {from_si(end.time_s, 'min'):.3g} min, {end.words} "
        f"({end.idealisation})"
    )


def _percent(share: float) -> str:
    """A share as percent; certainty is not said of a model."""
    if share < 0.005:
        return "under 1 %"
    if share > 0.995:
        return "over 99 %"
    return f"{from_si(share, '%'):.0f} %"


def outside(stack: Stack, laid: Laid) -> list[str]:
    """Where this object lies outside what the models hold for, or something was not counted."""
    said = []
    round_it = bool(np.all(stack.closed)) and bool(np.all(np.isfinite(stack.radius_m)))
    thick = np.flatnonzero(stack.radius_m < SHELL_FROM * stack.wall_m)
    if round_it and thick.size:
        said.append(
            f"From layer {thick[0] + 1} the radius is under {SHELL_FROM:g} walls: a thin shell no longer describes it."
        )
    if round_it and np.any(np.abs(stack.lean_deg) > 30):
        said.append("It leans by more than 30 deg: folding is worked out for an upright ring.")
    if np.any(stack.closed) and not np.all(stack.closed):
        said.append("Some layers are closed and some open: all are taken as open, which is the weaker.")
    if not np.any(laid.dries_most > 0) and stack.done_s[-1] - stack.done_s[0] > SLOW_S:
        said.append("It takes over an hour and drying is not counted: thin walls may stand higher, and crack.")
    if np.any(stack.span_m > 0) and np.any(stack.lean_deg != 0):
        said.append("Spans are looked at as straight beads, one layer at a time.")
    return said
