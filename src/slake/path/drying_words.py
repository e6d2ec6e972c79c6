"""A drying plan said in rows of plain words: for the page, the command line and the printed page."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from slake.ground.evidence import Range, percent
from slake.ground.units import from_si, to_si
from slake.paste.drying_cracks import Cracks
from slake.paste.drying_schedule import Schedule
from slake.paste.drying_weighed import Weighed
from slake.paste.moist_air import Air, wet_bulb_k

from .drying_asked import Asked

WARM_K, MOULD_FROM_S = to_si(35, "C"), to_si(24, "h")
GRADES = ("none", "hairline", "visible", "wide or long", "through", "broken")
CAUSES = {
    "uneven": "faces dry before the middle",
    "held": "the bed holds the foot while it shrinks",
    "unlike": "base and wall, or first and last bead, shrink unlike",
}
MENDS = {
    "uneven": "keep it covered, take fans and heaters off until shrinking has ended",
    "held": "lay it on film or a thin bed of sand, and cut it free as soon as it can be lifted",
    "unlike": "lay it on a mesh or a porous bat, make the base no thicker than the wall, cover the rim",
}


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of the answer: what, how much with its range, and what goes with it."""

    words: str
    value: str
    more: str = ""


def lines_of(found: Schedule, weighed: Weighed | None = None) -> tuple[Line, ...]:
    """The schedule in the order in which it happens; what lies before the last weighing is taken as done."""
    last_s = weighed.at_s[-1] if weighed else -1.0
    steps = [(found.way.covered_s, _cover(found, last_s))]
    if found.warp is not None:
        steps.append((found.way.freed_s, _turn(found, last_s)))
    return (
        *(line for _, line in sorted(steps, key=lambda step: step[0])),
        Line(words="shrinking ends", value=hours(found.shrunk_s), more="from here a fan, or an oven of 60 C at most"),
        Line(words="dry enough to coat", value=hours(found.dry_s), more="under 0.2 % lost in a day; weigh to be sure"),
    )


def _cover(found: Schedule, last_s: float) -> Line:
    more = _why_covered(found)
    if 0 < found.covered_s.high <= last_s:
        more = "taken as done so"
    return Line(words="keep it covered", value=_covered(found), more=more)


def _turn(found: Schedule, last_s: float) -> Line:
    done = found.freed_s.high <= last_s
    more = "taken as done so" if done else "as soon as it can be lifted; under it a plate or film, both hands"
    return Line(
        words="cut it free" + (" and turn it" if found.needs_turning else ""), value=hours(found.freed_s), more=more
    )


def _covered(found: Schedule) -> str:
    return "no cover" if found.covered_s.high <= 0 else hours(found.covered_s)


def _why_covered(found: Schedule) -> str:
    if found.covered_s.high <= 0:
        return "a cover would hardly make cracks more seldom"
    return "longer would be better for cracks, but mould comes" if found.cover_was_cut else "loosely, with a gap"


def hours(span: Range) -> str:
    """Hours with their range, days beside them where they are long."""
    if span.mid == math.inf:
        return (
            f"later than {_two(from_si(span.low, 'h'))} h" if span.low < math.inf else "not within the time looked at"
        )
    mid = f"{_two(from_si(span.mid, 'h'))} h"
    if span.low == span.high:
        return mid
    high = "later" if span.high == math.inf else _two(from_si(span.high, "h"))
    days = f", {_two(from_si(span.mid, 'day'))} days" if from_si(span.mid, "h") >= 48 else ""
    return f"{mid} ({_two(from_si(span.low, 'h'))} to {high}){days}"


def _two(value: float) -> str:
    rounded = float(f"{value:.2g}") if abs(value) < 100 else float(f"{value:.3g}")
    return f"{rounded:.0f}" if abs(rounded) >= 10 else f"{rounded:g}"


def span(values: Range, unit: str) -> str:
    low, mid, high = (_two(from_si(one, unit)) for one in (values.low, values.mid, values.high))
    return f"{mid} {unit} ({low} to {high})"


def gone_line(found: Schedule, weighed: Weighed | None) -> Line | None:
    """How far it was at the last weighing; None where nothing was weighed."""
    if weighed is None:
        return None
    at = weighed.at_s[-1]
    low, mid, high = (100 * float(np.interp(at, found.curve.times_s, one)) for one in found.curve.gone)
    value = f"{mid:.0f} % ({low:.0f} to {high:.0f})"
    return Line(words="gone of the water that leaves", value=value, more=f"at {_two(from_si(at, 'h'))} h")


def face_lines(asked: Asked, found: Schedule) -> tuple[Line, ...]:
    """What the wet face does, and both ends between which it must lie."""
    faces, room = found.faces, asked.drying.room
    air = Air(temperature_k=room.temperature_k.mid, humidity=room.humidity.mid)
    return (
        Line(
            words="the wet bulb of this air",
            value=f"{from_si(wet_bulb_k(air), 'C'):.1f} C",
            more=f"for {from_si(air.temperature_k, 'C'):.3g} C and {from_si(air.humidity, '%'):.3g} % humidity",
        ),
        Line(words="the wet face has", value=_celsius(faces.face_k), more="it cools itself by what it gives off"),
        Line(words="it gives off", value=span(faces.flux_kg_m2_s, "g/m2.h"), more="a square metre, an hour, uncovered"),
        Line(words="were it as warm as the air", value=span(faces.flux_at_air_kg_m2_s, "g/m2.h"), more="the upper end"),
        Line(
            words="were it at the wet bulb",
            value=span(faces.flux_at_wet_bulb_kg_m2_s, "g/m2.h"),
            more="the lower end: nothing but the air warms it",
        ),
    )


def _celsius(values: Range) -> str:
    low, mid, high = (f"{from_si(one, 'C'):.1f}" for one in (values.low, values.mid, values.high))
    return f"{mid} C ({low} to {high})"


def crack_sentence(cracks: Cracks) -> str:
    """How likely what is, and what brings it."""
    worst = cracks.worst_cause
    return (
        f"A crack of grade 2 or worse comes with a chance of {percent(cracks.two_or_worse)}. What brings it most: "
        f"{CAUSES[worst]} ({span(cracks.drawn_by[worst], '%')} of strain kept back). What would help: {MENDS[worst]}."
    )


def warp_sentence(found: Schedule, across_m: float) -> str:
    """How far a base that lies may curl; "" where nothing lies."""
    if found.warp is None:
        return ""
    return (
        f"Over {_two(from_si(across_m, 'mm'))} mm its base curls {span(found.warp.middle_m, 'mm')}; that it stays "
        f"under 1 mm in 100 has a chance of {percent(found.warp.good_chance)}, that it is over 3 mm in 100 one of "
        f"{percent(found.warp.bad_chance)}."
    )


def cautions(asked: Asked, found: Schedule) -> tuple[str, ...]:
    """What may hurt somebody or spoil the piece on this very plan."""
    said = []
    if found.warp is not None:
        said.append("Lifting: a wet piece breaks and slips. Slide a plate under it, both hands, and mind a heavy one.")
    if found.covered_s.high > MOULD_FROM_S:
        said.append(
            "Mould grows on what stays damp: look at it every day; where you see any, throw it out closed and do not "
            "smell at it."
        )
    if asked.drying.paste.heater.high > 0 or asked.drying.room.temperature_k.mid > WARM_K:
        said.append("Heaters burn skin and paper: keep hands and cover off, and never leave one on alone.")
    said.append("No oven above 40 C before shrinking has ended. Coated while wet it moulds under the coat.")
    return tuple(said)


def curve_rows(found: Schedule, weighed: Weighed | None = None) -> tuple[Mapping[str, str], ...]:
    """The drying curve as a table: hours, mass in % of the wet mass with its range, at round hours and where it was
    weighed; the first weighing is taken to lie on the curve.
    """
    curve, rows = found.curve, []
    shares = weighed_shares(found, weighed)
    last_h = from_si(min(found.dry_s.high, float(curve.times_s[-1])), "h")
    for hour in sorted({0.0, *_round_hours(last_h), *shares}):
        at = to_si(hour, "h")
        low, mid, high = (
            100 * float(np.interp(at, curve.times_s, side)) for side in (curve.low, curve.mid, curve.high)
        )
        seen = f"{shares[hour]:.1f}" if hour in shares else ""
        rows.append({"hours": f"{hour:.4g}", "mid": f"{mid:.1f}", "span": f"{low:.1f} to {high:.1f}", "weighed": seen})
    return tuple(rows)


def weighed_shares(found: Schedule, weighed: Weighed | None) -> dict[float, float]:
    """Weighings by the hour, in % of the wet mass that the first of them stands for."""
    if weighed is None:
        return {}
    first = float(np.interp(weighed.at_s[0], found.curve.times_s, found.curve.mid))
    pairs = zip(weighed.at_s, weighed.mass_kg, strict=True)
    return {from_si(at, "h"): 100 * first * mass / weighed.mass_kg[0] for at, mass in pairs}


def _round_hours(last_h: float) -> list[float]:
    steps = (1, 2, 4, 8, 12, 24, 36, 48, 72, 96, 120, 168, 240, 336, 504, 720, 1000, 1500, 2000, 3000, 4000)
    return [float(h) for h in steps if h < last_h] + [float(next((h for h in steps if h >= last_h), steps[-1]))]
