"""Kettle-weight syringe: the weight that starts a bead out of a hand syringe, read as pressure through that nozzle."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from slake.ground.evidence import Evidence, above, below, exact
from slake.ground.numbers import is_open
from slake.ground.units import from_si
from slake.paste.syringe import push_mass_kg, push_pressure_pa

from .calibration import Calibration
from .declaration import About, BenchTest, Choice, Context, Headline, Raw, Scalar

ONSET = Scalar(
    name="syringe_kg",
    label="weight on the plunger when the bead began to run",
    unit="kg",
    low=0.05,
    high=60.0,
    help="add weight step by step until a steady bead runs",
    mend="add up the weights on the plunger, in kg",
)
ENDED = Choice(
    name="ended",
    label="what the bead did",
    words={"ran": "ran steadily", "stalled": "did not run"},
    typical="ran",
    help="did not run: give the highest weight you had",
)
STEADY = Scalar(
    name="steady_kg",
    label="weight at about 5 mm of bead a second",
    unit="kg",
    low=0.0,
    high=60.0,
    typical=0.0,
    mend="add weight until the bead runs about 5 mm a second, or leave it open",
    open_means="not read",
)
FRICTION = Scalar(
    name="friction_kg",
    label="weight the empty plunger takes, wet with water",
    unit="kg",
    low=0.0,
    high=20.0,
    typical=0.5,
    mend="wet the empty plunger and add weight until it slides",
    open_means="not known: 0.5 kg, give or take 0.3",
)
STEP = Scalar(
    name="weight_step_kg",
    label="steps the weight was added in",
    unit="kg",
    low=0.01,
    high=5.0,
    typical=0.5,
    mend="give the weight of one step",
)
BORE = Scalar(
    name="syringe_bore_mm",
    label="bore of the syringe",
    unit="mm",
    low=3.0,
    high=100.0,
    typical=26.7,
    help="26.7 mm for a 60 mL syringe",
    mend="measure the inside of the barrel with calipers",
)
NOZZLE = Scalar(
    name="syringe_nozzle_mm",
    label="bore of the nozzle",
    unit="mm",
    low=0.3,
    high=20.0,
    typical=2.0,
    mend="measure it with a drill shank or calipers",
)
REPEAT_SD = 0.1
FRICTION_SD_KG, FRICTION_READ_KG = 0.3, 0.1
OWN_SHARE = 0.9
"""Practice, no source: 10 % between repeats, and what is not known of the plunger's friction, most of it its own."""


def headline(raw: Raw) -> Headline:
    """Weight at onset. Raises DoesNotFit where the empty plunger takes all of it."""
    onset_kg = raw.numbers[ONSET.name]
    push_pressure_pa(onset_kg, raw.numbers[FRICTION.name], raw.numbers[BORE.name])
    return Headline(name=ONSET.name, value=onset_kg, unit="kg", words=_words(raw))


def _words(raw: Raw) -> str:
    if raw.words[ENDED.name] == "stalled":
        return "did not run"
    steady_kg = raw.numbers[STEADY.name]
    if steady_kg == 0:
        return ""
    over = (steady_kg - raw.numbers[FRICTION.name]) / (raw.numbers[ONSET.name] - raw.numbers[FRICTION.name])
    return f"{over:.2g} times the pressure at 5 mm/s" if over >= 1 else "runs on with less than it took to start"


def inverse(raw: Raw, context: Context) -> Evidence:
    """Pressure at onset, taken half a step below the weight that ran; above where it did not run."""
    friction_kg, bore_m, step_kg = (raw.numbers[item.name] for item in (FRICTION, BORE, STEP))
    full_pa = push_pressure_pa(raw.numbers[ONSET.name], friction_kg, bore_m)
    net_kg = raw.numbers[ONSET.name] - friction_kg
    if raw.words[ENDED.name] == "stalled":
        found = above("extrusion_pressure_pa", full_pa, REPEAT_SD, on_log=True, **_friction(raw, net_kg, context))
        return replace(found, note="it did not run: it only says “more than this”")
    if net_kg <= step_kg:
        found = below("extrusion_pressure_pa", full_pa, REPEAT_SD, on_log=True, **_friction(raw, net_kg, context))
        return replace(found, note="it ran within the first step: it only says “less than this”; add smaller weights")
    middle_kg = net_kg - step_kg / 2
    pascals = full_pa * middle_kg / net_kg
    scatter = math.hypot(REPEAT_SD, step_kg / math.sqrt(12) / middle_kg)
    return exact("extrusion_pressure_pa", pascals, scatter, on_log=True, **_friction(raw, middle_kg, context))


def _friction(raw: Raw, net_kg: float, context: Context) -> Mapping[str, float]:
    unknown = is_open(str(raw.typed.get(FRICTION.name, "")))
    total = min((FRICTION_SD_KG if unknown else FRICTION_READ_KG) / net_kg, 1.0)
    plunger = Calibration(common_key="plunger_friction", kind="syringe", total=total, own=OWN_SHARE * total)
    return plunger.shared(context.with_which)


def forward(pressure_pa: float, context: Context) -> float:
    """Weight in kg at which the bead begins to run, with the syringe of context.instrument, else the typical one."""
    named = context.instrument
    friction_kg, bore_m, step_kg = (float(named.get(item.name, item.typical_si())) for item in (FRICTION, BORE, STEP))
    return push_mass_kg(pressure_pa, friction_kg, bore_m) + step_kg / 2


def quick(syringe_kg: float) -> Raw:
    """A weight alone: the typical syringe, and the bead ran."""
    numbers = {item.name: item.typical_si() for item in (STEADY, FRICTION, STEP, BORE, NOZZLE)}
    raw = Raw(
        numbers={ONSET.name: ONSET.take(syringe_kg), **numbers},
        words={ENDED.name: "ran"},
        typed={ONSET.name: f"{syringe_kg:g}"},
    )
    headline(raw)
    return raw


def reads_well(raw: Raw) -> tuple[float, float]:
    """Weights (kg) of two steps and more over the plunger's friction."""
    return from_si(raw.numbers[FRICTION.name] + 2 * raw.numbers[STEP.name], "kg"), ONSET.high


TEST = BenchTest(
    id="syringe_push",
    version=1,
    title="Kettle-weight syringe",
    about=About.BATCH,
    procedure=(
        "Wet the empty plunger. Add weight until it slides: that is its friction.",
        "Fill a 60 mL syringe without air. Fit the nozzle you print with. Clamp it upright.",
        "Add 0.5 kg steps until a steady bead runs. Note the weight.",
        "Go on to about 5 mm of bead a second. Note that weight too.",
    ),
    inputs=(ONSET, ENDED, STEADY, FRICTION, STEP, BORE, NOZZLE),
    informs="extrusion_pressure_pa",
    notebook_name=ONSET.name,
    notebook_unit="kg",
    brief_words="weight that starts the bead",
    floor=ONSET.low,
    ceiling=ONSET.high,
    reads_well=reads_well,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    scatter_absolute=0.15,
    scatter_share=REPEAT_SD,
    validity="One nozzle with its land, one syringe, paste of one age: it compares pastes and ages, and carries to a "
    "ram only with the same nozzle. The weight that ran is up to one step too much: half a step is taken off. No "
    "published pressure of a known paste could be read to check it against.",
    sources=("practice",),
    cautions=(
        "Weights fall: clamp the syringe, keep toes and fingers clear.",
        "A clogged nozzle holds pressure: take the weight off before you touch it.",
    ),
    sample_ml=60.0,
    minutes=8.0,
)
