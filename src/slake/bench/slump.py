"""Slump: how much height a shape of paste loses when its mould is lifted, read as yield stress. For soft pastes."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from slake.ground.evidence import Evidence, above, below, exact
from slake.ground.problems import OutsideRange
from slake.ground.units import from_si, to_si
from slake.paste.flow import (
    ABRAMS_HIGHEST_M,
    ABRAMS_LOWEST_M,
    abrams_slump_m,
    slump_blind_above_pa,
    slump_from_yield_stress_m,
    von_mises_yield_stress_pa,
    yield_stress_from_abrams_slump_pa,
    yield_stress_from_slump_pa,
)

from .declaration import About, BenchTest, Choice, Context, Headline, Raw, Scalar

SLUMP = Scalar(
    name="slump_mm",
    label="height lost",
    unit="mm",
    low=0.0,
    high=300.0,
    help="0 is an answer: it did not slump",
    mend="measure the height lost, not the height left",
)
MOULD = Choice(
    name="mould",
    label="mould",
    words={"cylinder": "cylinder as wide as tall", "concrete_cone": "concrete cone 100/200/300 mm"},
    typical="cylinder",
)
HEIGHT = Scalar(
    name="cylinder_height_mm",
    label="height of the cylinder",
    unit="mm",
    low=20.0,
    high=200.0,
    typical=50.0,
    mend="measure the cylinder; it should be about as wide as tall",
)
CONE_HEIGHT_M = to_si(300, "mm")
RESOLUTION_M = to_si(1, "mm")
CONE_READING_M = to_si(10, "mm")
FLAT_SHARE = 0.8
WELL_SHARE = 0.1
MODEL_SD_LOG = 0.15
"""Shared error of the slump formulas on real pastes: practice, no source. So are FLAT_SHARE, beyond which it is a
spread, and the reading errors: 1 mm on a cylinder, 10 mm on the concrete cone."""


def headline(raw: Raw) -> Headline:
    """Raises OutsideRange for a slump above the height of the mould."""
    height_m = CONE_HEIGHT_M if _is_cone(raw) else raw.numbers[HEIGHT.name]
    slump_m = raw.numbers[SLUMP.name]
    if slump_m > height_m:
        tall = from_si(height_m, "mm")
        do = f"the mould is only {tall:g} mm tall: measure the height lost, or name the mould that was used"
        raise OutsideRange("height lost (mm)", got=from_si(slump_m, "mm"), low=0, high=tall, do=do)
    words = "did not slump" if slump_m <= RESOLUTION_M else ""
    return Headline(name=SLUMP.name, value=from_si(slump_m, "mm"), unit="mm", words=words)


def _is_cone(raw: Raw) -> bool:
    return raw.words[MOULD.name] == "concrete_cone"


def inverse(raw: Raw, context: Context) -> Evidence:
    """Yield stress (von Mises): above when the shape hardly moved, below when it lies flat, else exact."""
    headline(raw)
    read = _cone if _is_cone(raw) else _cylinder
    return read(raw, context)


def reads_well(raw: Raw) -> tuple[float, float]:
    """Slumps (mm) neither near the end where the mould is blind nor so flat that it is a spread."""
    if _is_cone(raw):
        return from_si(ABRAMS_LOWEST_M, "mm"), from_si(ABRAMS_HIGHEST_M, "mm")
    height_mm = from_si(raw.numbers[HEIGHT.name], "mm")
    return WELL_SHARE * height_mm, FLAT_SHARE * height_mm


def _cylinder(raw: Raw, context: Context) -> Evidence:
    slump_m, height_m = raw.numbers[SLUMP.name], raw.numbers[HEIGHT.name]
    shared = {"density": context.density_sd_log, "slump_model": MODEL_SD_LOG}

    def pascals(at_m: float) -> float:
        return von_mises_yield_stress_pa(yield_stress_from_slump_pa(at_m, context.density_kg_m3, height_m))

    if slump_m <= RESOLUTION_M:
        edge = _scatter_log(pascals, RESOLUTION_M, RESOLUTION_M)
        blind_pa = slump_blind_above_pa(context.density_kg_m3, height_m, RESOLUTION_M)
        found = above("yield_stress_pa", von_mises_yield_stress_pa(blind_pa), edge, on_log=True, **shared)
        return replace(found, note="too stiff for this test: it only says “stiffer than”; take the cone")
    if slump_m > FLAT_SHARE * height_m:
        edge = _scatter_log(pascals, FLAT_SHARE * height_m, RESOLUTION_M)
        found = below("yield_stress_pa", pascals(FLAT_SHARE * height_m), edge, on_log=True, **shared)
        return replace(found, note="it lies flat: it only says “softer than”; measure how wide it spread")
    scatter = _scatter_log(pascals, slump_m, RESOLUTION_M)
    return exact("yield_stress_pa", pascals(slump_m), scatter, on_log=True, **shared)


def _cone(raw: Raw, context: Context) -> Evidence:
    slump_m = raw.numbers[SLUMP.name]
    shared = {"density": context.density_sd_log, "slump_model": MODEL_SD_LOG}

    def pascals(at_m: float) -> float:
        return yield_stress_from_abrams_slump_pa(
            min(max(at_m, ABRAMS_LOWEST_M), ABRAMS_HIGHEST_M), context.density_kg_m3
        )

    if slump_m < ABRAMS_LOWEST_M:
        scatter = _scatter_log(pascals, ABRAMS_LOWEST_M, CONE_READING_M)
        found = above("yield_stress_pa", pascals(slump_m), scatter, on_log=True, **shared)
        return replace(found, note="under 50 mm the concrete cone only says “stiffer than”")
    if slump_m > ABRAMS_HIGHEST_M:
        scatter = _scatter_log(pascals, ABRAMS_HIGHEST_M, CONE_READING_M)
        found = below("yield_stress_pa", pascals(slump_m), scatter, on_log=True, **shared)
        return replace(found, note="over 250 mm the concrete cone only says “softer than”")
    scatter = _scatter_log(pascals, slump_m, CONE_READING_M)
    return exact("yield_stress_pa", pascals(slump_m), scatter, on_log=True, **shared)


def _scatter_log(pascals: Callable[[float], float], slump_m: float, reading_m: float) -> float:
    """What one reading error does to the logarithm of the answer."""
    return math.log(pascals(slump_m - reading_m / 2) / pascals(slump_m + reading_m / 2))


def forward(yield_stress_pa: float, context: Context) -> float:
    """Slump in mm expected of the mould named in context.instrument, else of the typical cylinder."""
    if context.instrument.get(MOULD.name) == "concrete_cone":
        slump_m = min(max(abrams_slump_m(yield_stress_pa, context.density_kg_m3), 0.0), CONE_HEIGHT_M)
    else:
        height_m = float(context.instrument.get(HEIGHT.name, HEIGHT.typical_si()))
        tresca_pa = yield_stress_pa / von_mises_yield_stress_pa(1.0)
        slump_m = slump_from_yield_stress_m(tresca_pa, context.density_kg_m3, height_m)
    return from_si(slump_m, "mm")


def quick(slump_mm: float) -> Raw:
    """A slump alone: the typical 50 mm cylinder."""
    raw = Raw(
        numbers={SLUMP.name: SLUMP.take(slump_mm), HEIGHT.name: HEIGHT.typical_si()},
        words={MOULD.name: "cylinder"},
        typed={SLUMP.name: f"{slump_mm:g}"},
    )
    headline(raw)
    return raw


TEST = BenchTest(
    id="slump",
    version=1,
    title="Slump",
    about=About.BATCH,
    procedure=(
        "Wet the mould inside. Stand it on a flat, damp plate.",
        "Fill it without holes. Scrape the top level.",
        "Lift it straight up, slowly, about 5 seconds.",
        "Read how much lower the top is now. Write 0 when it did not move.",
    ),
    inputs=(SLUMP, MOULD, HEIGHT),
    informs="yield_stress_pa",
    notebook_name=SLUMP.name,
    notebook_unit="mm",
    brief_words="how much a lifted shape slumps",
    floor=0.0,
    ceiling=SLUMP.high,
    reads_well=reads_well,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    scatter_absolute=1.0,
    scatter_share=0.0,
    validity="Soft pastes. A 50 mm cylinder of shell paste shows nothing above about 300 Pa (340 Pa the way the cone "
    "counts), a lighter paste less; a flat cake belongs to the spread. The concrete cone holds from 50 to 250 mm. "
    "Pascals are counted the way of the cone (von Mises), 1.155 times those of the usual sheet for cylinders (Tresca): "
    "18.7 mm at 1.5 g/mL is 115 Pa here and 100 Pa there.",
    sources=("pashias1996", "roussel2006", "practice"),
    cautions=("Wear gloves with pastes of food waste.",),
    sample_ml=100.0,
    minutes=3.0,
)
