"""Plate squeeze: how wide a dollop comes to rest between two plates under a weight, read as yield stress."""

from __future__ import annotations

import math
from dataclasses import replace

from slake.ground.evidence import Evidence, above, exact
from slake.ground.units import GRAVITY_M_S2, from_si, to_si
from slake.paste.squeeze import radius_per_height, squeeze_edge_factor, squeeze_radius_m, squeeze_yield_stress_pa

from .declaration import About, BenchTest, Context, Headline, Raw, Scalar
from .two_ways import mean_of_two_ways, uneven_note

WIDTH = Scalar(
    name="squeeze_mm",
    label="width of the pressed disc",
    unit="mm",
    low=5.0,
    high=200.0,
    mend="measure across the disc with the weight still on",
)
ACROSS = Scalar(
    name="squeeze_across_mm",
    label="width the other way",
    unit="mm",
    low=0.0,
    high=200.0,
    typical=0.0,
    mend="measure the disc at a right angle to the first, or leave it open",
    open_means="as the first",
)
VOLUME = Scalar(
    name="dollop_ml",
    label="volume of the dollop",
    unit="mL",
    low=0.2,
    high=50.0,
    typical=2.0,
    mend="press it out of a small syringe and read the marks",
)
WEIGHT = Scalar(
    name="press_g",
    label="weight on the dollop, upper plate included",
    unit="g",
    low=20.0,
    high=20000.0,
    typical=500.0,
    mend="weigh plate and weight together, in grams",
)
WIDTH_SHARE, READING_M, VOLUME_SHARE = 0.02, to_si(0.5, "mm"), 0.05
MODEL_SD_LOG = 0.15
THICKEST, WELL_FROM = 3.0, 5.0
THINNEST_M = to_si(0.5, "mm")
"""Practice, no source: 2 % or half a millimetre of width, 5 % of volume, model on real pastes, and from which width per
thickness it is a disc. A film under half a millimetre rests on its grains."""


def headline(raw: Raw) -> Headline:
    """Mean of the two widths. Raises DoesNotFit where they are not of one disc."""
    width_m = _width_m(raw)
    return Headline(name=WIDTH.name, value=from_si(width_m, "mm"), unit="mm", words=_words(raw, width_m))


def _width_m(raw: Raw) -> float:
    return mean_of_two_ways("disc", raw.numbers[WIDTH.name], raw.numbers[ACROSS.name])


def _words(raw: Raw, width_m: float) -> str:
    thick = radius_per_height(raw.numbers[VOLUME.name], width_m / 2) < THICKEST
    return "hardly squeezed" if thick else ""


def inverse(raw: Raw, context: Context) -> Evidence:
    """Yield stress (no slip); above where the dollop was hardly squeezed."""
    volume_m3, radius_m = raw.numbers[VOLUME.name], _width_m(raw) / 2
    force_n = raw.numbers[WEIGHT.name] * GRAVITY_M_S2
    scatter = math.hypot(5 * max(WIDTH_SHARE, READING_M / (2 * radius_m)), VOLUME_SHARE)
    if radius_per_height(volume_m3, radius_m) < THICKEST:
        at_m = (THICKEST * volume_m3 / math.pi) ** (1 / 3)
        least = squeeze_yield_stress_pa(force_n, volume_m3, at_m) / squeeze_edge_factor(volume_m3, at_m)
        found = above("yield_stress_pa", least, scatter, on_log=True, squeeze_model=MODEL_SD_LOG)
        return replace(found, note="hardly squeezed: it only says “stiffer than”; put on more weight, or take the cone")
    thick = math.log(squeeze_edge_factor(volume_m3, radius_m)) / 2
    pascals = squeeze_yield_stress_pa(force_n, volume_m3, radius_m)
    shared = {"squeeze_model": MODEL_SD_LOG, "squeeze_thickness": thick}
    return replace(exact("yield_stress_pa", pascals, scatter, on_log=True, **shared), note=_note(raw, radius_m))


def _note(raw: Raw, radius_m: float) -> str:
    volume_m3 = raw.numbers[VOLUME.name]
    notes = [uneven_note("disc", raw.numbers[WIDTH.name], raw.numbers[ACROSS.name])]
    if radius_per_height(volume_m3, radius_m) < WELL_FROM:
        notes.append("a thick disc reads high: put on more weight")
    if volume_m3 / (math.pi * radius_m**2) < THINNEST_M:
        notes.append("a film thinner than 0.5 mm rests on its grains: take a larger dollop or less weight")
    return "; ".join(filter(None, notes))


def reads_well(raw: Raw) -> tuple[float, float]:
    """Widths (mm) at which the disc is neither thick nor a film."""
    volume_m3 = raw.numbers[VOLUME.name]
    thick_m, film_m = (WELL_FROM * volume_m3 / math.pi) ** (1 / 3), math.sqrt(volume_m3 / (math.pi * THINNEST_M))
    return from_si(2 * thick_m, "mm"), from_si(2 * max(film_m, thick_m), "mm")


def forward(yield_stress_pa: float, context: Context) -> float:
    """Width in mm expected of the dollop and weight named in context.instrument, else the typical ones."""
    volume_m3 = float(context.instrument.get(VOLUME.name, VOLUME.typical_si()))
    weight_kg = float(context.instrument.get(WEIGHT.name, WEIGHT.typical_si()))
    return from_si(2 * squeeze_radius_m(weight_kg * GRAVITY_M_S2, volume_m3, yield_stress_pa), "mm")


def quick(squeeze_mm: float) -> Raw:
    """A width alone: the typical dollop and weight."""
    numbers = {item.name: item.typical_si() for item in (ACROSS, VOLUME, WEIGHT)}
    return Raw(numbers={WIDTH.name: WIDTH.take(squeeze_mm), **numbers}, typed={WIDTH.name: f"{squeeze_mm:g}"})


TEST = BenchTest(
    id="plate_squeeze",
    version=1,
    title="Plate squeeze",
    about=About.BATCH,
    procedure=(
        "Roughen two clear plates with sandpaper. Wipe them damp.",
        "Put 2.0 mL in the middle of one. Lay the other on top, level.",
        "Put on 500 g, plate included, for 60 seconds.",
        "Measure the disc two ways through the plate, weight still on.",
    ),
    inputs=(WIDTH, ACROSS, VOLUME, WEIGHT),
    informs="yield_stress_pa",
    notebook_name=WIDTH.name,
    notebook_unit="mm",
    brief_words="how wide a dollop is pressed",
    floor=WIDTH.low,
    ceiling=WIDTH.high,
    reads_well=reads_well,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    scatter_absolute=0.5,
    scatter_share=WIDTH_SHARE,
    validity="A disc at least 5 times wider (radius) than thick, on plates it does not slip on: smooth plates read "
    "low. The formula leaves out what shortens the disc itself and reads high by up to a third at 8 times; that stays "
    "in the range. No measured comparison with a rheometer could be read.",
    sources=("covey_stanmore1981", "practice"),
    cautions=("Keep fingers from under the plate and the weight.", "Glass plates break: use plastic ones."),
    sample_ml=2.0,
    minutes=3.0,
)
