"""Spread: how wide a poured puddle of soft paste comes to rest, read as yield stress. For pastes that puddle."""

from __future__ import annotations

import math
from dataclasses import replace

from slake.ground.evidence import Evidence, above, below, exact
from slake.ground.units import from_si
from slake.paste.flow import spread_surface_tension_pa
from slake.paste.spreading import middle_spread_radius_m, middle_spread_yield_stress_pa, thin_over_middle
from slake.paste.squeeze import radius_per_height

from .declaration import About, BenchTest, Context, Headline, Raw, Scalar
from .two_ways import mean_of_two_ways, uneven_note

WIDTH = Scalar(
    name="spread_mm",
    label="width of the puddle",
    unit="mm",
    low=20.0,
    high=1000.0,
    mend="measure across the puddle once it has stopped",
)
ACROSS = Scalar(
    name="spread_across_mm",
    label="width the other way",
    unit="mm",
    low=0.0,
    high=1000.0,
    typical=0.0,
    mend="measure the puddle at a right angle to the first, or leave it open",
    open_means="as the first",
)
VOLUME = Scalar(
    name="puddle_ml",
    label="volume poured",
    unit="mL",
    low=5.0,
    high=2000.0,
    typical=50.0,
    mend="measure it in a cup or a syringe",
)
WIDTH_SHARE = 0.03
MODEL_SD_LOG = 0.15
TENSION_N_M = 0.005
HARDLY, THIN_FROM, SKIN_SHARE = 2.0, 5.0, 1 / 3
"""Practice, no source: 3 % of width, model on real pastes; radius per height under which it only sat down, from which
it is a thin cake, and the share of surface tension beyond which the skin, not the paste, stops it."""


def headline(raw: Raw) -> Headline:
    """Mean of the two widths. Raises DoesNotFit where they are not of one puddle."""
    width_m = _width_m(raw)
    hardly = radius_per_height(raw.numbers[VOLUME.name], width_m / 2) < HARDLY
    words = "did not spread" if hardly else ""
    return Headline(name=WIDTH.name, value=from_si(width_m, "mm"), unit="mm", words=words)


def _width_m(raw: Raw) -> float:
    return mean_of_two_ways("puddle", raw.numbers[WIDTH.name], raw.numbers[ACROSS.name])


def inverse(raw: Raw, context: Context) -> Evidence:
    """Yield stress (von Mises), surface tension taken off; above where it hardly spread, below where the skin holds."""
    volume_m3, radius_m = raw.numbers[VOLUME.name], _width_m(raw) / 2
    scatter = 5 * WIDTH_SHARE
    shared = {"density": context.density_sd_log, "spread_model": MODEL_SD_LOG}
    if radius_per_height(volume_m3, radius_m) < HARDLY:
        at_m = (HARDLY * volume_m3 / math.pi) ** (1 / 3)
        least = middle_spread_yield_stress_pa(volume_m3, context.density_kg_m3, at_m)
        found = above("yield_stress_pa", least, scatter, on_log=True, **shared)
        return replace(found, note="it hardly spread: it only says “stiffer than”; take the slump or the cone")
    read_pa = middle_spread_yield_stress_pa(volume_m3, context.density_kg_m3, radius_m)
    skin_pa = spread_surface_tension_pa(volume_m3, radius_m, TENSION_N_M)
    if skin_pa > SKIN_SHARE * read_pa:
        found = below("yield_stress_pa", read_pa, scatter, on_log=True, **shared)
        return replace(found, note="so soft that its skin holds it: it only says “softer than”")
    shared["spread_height"] = math.log(thin_over_middle(volume_m3, radius_m)) / 2
    shared["spread_tension"] = skin_pa / (2 * (read_pa - skin_pa))
    found = exact("yield_stress_pa", read_pa - skin_pa, scatter, on_log=True, **shared)
    return replace(found, note=_note(raw, radius_m))


def _note(raw: Raw, radius_m: float) -> str:
    notes = [uneven_note("puddle", raw.numbers[WIDTH.name], raw.numbers[ACROSS.name])]
    if radius_per_height(raw.numbers[VOLUME.name], radius_m) < THIN_FROM:
        notes.append("not a thin cake: known less well; pour more, or take the slump")
    return "; ".join(filter(None, notes))


def reads_well(raw: Raw) -> tuple[float, float]:
    """Widths (mm) from which the puddle is a thin cake."""
    thin_m = (THIN_FROM * raw.numbers[VOLUME.name] / math.pi) ** (1 / 3)
    return from_si(2 * thin_m, "mm"), WIDTH.high


def forward(yield_stress_pa: float, context: Context) -> float:
    """Width in mm expected of the volume named in context.instrument, else of the typical one."""
    volume_m3 = float(context.instrument.get(VOLUME.name, VOLUME.typical_si()))
    radius_m = middle_spread_radius_m(volume_m3, context.density_kg_m3, max(yield_stress_pa, 1e-9), TENSION_N_M)
    return from_si(2 * radius_m, "mm")


def quick(spread_mm: float) -> Raw:
    """A width alone: the typical volume."""
    numbers = {item.name: item.typical_si() for item in (ACROSS, VOLUME)}
    return Raw(numbers={WIDTH.name: WIDTH.take(spread_mm), **numbers}, typed={WIDTH.name: f"{spread_mm:g}"})


TEST = BenchTest(
    id="spread",
    version=1,
    title="Spread",
    about=About.BATCH,
    procedure=(
        "Level a smooth, damp plate.",
        "Pour 50 mL in one place, low and slowly.",
        "Wait until it stops, a minute or more.",
        "Measure the puddle two ways.",
    ),
    inputs=(WIDTH, ACROSS, VOLUME),
    informs="yield_stress_pa",
    notebook_name=WIDTH.name,
    notebook_unit="mm",
    brief_words="how wide a poured puddle runs",
    floor=WIDTH.low,
    ceiling=WIDTH.high,
    reads_well=reads_well,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    scatter_absolute=1.0,
    scatter_share=WIDTH_SHARE,
    validity="Pastes that puddle, under about 100 Pa. Best for a cake at least 5 times wider (radius) than its mean "
    "height; between that and a stump the formula between the two is used, and half of what it differs from the "
    "thin-cake one stays in the range. Under 2 times it hardly spread and says only “stiffer than”. Surface "
    "tension is taken off.",
    sources=("roussel_coussot2005", "pierre2013", "roussel_stefani2005", "practice"),
    cautions=("Slippery when spilt: wipe it up.", "Wear gloves with pastes of food waste."),
    sample_ml=50.0,
    minutes=3.0,
)
