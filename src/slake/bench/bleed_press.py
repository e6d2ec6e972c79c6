"""Bleed press: the liquid a weight presses out of paste into filter paper. Says whether it will part in the barrel."""

from __future__ import annotations

import math

from slake.ground.evidence import Evidence, Kind
from slake.ground.units import from_si, to_si
from slake.paste.syringe import bleed_share

from .declaration import About, BenchTest, Context, Headline, Raw, Scalar

PASTE = Scalar(
    name="pressed_g",
    label="paste in the syringe",
    unit="g",
    low=2.0,
    high=500.0,
    help="10 mL, about 15 g",
    mend="weigh the syringe empty and filled, in grams",
)
DRY = Scalar(
    name="paper_dry_g",
    label="filter paper, dry",
    unit="g",
    low=0.05,
    high=50.0,
    mend="weigh the papers before, in grams",
)
WET = Scalar(
    name="paper_wet_g",
    label="filter paper after pressing, scraped clean",
    unit="g",
    low=0.05,
    high=200.0,
    mend="weigh the papers at once, in grams",
)
LOAD = Scalar(
    name="bleed_load_kg",
    label="weight on the plunger",
    unit="kg",
    low=0.1,
    high=60.0,
    typical=5.0,
    mend="give the weight that lay on the plunger, in kg",
)
TIME = Scalar(
    name="bleed_minutes",
    label="minutes it lay",
    unit="min",
    low=0.1,
    high=240.0,
    typical=5.0,
    mend="give the minutes under the weight",
)
SCALE_SD_KG = to_si(0.014, "g")
SCATTER_SHARE = 0.15
OTHER_PRESS_SHARE = 0.4
HOLDS_BELOW, WEEPS_ABOVE = 0.5, 2.0
"""g per 100 g: practice, no source; so are 15 % between repeats, two weighings to 0.01 g, and what another load or
time than 5 kg and 5 minutes leaves open."""


def headline(raw: Raw) -> Headline:
    """Liquid per 100 g of paste, in words too. Raises DoesNotFit where the paper became lighter."""
    value = from_si(_share(raw), "g/100 g")
    words = "weeps" if value > WEEPS_ABOVE else "watch it" if value >= HOLDS_BELOW else "holds its water"
    return Headline(name=BLEED.name, value=value, unit="g/100 g", words=words)


def _share(raw: Raw) -> float:
    return bleed_share(raw.numbers[DRY.name], raw.numbers[WET.name], raw.numbers[PASTE.name])


def _is_standard(raw: Raw) -> bool:
    return all(abs(raw.numbers[item.name] / item.typical_si() - 1) < 0.02 for item in (LOAD, TIME))


def inverse(raw: Raw, context: Context) -> Evidence:
    """Liquid pressed out per mass of paste by the standard press; another press widens it by much."""
    share, standard = _share(raw), _is_standard(raw)
    scatter = math.hypot(SCALE_SD_KG / raw.numbers[PASTE.name], SCATTER_SHARE * share)
    note = "" if standard else "not 5 kg for 5 minutes: compare it only with presses like it"
    shared = {} if standard else {"other_press": OTHER_PRESS_SHARE * share}
    return Evidence(
        informs="bleed_share",
        kind=Kind.EXACT,
        low=share,
        high=share,
        scatter=scatter,
        on_log=False,
        shared=shared,
        note=note,
    )


def forward(share: float, context: Context) -> float:
    """The share read is the property itself."""
    return from_si(share, "g/100 g")


BLEED = Scalar(
    name="bleed_g_per_100g",
    label="liquid per 100 g of paste",
    unit="g/100 g",
    low=0.0,
    high=60.0,
    mend="give grams of liquid per 100 g of paste",
)


def quick(bleed_g_per_100g: float) -> Raw:
    """A number alone: as from 15 g of paste and a 1 g paper."""
    paste_kg, paper_kg = to_si(15, "g"), to_si(1, "g")
    numbers = {PASTE.name: paste_kg, DRY.name: paper_kg, WET.name: paper_kg + BLEED.take(bleed_g_per_100g) * paste_kg}
    standard = {item.name: item.typical_si() for item in (LOAD, TIME)}
    return Raw(numbers={**numbers, **standard}, typed={BLEED.name: f"{bleed_g_per_100g:g}"})


TEST = BenchTest(
    id="bleed_press",
    version=1,
    title="Bleed press",
    about=About.BATCH,
    procedure=(
        "Weigh 3 rounds of filter paper. Lay them in the foot of a 60 mL syringe cut open.",
        "Weigh in 10 mL of paste, without air.",
        "Stand it on its foot. 5 kg on the plunger for 5 minutes.",
        "Take the paper out, scrape it clean, weigh it at once.",
    ),
    inputs=(PASTE, DRY, WET, LOAD, TIME),
    informs="bleed_share",
    notebook_name=BLEED.name,
    notebook_unit="g/100 g",
    brief_words="liquid pressed out of 100 g",
    floor=BLEED.low,
    ceiling=BLEED.high,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    scatter_absolute=0.1,
    scatter_share=SCATTER_SHARE,
    validity="5 kg for 5 minutes on a 60 mL syringe, about 90 kPa. Under 0.5 g per 100 g it holds its water, 0.5 to 2 "
    "is to be watched, over 2 it weeps: common practice. Paste left on the paper counts as liquid. It says what may "
    "part in the barrel; the moisture of first and last bead proves it.",
    sources=("api13b", "practice"),
    cautions=("The weight can tip: clamp the syringe.", "Liquid may squirt from the foot: not at eye height."),
    sample_ml=10.0,
    minutes=9.0,
)
