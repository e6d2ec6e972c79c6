"""How long to cover, when to turn, when dry: asked of a piece, of a batch or by hand. Reads only, records nothing."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from slake.bench.drying_curve import BONE, HOURS, MASS, STEP, TARE
from slake.ground.evidence import Range
from slake.ground.problems import NotEnoughEvidence, Problem
from slake.ground.units import to_si
from slake.paste.drying_weighed import Weighed
from slake.paste.recipe import Recipe
from slake.paste.traits import Trait
from slake.path.drying_answer import Answered, answer
from slake.path.drying_asked import Asked, asked_of, linear_between
from slake.path.drying_kinds import KnownPaste, Told80
from slake.records.models import Batch, Machine, Reading
from slake.records.values import evidence_of, ingredient_of, raw_of, standing_readings, test_of

from .sizes import mixed_recipe
from .verdict_paste import MOSTLY, air_free_density, lots_of
from .verdict_press import bead_width_m

CURVE, GRADE, BEADS = "drying_curve", "crack_grade", "first_last_bead"
WATER_TIMES, DENSITY_TIMES, WALL_TIMES = 1.05, 1.05, 1.15
ROOM_K, ROOM_HUMIDITY = 3.0, 0.08
"""How far a batch's water, density, bead, and the room of its mixing may be off: 80 %, practice."""
LEAST_SHRINKAGE, USUAL_WATER = 5e-4, 0.5


def drying_plan(typed: Mapping[str, str], batch: Batch | None = None) -> Answered:
    """Raises Problem for what no piece, room or weighing is."""
    known = known_paste(batch) if batch is not None else KnownPaste(told=_bead(Machine.objects.last()))
    return answer(_with_curve(asked_of(typed, known), typed, batch))


def _with_curve(asked: Asked, typed: Mapping[str, str], batch: Batch | None) -> Asked:
    """With the weighings of its drying curve where that is asked for; typed weighings go before."""
    if typed.get("curve", "") != "yes" or asked.weighed is not None:
        return asked
    reading = curve_of(batch) if batch is not None else None
    if reading is None:
        raise NotEnoughEvidence("the drying curve of this batch", have=0, need=1, do="read one, or type the weighings")
    weighed = weighed_of(reading)
    basis = {**asked.basis, "weighings": f"its drying curve of {reading.at:%Y-%m-%d}, {len(weighed.at_s)} weighings"}
    return replace(asked, weighed=weighed, basis=basis)


def curve_of(batch: Batch) -> Reading | None:
    """The last drying curve of a batch that holds two weighings or more, begun or complete."""
    rows = [row for row in batch.readings.select_related("strike") if row.test == CURVE and not hasattr(row, "strike")]
    return next((row for row in reversed(rows) if len(raw_of(row).rows) >= 2), None)


def weighed_of(reading: Reading) -> Weighed:
    """Its weighings without the tray, hour 0 taken as when the piece was laid."""
    raw = raw_of(reading)
    rows = sorted(raw.rows, key=lambda row: row[HOURS.name])
    return Weighed(
        at_s=tuple(row[HOURS.name] for row in rows),
        mass_kg=tuple(row[MASS.name] - raw.numbers[TARE.name] for row in rows),
        mass_sd_kg=raw.numbers[STEP.name] / math.sqrt(6),
    )


def known_paste(batch: Batch) -> KnownPaste:
    """What readings, recipe, machine and room tell of the drying of a batch."""
    recipe, lots = _recipe(batch), lots_of(batch)
    told = {**_bead(batch.machine), **_room_of(batch)}
    if recipe is not None:
        told["water"] = _told(recipe.water_per_dry, WATER_TIMES, "as mixed")
        density = air_free_density(recipe, lots)
        if density is not None:
            told["density"] = _told(density, DENSITY_TIMES, "worked out from the recipe")
    told |= _read(batch)
    told |= _beads(batch, told["water"].range.mid if "water" in told else USUAL_WATER)
    grades = tuple(test_of(row).bench_value(raw_of(row)) for row in standing_readings(batch, GRADE))
    return KnownPaste(told=told, kind=_kind(recipe, batch), grades=grades)


def _told(mid: float, times: float, basis: str) -> Told80:
    return Told80(range=Range(low=mid / times, mid=mid, high=mid * times), basis=basis)


def _recipe(batch: Batch) -> Recipe | None:
    try:
        return mixed_recipe(batch)
    except Problem:
        return None


def _bead(machine: Machine | None) -> dict[str, Told80]:
    if machine is None:
        return {}
    return {"wall": _told(bead_width_m(machine), WALL_TIMES, "one bead of the machine")}


def _room_of(batch: Batch) -> dict[str, Told80]:
    """Air as it was when the batch was mixed."""
    told = {}
    if batch.temperature_c is not None:
        air_k = to_si(batch.temperature_c, "C")
        told["air"] = Told80(
            range=Range(low=air_k - ROOM_K, mid=air_k, high=air_k + ROOM_K), basis="as when it was mixed"
        )
    if batch.humidity_percent is not None:
        humidity = min(max(to_si(batch.humidity_percent, "%"), 0.05), 0.95)
        spread = Range(low=max(humidity - ROOM_HUMIDITY, 0.02), mid=humidity, high=humidity + ROOM_HUMIDITY)
        told["humidity"] = Told80(range=spread, basis="as when it was mixed")
    return told


def _read(batch: Batch) -> dict[str, Told80]:
    """The last reading of shrinkage and density, and the water of a piece dried in an oven in the end."""
    names = {"linear_shrinkage": "shrinkage", "density_kg_m3": "density"}
    told: dict[str, Told80] = {}
    for row in standing_readings(batch):
        evidence = evidence_of(row)
        around = evidence.range80()
        if around is not None and evidence.informs in names:
            told[names[evidence.informs]] = Told80(range=_above_zero(evidence.informs, around), basis=_where(row))
    curve = curve_of(batch)
    if curve is not None:
        told |= _bone_dry(curve)
    return told


def _beads(batch: Batch, water_per_dry: float) -> dict[str, Told80]:
    """How much wetter the first bead is than the last, as last read."""
    rows = standing_readings(batch, BEADS)
    around = evidence_of(rows[-1]).range80() if rows else None
    if around is None:
        return {}
    apart = linear_between(around.low, around.high, water_per_dry)
    return {"first bead and last": Told80(range=apart, basis=_where(rows[-1]))}


def _where(row: Reading) -> str:
    return f"{test_of(row).title}, read"


def _above_zero(informs: str, around: Range) -> Range:
    """Shrinkage is drawn on its logarithm: none read is very little."""
    if informs != "linear_shrinkage":
        return around
    low, mid, high = (
        max(side, LEAST_SHRINKAGE * n) for n, side in ((1, around.low), (2, around.mid), (4, around.high))
    )
    return Range(low=low, mid=mid, high=high)


def _bone_dry(curve: Reading) -> dict[str, Told80]:
    """Water of the piece itself, where it was dried in an oven in the end."""
    raw = raw_of(curve)
    bone_kg = raw.numbers.get(BONE.name, 0.0)
    first_kg = min(raw.rows, key=lambda row: row[HOURS.name])[MASS.name] - raw.numbers[TARE.name]
    if not 0 < bone_kg < first_kg:
        return {}
    return {"water": _told(first_kg / bone_kg - 1, 1.01, "drying curve, the piece bone dry")}


def _kind(recipe: Recipe | None, batch: Batch) -> str:
    """Mostly plant or mostly mineral, by what was mixed; "" between, or where that is not known."""
    if recipe is None:
        return ""
    plants = [name for name, lot in lots_of(batch).items() if Trait.CELLULOSE_RICH in ingredient_of(lot).traits]
    plant = sum(recipe.parts.get(name, 0.0) for name in plants)
    return "plant" if plant >= MOSTLY else "mineral" if plant <= 1 - MOSTLY else ""
