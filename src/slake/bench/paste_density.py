"""Paste density: a filled syringe or cup of known volume on the scale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from slake.ground.evidence import Z80, Evidence, exact
from slake.ground.problems import DoesNotFit
from slake.ground.units import from_si, to_si

from .declaration import About, BenchTest, Context, Headline, Raw, Scalar

EMPTY = Scalar(
    name="empty_g",
    label="empty syringe or cup",
    unit="g",
    low=0.0,
    high=5000.0,
    mend="weigh it clean and dry, in grams",
)
FILLED = Scalar(
    name="filled_g",
    label="filled and wiped",
    unit="g",
    low=0.5,
    high=9000.0,
    mend="weigh it filled to the mark, in grams",
)
VOLUME = Scalar(
    name="volume_ml",
    label="volume filled",
    unit="mL",
    low=1.0,
    high=2000.0,
    typical=10.0,
    mend="read the mark, or weigh the same volume of water",
)
DENSITY = Scalar(
    name="density_g_per_ml", label="density of the paste", unit="g/mL", low=0.3, high=3.5, mend="give it in g per mL"
)
SCATTER_SHARE = 0.01
GAPS_FROM = 0.03
WATER_KG_M3 = to_si(1, "g/mL")


def headline(raw: Raw) -> Headline:
    """Raises DoesNotFit where filled does not weigh more than empty."""
    empty_kg, filled_kg = raw.numbers[EMPTY.name], raw.numbers[FILLED.name]
    if filled_kg <= empty_kg:
        raise DoesNotFit(
            f"filled it weighs {from_si(filled_kg, 'g'):g} g and empty {from_si(empty_kg, 'g'):g} g: "
            "weigh both again, filled must be more"
        )
    value = from_si((filled_kg - empty_kg) / raw.numbers[VOLUME.name], "g/mL")
    return Headline(name=DENSITY.name, value=value, unit="g/mL")


def inverse(raw: Raw, context: Context) -> Evidence:
    """Density of the paste as filled, its air included."""
    density_kg_m3 = to_si(headline(raw).value, "g/mL")
    scatter = math.hypot(SCATTER_SHARE, to_si(0.05, "mL") / raw.numbers[VOLUME.name])
    note = "lighter than water: much air in it; press it in again" if density_kg_m3 < WATER_KG_M3 else ""
    return replace(exact("density_kg_m3", density_kg_m3, scatter), note=note)


def says(raw: Raw, context: Context) -> Sequence[str]:
    """The air in it, where what went in is known: one less its density over that of the paste without air."""
    if context.air_free_kg_m3 is None:
        return ["how much air is in it can be told once the recipe's own density is known"]
    read = inverse(raw, context)
    assert read.low is not None
    air, sd = 1 - read.low / context.air_free_kg_m3, math.hypot(read.scatter, context.air_free_sd_log)
    free = from_si(context.air_free_kg_m3, "g/mL")
    low, high = (from_si(max(side, 0.0), "%") for side in (air - Z80 * sd, air + Z80 * sd))
    lines = [
        f"without air it would weigh {free:.3g} g/mL, so it holds {from_si(max(air, 0.0), '%'):.2g} % air "
        f"(80 %: {low:.2g} to {high:.2g})"
    ]
    if air > GAPS_FROM:
        lines.append("above 3 % beads have gaps: pack in plugs, tap, press it in again (common practice)")
    if air < -Z80 * sd:
        lines.append("heavier than without air: weigh it again, or check what went in")
    return lines


def forward(density_kg_m3: float, context: Context) -> float:
    """The density read is the property itself."""
    return from_si(density_kg_m3, "g/mL")


def quick(density_g_per_ml: float) -> Raw:
    """A density alone: as of the typical 10 mL."""
    volume_m3 = VOLUME.typical_si()
    filled = {FILLED.name: DENSITY.take(density_g_per_ml) * volume_m3}
    numbers = {EMPTY.name: 0.0, VOLUME.name: volume_m3, **filled}
    return Raw(numbers=numbers, typed={DENSITY.name: f"{density_g_per_ml:g}"})


TEST = BenchTest(
    id="paste_density",
    version=1,
    title="Paste density",
    about=About.BATCH,
    procedure=(
        "Weigh an empty 10 mL syringe with a cut-off end.",
        "Press paste in without holes to the mark. Wipe it.",
        "Weigh it again.",
    ),
    inputs=(EMPTY, FILLED, VOLUME),
    informs="density_kg_m3",
    notebook_name=DENSITY.name,
    notebook_unit="g/mL",
    brief_words="density of the paste",
    floor=DENSITY.low,
    ceiling=DENSITY.high,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    says=says,
    scatter_absolute=0.01,
    scatter_share=SCATTER_SHARE,
    validity="As filled, air included. On a 0.1 g scale fill 10 mL or more.",
    sources=("practice",),
    cautions=("Cut syringe edges are sharp.",),
    sample_ml=10.0,
    minutes=3.0,
)
