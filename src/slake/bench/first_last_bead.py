"""First and last bead: how much more water the first bead of a cartridge holds than the last; dried in an oven."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from slake.ground.evidence import Evidence, exact
from slake.ground.problems import DoesNotFit
from slake.ground.units import from_si, to_si

from .declaration import About, BenchTest, Context, Headline, Raw, Scalar


def _grams(name: str, label: str) -> Scalar:
    return Scalar(name=name, label=label, unit="g", low=0.2, high=500.0, mend="weigh it without its dish, in grams")


def _plug(name: str, label: str) -> Scalar:
    return replace(_grams(name, label), low=0.0, typical=0.0, open_means="not taken", further=True)


FIRST_WET = _grams("first_wet_g", "first bead, wet, without its dish")
FIRST_DRY = _grams("first_dry_g", "first bead, dry")
LAST_WET = _grams("last_wet_g", "last bead, wet")
LAST_DRY = _grams("last_dry_g", "last bead, dry")
PLUG_WET = _plug("plug_wet_g", "plug left in the barrel, wet")
PLUG_DRY = _plug("plug_dry_g", "plug left in the barrel, dry")
STEP = Scalar(
    name="scale_step_g",
    label="step of the scale",
    unit="g",
    low=0.0001,
    high=5.0,
    typical=0.01,
    mend="read the last digit the scale shows",
)
APART = Scalar(
    name="bead_spread_percent",
    label="points of water more in the first bead",
    unit="%",
    low=-40.0,
    high=40.0,
    mend="take the last from the first, in points of water",
)
SAMPLE_SD = 0.003
MIGRATES = 0.01
"""A third of a point between two samples of one paste; over a point apart, water has run ahead. Practice, no source."""
USUAL_KG, USUAL_WET = to_si(5, "g"), 0.35


def _wet_basis(raw: Raw, wet: Scalar, dry: Scalar, what: str) -> float:
    wet_kg, dry_kg = raw.numbers[wet.name], raw.numbers[dry.name]
    if not 0 < dry_kg < wet_kg:
        raise DoesNotFit(
            f"the {what} weighs {from_si(wet_kg, 'g'):.4g} g wet and {from_si(dry_kg, 'g'):.4g} g dry: dry is less "
            "than wet and more than nothing, both without the dish"
        )
    return (wet_kg - dry_kg) / wet_kg


def _apart(raw: Raw) -> float:
    return _wet_basis(raw, FIRST_WET, FIRST_DRY, "first bead") - _wet_basis(raw, LAST_WET, LAST_DRY, "last bead")


def headline(raw: Raw) -> Headline:
    """Points of water, wet basis, that the first bead holds more than the last. Raises DoesNotFit for what grew."""
    if raw.numbers[PLUG_WET.name] > 0 or raw.numbers[PLUG_DRY.name] > 0:
        _wet_basis(raw, PLUG_WET, PLUG_DRY, "plug")
    words = "water ran ahead of the solids" if _apart(raw) > MIGRATES else ""
    return Headline(name=APART.name, value=from_si(_apart(raw), "%"), unit="%", words=words)


def inverse(raw: Raw, context: Context) -> Evidence:
    """The difference itself, known to the scatter of two samples and two pairs of weighings."""
    step_kg = raw.numbers[STEP.name]
    scale = math.hypot(*(step_kg / math.sqrt(3) / raw.numbers[one.name] for one in (FIRST_WET, LAST_WET)))
    return exact("bead_moisture_apart", _apart(raw), math.hypot(math.sqrt(2) * SAMPLE_SD, scale), on_log=False)


def says(raw: Raw, context: Context) -> Sequence[str]:
    lines = []
    if _apart(raw) > MIGRATES:
        lines.append("over a point apart: the foot of a print dries later and shrinks more than its rim")
    if raw.numbers[PLUG_WET.name] > 0:
        left = from_si(_wet_basis(raw, PLUG_WET, PLUG_DRY, "plug"), "%")
        first = from_si(_wet_basis(raw, FIRST_WET, FIRST_DRY, "first bead"), "%")
        lines.append(f"the plug left in the barrel holds {left:.3g} % water, the first bead {first:.3g} %")
    return lines


def forward(apart: float, context: Context) -> float:
    """The points read are the difference itself."""
    return from_si(apart, "%")


def quick(bead_spread_percent: float) -> Raw:
    """A difference alone: two samples of 5 g about 35 % water."""
    half = 0.5 * APART.take(bead_spread_percent)
    numbers = {
        FIRST_WET.name: USUAL_KG,
        FIRST_DRY.name: USUAL_KG * (1 - USUAL_WET - half),
        LAST_WET.name: USUAL_KG,
        LAST_DRY.name: USUAL_KG * (1 - USUAL_WET + half),
        PLUG_WET.name: 0.0,
        PLUG_DRY.name: 0.0,
        STEP.name: STEP.typical_si(),
    }
    return Raw(numbers=numbers, typed={APART.name: f"{bead_spread_percent:.10g}"})


TEST = BenchTest(
    id="first_last_bead",
    version=1,
    title="First and last bead",
    about=About.BATCH,
    procedure=(
        "Weigh about 5 g of the first bead of a full cartridge at once, on a dish.",
        "Weigh as much of the last bead, and of the plug left in the barrel.",
        "Oven at 103 to 105 C until they stay the same. Cool under a lid, weigh.",
        "Type grams without the dishes.",
    ),
    inputs=(FIRST_WET, FIRST_DRY, LAST_WET, LAST_DRY, PLUG_WET, PLUG_DRY, STEP),
    informs="bead_moisture_apart",
    notebook_name=APART.name,
    notebook_unit="%",
    brief_words="water the first bead holds more than the last",
    floor=APART.low,
    ceiling=APART.high,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    says=says,
    scatter_absolute=0.45,
    scatter_share=0.0,
    validity="One cartridge at one speed; a bead that lay open for minutes has dried. On a scale of 0.1 g take 20 g, "
    "or the difference drowns.",
    sources=("iso18134", "practice"),
    cautions=("Hot dish and oven: gloves.", "Let the pressure down before you take the plug out."),
    sample_ml=8.0,
    minutes=10.0,
)
