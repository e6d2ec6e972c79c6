"""Where the number of each line comes from, in one or two plain sentences."""

from __future__ import annotations

import math

from slake.ground.evidence import Range
from slake.ground.units import from_si
from slake.paste.ageing import POT_LIFE_GROWTH
from slake.paste.grains import FIBRES_PER_NOZZLE

from .inputs import Question


def force(question: Question, pressure_pa: Range, contradicted: bool) -> str:
    law, press = question.law, question.press
    parts = [f"{law.title}: {law.why}.", f"Pressure in the barrel about {from_si(pressure_pa.mid, 'kPa'):.0f} kPa."]
    parts.append(f"Stiffness: {question.paste.yield_stress_pa.basis}. Force there is: {press.force_n.basis}.")
    if contradicted:
        parts.append(
            "What it pushed or stalled at does not go with these numbers, so it was left out: check the machine."
        )
    elif press.tried:
        parts.append("What it pushed and stalled at is counted in.")
    parts.append("No published value exists for the extrusion force of a known paste with a measured pressure.")
    return " ".join(parts)


def time_left(question: Question, judged: bool) -> str:
    rate = question.paste.stiffening_per_s
    if not judged:
        return "Not judged: it would most likely not start. See the force first."
    hourly = from_si(rate.mid * 3600, "%")
    quarter = from_si(math.log(POT_LIFE_GROWTH) / rate.mid, "h") if rate.mid > 0 else math.inf
    fit = f" A quarter stiffer, and no longer fit for the same print, it is after about {quarter:.2g} h."
    return (
        "Until the ram stalls, which is later than the paste is fit to print: once it runs, with a full barrel, "
        f"stiffer by about {hourly:.0f} % an hour ({rate.basis}).{fit if quarter < math.inf else ''}"
    )


def foot(question: Question) -> str:
    return (
        "First yield of the foot, sqrt3 x yield stress / (density x g), stiffening while it prints left out: cautious. "
        f"Density: {question.paste.density_kg_m3.basis}.{_closed(question)}"
    )


def fold(question: Question) -> str:
    ratio = question.paste.modulus_per_yield
    learnt = "narrowed by this paste's own folded wall" if not ratio.guessed else "20 to 1500 until a wall of it folded"
    return f"A straight free wall folding sideways; stiffness over yield stress {learnt}.{_closed(question)}"


def _closed(question: Question) -> str:
    wall = question.plan.wall
    if wall is None or not wall.closed:
        return ""
    return " A closed shape stands higher: this is its lower bound."


def grains(question: Question) -> str:
    share = question.plan.grains_per_nozzle
    return f"Limit: nozzle / {share:g} (common practice). Grain: {question.paste.largest_grain_m.basis}."


def fibres(question: Question) -> str:
    return f"Limit: nozzle / {FIBRES_PER_NOZZLE:g} (common practice). Fibre: {question.paste.longest_fibre_m.basis}."


def bleed(question: Question) -> str:
    return (
        "Under 0.5 safe, from 0.5 watch, above 2 it weeps (common practice); no cure is worked out here: try 0.2 to "
        f"0.5 % more gum on water. Bleed: {question.paste.bleed.basis}."
    )


def air(question: Question, stored_m3: Range, late_s: Range) -> str:
    stored = from_si(stored_m3.mid, "mL")
    seconds = f"about {late_s.mid:.0f} s ({late_s.low:.0f} to {late_s.high:.0f})"
    return (
        f"Squeezed to {stored:.2g} mL less at this pressure: the bead starts {seconds} late and oozes as long after "
        f"the stop. Above 3 % beads have gaps (common practice). Air: {question.paste.air_fraction.basis}."
    )
