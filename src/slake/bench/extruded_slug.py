"""Extruded slug: the mass of the pieces that break off by their own weight, read as yield stress at the nozzle."""

from __future__ import annotations

import math
from dataclasses import replace

from slake.ground.evidence import Z80, Evidence, below, exact
from slake.ground.units import from_si, to_si
from slake.paste.slug import slug_mass_kg, slug_tension_pa, slug_variation, slug_yield_stress_pa

from .calibration import Calibration
from .declaration import About, BenchTest, Choice, Context, Headline, Raw, Scalar

SLUG = Scalar(
    name="slug_g",
    label="mean mass of one piece",
    unit="g",
    low=0.005,
    high=200.0,
    help="weigh 10 pieces together and divide by 10",
    mend="weigh 10 pieces together in grams and divide by 10",
)
COUNT = Scalar(
    name="slug_count",
    label="pieces weighed",
    unit="",
    low=1,
    high=200,
    typical=10,
    whole=True,
    mend="count the pieces",
)
LEAST = Scalar(
    name="slug_least_g",
    label="lightest piece",
    unit="g",
    low=0.0,
    high=200.0,
    typical=0.0,
    help="says how even the paste is",
    mend="weigh the lightest piece alone, or leave it open",
    open_means="not weighed",
)
MOST = Scalar(
    name="slug_most_g",
    label="heaviest piece",
    unit="g",
    low=0.0,
    high=200.0,
    typical=0.0,
    mend="weigh the heaviest piece alone, or leave it open",
    open_means="not weighed",
)
NOZZLE = Scalar(
    name="nozzle_mm",
    label="bore of the nozzle",
    unit="mm",
    low=0.3,
    high=20.0,
    typical=2.0,
    mend="measure it with a drill shank or calipers",
)
HOW = Choice(
    name="how",
    label="how the pieces came off",
    words={"broke": "broke short", "strung": "drew strings"},
    typical="broke",
)
PIECE_SD, TYPICAL_COUNT, LEAST_SD = 0.2, 4, 0.05
"""One piece scatters by 20 %, so ten by 6 (practice: 5 to 8 %); worth four pieces until own ones say otherwise."""
UNEVEN = 0.25
SOFTEST_PA, STIFFEST_PA = 300.0, 3000.0
MODEL_SD_LOG = 0.15
BORE_SD = 0.02
"""Practice, no source: model on real pastes, bore, and that under 300 Pa it is no longer weight that breaks it."""
AT_M, FROM_PA, TO_PA = to_si(2, "mm"), 30.0, 70.0
"""Surface tension makes it read 30 to 70 Pa high at 2 mm: practice; here the 80 % range of what is taken off."""


def headline(raw: Raw) -> Headline:
    """Mean mass, and how even the pieces are. Raises DoesNotFit where the mean cannot be theirs."""
    even = _variation(raw)
    words = "" if even is None else f"pieces differ by {from_si(even, '%'):.0f} %"
    return Headline(name=SLUG.name, value=from_si(raw.numbers[SLUG.name], "g"), unit="g", words=words)


def _variation(raw: Raw) -> float | None:
    """How much the pieces differ; None where not both the lightest and the heaviest were weighed."""
    least_kg, most_kg, count = (raw.numbers[item.name] for item in (LEAST, MOST, COUNT))
    if least_kg == 0 or most_kg == 0 or count < 2:
        return None
    return slug_variation(raw.numbers[SLUG.name], least_kg, most_kg, int(count))


def inverse(raw: Raw, context: Context) -> Evidence:
    """Yield stress (von Mises) with the skin's pull taken off; below where that or strings carry the piece, and never
    above what the weight of the piece could break.
    """
    mass_kg, nozzle_m = raw.numbers[SLUG.name], raw.numbers[NOZZLE.name]
    tension_pa = slug_tension_pa(nozzle_m)
    carried_pa = slug_yield_stress_pa(mass_kg, nozzle_m)
    pascals = carried_pa - tension_pa
    bore = Calibration(common_key="nozzle_bore", kind="nozzle", total=2 * BORE_SD, own=2 * BORE_SD)
    shared = {"slug_model": MODEL_SD_LOG, **bore.shared(context.with_which)}
    if pascals < SOFTEST_PA:
        most_pa = min(SOFTEST_PA, carried_pa)
        found = below("yield_stress_pa", most_pa, _scatter(raw), on_log=True, **shared)
        return replace(found, note="under 300 Pa it only says “softer than”: take the slump or the spread")
    shared["slug_tension"] = _tension_sd_pa(nozzle_m) / pascals
    if raw.words[HOW.name] == "strung":
        found = below("yield_stress_pa", pascals, _scatter(raw), on_log=True, **shared)
        return replace(found, note="strings hold more than the yield stress: it only says “softer than”")
    return replace(exact("yield_stress_pa", pascals, _scatter(raw), on_log=True, **shared), note=_note(raw))


def _tension_sd_pa(nozzle_m: float) -> float:
    return (TO_PA - FROM_PA) / (2 * Z80) * AT_M / nozzle_m


def _scatter(raw: Raw) -> float:
    """Of the mean: what pieces usually scatter and what these did, weighed by their numbers."""
    count, own = raw.numbers[COUNT.name], _variation(raw)
    more = 0.0 if own is None else count - 1
    piece = math.sqrt((TYPICAL_COUNT * PIECE_SD**2 + more * (own or 0.0) ** 2) / (TYPICAL_COUNT + more))
    return max(piece / math.sqrt(count), LEAST_SD)


def _note(raw: Raw) -> str:
    even = _variation(raw)
    if even is not None and even > UNEVEN:
        differ = f"the pieces differ by {from_si(even, '%'):.0f} %"
        return f"{differ}: lumps, air or a half-wetted gum; knead it and weigh again"
    return ""


def reads_well(raw: Raw) -> tuple[float, float]:
    nozzle_m = raw.numbers[NOZZLE.name]
    low, high = (slug_mass_kg(p + slug_tension_pa(nozzle_m), nozzle_m) for p in (SOFTEST_PA, STIFFEST_PA))
    return from_si(low, "g"), from_si(high, "g")


def forward(yield_stress_pa: float, context: Context) -> float:
    """Mean mass in g expected from the nozzle named in context.instrument, else the typical one."""
    nozzle_m = float(context.instrument.get(NOZZLE.name, NOZZLE.typical_si()))
    return from_si(slug_mass_kg(yield_stress_pa + slug_tension_pa(nozzle_m), nozzle_m), "g")


def quick(slug_g: float) -> Raw:
    """A mean mass alone: ten pieces from the typical nozzle."""
    numbers = {item.name: item.typical_si() for item in (COUNT, LEAST, MOST, NOZZLE)}
    return Raw(
        numbers={SLUG.name: SLUG.take(slug_g), **numbers},
        words={HOW.name: "broke"},
        typed={SLUG.name: f"{slug_g:g}"},
    )


TEST = BenchTest(
    id="extruded_slug",
    version=1,
    title="Extruded slug",
    about=About.BATCH,
    procedure=(
        "Fit the nozzle you print with, pointing down, high above a dish.",
        "Push slowly, under 5 mm of thread a second, and let the thread hang.",
        "Let 10 pieces break off by themselves. Weigh them together, divide by 10.",
        "Weigh the lightest and the heaviest alone, if the scale shows 0.01 g.",
    ),
    inputs=(SLUG, COUNT, LEAST, MOST, NOZZLE, HOW),
    informs="yield_stress_pa",
    notebook_name=SLUG.name,
    notebook_unit="g",
    brief_words="mass of a piece that breaks off the nozzle",
    floor=SLUG.low,
    ceiling=SLUG.high,
    reads_well=reads_well,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    scatter_absolute=0.01,
    scatter_share=0.06,
    validity="Pastes of 300 Pa and more that break short; strings and gels hold more. The skin's surface tension makes "
    "it read 30 to 70 Pa high at 2 mm (more in a finer nozzle): 42 Pa is taken off there and the spread stays in the "
    "range. No measured comparison with a rheometer could be read.",
    sources=("coussot_gaulard2005", "practice"),
    cautions=(
        "Keep hands from under a clogged nozzle: it lets go at once.",
        "Wear gloves with pastes of food waste.",
    ),
    sample_ml=5.0,
    minutes=4.0,
)
