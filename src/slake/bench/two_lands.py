"""Two lands: one bore, two lengths or more, the weight that starts each; what the wall and what the entry take."""

from __future__ import annotations

import math
from dataclasses import replace

from slake.ground.evidence import Evidence, below, exact
from slake.ground.problems import DoesNotFit
from slake.ground.units import from_si, to_si
from slake.paste.lands import Ends, ends_of_lands
from slake.paste.syringe import push_mass_kg, push_pressure_pa

from .calibration import Calibration
from .declaration import About, BenchTest, Context, Headline, Raw, Rows, Scalar

NOZZLE = Scalar(
    name="lands_bore_mm",
    label="bore of the nozzles, all alike",
    unit="mm",
    low=0.3,
    high=20.0,
    typical=2.0,
    mend="measure it with a drill shank or calipers",
)
SYRINGE = Scalar(
    name="lands_syringe_mm",
    label="bore of the syringe",
    unit="mm",
    low=3.0,
    high=100.0,
    typical=26.7,
    help="26.7 mm for a 60 mL syringe",
    mend="measure the inside of the barrel with calipers",
)
FRICTION = Scalar(
    name="lands_friction_kg",
    label="weight the empty plunger takes, wet with water",
    unit="kg",
    low=0.0,
    high=20.0,
    typical=0.5,
    help="cancels from the wall stress, not from the entry loss",
    mend="wet the empty plunger and add weight until it slides",
)
STEP = Scalar(
    name="lands_step_kg",
    label="steps the weight was added in",
    unit="kg",
    low=0.01,
    high=5.0,
    typical=0.5,
    mend="give the weight of one step",
)
LAND = Scalar(
    name="land_mm",
    label="length of the land",
    unit="mm",
    low=0.5,
    high=300.0,
    mend="measure the straight part of the bore",
)
WEIGHT = Scalar(
    name="land_kg",
    label="weight when the bead began to run",
    unit="kg",
    low=0.05,
    high=60.0,
    mend="add up the weights on the plunger, in kg",
)
REPEAT_SHARE = 0.05
BORE_SD = 0.02
SURE_OF = 1.5
"""Practice, no source: 5 % between repeats with one filling, 2 % of bore. A difference under 1.5 times its own error
says only "less than"."""


def headline(raw: Raw) -> Headline:
    """Wall stress, and what the entry takes of the shortest nozzle. Raises DoesNotFit where it cannot be."""
    found, shortest = _ends(raw), min(row[LAND.name] for row in raw.rows)
    wall_pa = max(found.wall_stress_pa, 0.0)
    at_wall_pa = 4 * wall_pa * shortest / raw.numbers[NOZZLE.name]
    entry_pa = max(found.entry_pressure_pa, 0.0)
    whole_pa = at_wall_pa + entry_pa
    share = from_si(entry_pa / whole_pa, "%") if whole_pa > 0 else 0.0
    words = f"entry {from_si(entry_pa, 'kPa'):.3g} kPa, {share:.0f} % of the shortest nozzle"
    return Headline(name="lands_stress_pa", value=wall_pa, unit="Pa", words=words)


def _ends(raw: Raw) -> Ends:
    """The line through pressure over land, friction and half a step taken off each weight."""
    friction_kg, syringe_m, bore_m = (raw.numbers[item.name] for item in (FRICTION, SYRINGE, NOZZLE))
    spare_kg = friction_kg + raw.numbers[STEP.name] / 2
    lands = [row[LAND.name] for row in raw.rows]
    if max(lands) - min(lands) < bore_m:
        raise DoesNotFit(
            "the lands differ by less than one bore: take nozzles of clearly different length, such as 10 and 30 mm"
        )
    unit_pa = push_pressure_pa(1.0, 0.0, syringe_m)
    pressures = [(row[WEIGHT.name] - spare_kg) * unit_pa for row in raw.rows]
    found = ends_of_lands([land / bore_m for land in lands], pressures)
    if found.wall_stress_pa < -2 * _wall_sd_pa(raw):
        raise DoesNotFit(
            "the longer land ran with clearly less weight than the shorter one: look whether they are swapped"
        )
    return found


def _wall_sd_pa(raw: Raw) -> float:
    """What steps and repeats leave open of the wall stress."""
    lands = [row[LAND.name] / raw.numbers[NOZZLE.name] for row in raw.rows]
    middle = sum(lands) / len(lands)
    wide = math.sqrt(sum((land - middle) ** 2 for land in lands))
    mean_kg = sum(row[WEIGHT.name] for row in raw.rows) / len(raw.rows)
    each_kg = math.hypot(raw.numbers[STEP.name] / math.sqrt(12), REPEAT_SHARE * mean_kg)
    return push_pressure_pa(each_kg, 0.0, raw.numbers[SYRINGE.name]) / wide / 4


def inverse(raw: Raw, context: Context) -> Evidence:
    """Wall stress at onset; below where the lands hardly differ in weight."""
    wall_pa, sd_pa = max(_ends(raw).wall_stress_pa, 0.0), _wall_sd_pa(raw)
    bore = Calibration(common_key="syringe_bore", kind="syringe", total=BORE_SD, own=BORE_SD)
    shared = {"nozzle_bore": BORE_SD, **bore.shared(context.with_which)}
    if wall_pa < SURE_OF * sd_pa:
        found = below("wall_stress_pa", wall_pa + sd_pa, 0.5, on_log=True, **shared)
        return replace(
            found, note="the lands hardly differ in weight: it only says “less than”; longer land, smaller steps"
        )
    return replace(exact("wall_stress_pa", wall_pa, sd_pa / wall_pa, on_log=True, **shared), note=_note(raw))


def _note(raw: Raw) -> str:
    found = _ends(raw)
    if found.entry_pressure_pa < 0:
        return (
            "the line leaves nothing for the entry: the friction is set too high, or the longer land was pushed stiffer"
        )
    if found.left_pa > 3 * _wall_sd_pa(raw) * 4:
        return "the lands do not lie on one line: the paste aged or bled meanwhile, or one nozzle was not clear"
    return ""


def forward(wall_stress_pa: float, context: Context) -> float:
    """The stress read is the property itself."""
    return wall_stress_pa


STRESS = Scalar(
    name="lands_stress_pa", label="wall stress", unit="Pa", low=1.0, high=1e5, mend="give it in Pa, from two lands"
)
SHORT_M, LONG_M, SHORT_KG = to_si(10, "mm"), to_si(30, "mm"), 2.0


def quick(lands_stress_pa: float) -> Raw:
    """A wall stress alone: as from lands of 10 and 30 mm on the typical syringe."""
    numbers = {item.name: item.typical_si() for item in (NOZZLE, SYRINGE, FRICTION, STEP)}
    more_pa = 4 * STRESS.take(lands_stress_pa) * (LONG_M - SHORT_M) / numbers[NOZZLE.name]
    more_kg = push_mass_kg(more_pa, 0.0, numbers[SYRINGE.name])
    rows = ({LAND.name: SHORT_M, WEIGHT.name: SHORT_KG}, {LAND.name: LONG_M, WEIGHT.name: SHORT_KG + more_kg})
    return Raw(numbers=numbers, rows=rows, typed={STRESS.name: f"{lands_stress_pa:g}"})


TEST = BenchTest(
    id="two_lands",
    version=1,
    title="Two lands",
    about=About.BATCH,
    procedure=(
        "Two nozzles of one bore, lands of 10 and 30 mm. A third tells how straight it is.",
        "Same syringe, same paste, one right after the other.",
        "Add weight step by step until each runs. Note land and weight.",
    ),
    inputs=(NOZZLE, SYRINGE, FRICTION, STEP),
    rows=Rows(name="lands", label="nozzles", columns=(LAND, WEIGHT), at_least=2, at_most=6),
    informs="wall_stress_pa",
    notebook_name=STRESS.name,
    notebook_unit="Pa",
    brief_words="wall stress in the nozzle",
    floor=0.0,
    ceiling=STRESS.high,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    scatter_absolute=100.0,
    scatter_share=0.15,
    validity="One bore, one paste age, onset of flow on each land: it tells wall from entry, and which of them a "
    "shorter land or a wider bore would spare. The step of the weights is the error: with 0.5 kg and lands 20 mm apart "
    "about 100 Pa. A paste that slips has a low wall stress of its own.",
    sources=("capillary", "benbow1993", "practice"),
    cautions=(
        "Weights fall: clamp the syringe, keep toes and fingers clear.",
        "Take the weight off before you change the nozzle: the paste is under pressure.",
    ),
    sample_ml=60.0,
    minutes=15.0,
)
