"""What a verdict is asked of, gathered from rows and from what a person would change. Reads only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from slake.campaign.verdict import Paste, Plan, Question, Wall, practice
from slake.campaign.verdict.changes import CHANGES
from slake.campaign.verdict.cone import cone_stress
from slake.ground.numbers import Limits, read_optional
from slake.ground.problems import NotEnoughEvidence, Problem
from slake.ground.units import from_si, to_si
from slake.paste.grains import GRAINS_PER_NOZZLE, GRAINS_PER_NOZZLE_DENSE
from slake.records.models import Batch, Brief, Machine
from slake.records.values import windows_of

from .campaign import last_outcome
from .verdict_paste import paste_of
from .verdict_press import bead_width_m, law_of, press_of

ASKED = {
    "cone_depth_mm": ("cone reading", Limits(low=1.5, high=40, unit="mm", do="or leave it open")),
    "wall_height_mm": ("height of the wall", Limits(low=0.5, high=2000, unit="mm", do="or leave it open")),
    "wall_mm": ("thickness of the wall", Limits(low=0.2, high=500, unit="mm", do="or leave it open")),
    "wait_min": ("minutes until it is loaded", Limits(low=0, high=3000, unit="min", do="or leave it open")),
    "print_min": ("minutes the print takes", Limits(low=0.01, high=6000, unit="min", do="or leave it open")),
}
CHANGED = {
    "nozzle_mm": ("bore of the nozzle", Limits(low=0.1, high=50, unit="mm", do="or leave it open")),
    "land_mm": ("land of the nozzle", Limits(low=0.01, high=500, unit="mm", do="or leave it open")),
    "speed_mm_s": ("speed of the bead", Limits(low=0.01, high=1000, unit="mm/s", do="or leave it open")),
    "fill_mm": ("length filled of the barrel", Limits(low=0.1, high=3000, unit="mm", do="or leave it open")),
    "water_g": ("water more or less", Limits(low=-60, high=60, unit="g", do="give grams for every 100 g dry")),
    "pause_min": ("minutes it pauses", Limits(low=0, high=3000, unit="min", do="or leave it open")),
    "grain_um": ("largest grain", Limits(low=0.1, high=20000, unit="um", do="or leave it open")),
    "fibre_mm": ("longest fibre", Limits(low=0.001, high=200, unit="mm", do="or leave it open")),
    "air_percent": ("air in the paste", Limits(low=0.001, high=60, unit="%", do="or leave it open")),
}
"""What a person may ask to be otherwise than it is: the settings that suggested changes move."""
CLOSED = {"yes": True, "no": False, "": False, "don't know": False}
DENSE = {"yes": True, "no": False, "": False, "don't know": False}
USUAL_LAYER_SHARE = 0.55
IN_HAND_S = to_si(12, "h")


@dataclass(frozen=True, kw_only=True)
class Asked:
    """A question gathered from rows. read_age_s: paste age of the stiffness; aged_s: how much older it is by now."""

    question: Question
    machine: Machine
    batch: Batch | None
    wall_from_brief: bool
    read_age_s: float | None
    aged_s: float

    @property
    def wall_height_mm(self) -> float:
        wall = self.question.plan.wall
        return 0.0 if wall is None else from_si(wall.height_m, "mm")

    @property
    def wall_mm(self) -> float:
        wall = self.question.plan.wall
        return 0.0 if wall is None else from_si(wall.wall_m, "mm")


def asked_of(typed: Mapping[str, str], batch: Batch | None = None, now: datetime | None = None) -> Asked:
    """The question without its answer. `now`: a paste still in hand has aged since its stiffness was read."""
    machine = (batch.machine if batch is not None else None) or Machine.objects.last()
    if machine is None:
        raise NotEnoughEvidence("a verdict", have=0, need=1, do="first say what your machine is: two bores are enough")
    said = {name: read_optional(typed.get(name), *ASKED[name]) for name in ASKED}
    changed = {name: read_optional(typed.get(name), *CHANGED[name]) for name in CHANGED}
    paste, cone_sd, age_s = _paste(batch, said["cone_depth_mm"], machine)
    aged_s = in_hand_s(batch, age_s, now)
    wall, from_brief = _wall(said, typed, machine)
    question = Question(
        paste=paste,
        press=press_of(machine),
        plan=replace(_plan(said, typed, wall, machine), aged_s=aged_s),
        law=law_of(machine, cone_sd, batch),
    )
    return Asked(
        question=_otherwise(question, changed),
        machine=machine,
        batch=batch,
        wall_from_brief=from_brief,
        read_age_s=age_s,
        aged_s=aged_s,
    )


def _otherwise(question: Question, changed: Mapping[str, float | None]) -> Question:
    """The question with the settings that were typed put in, as a suggested change would put them."""
    for name, put in {change.field: change for change in CHANGES if change.field in CHANGED}.items():
        value = changed[name]
        if value is not None:
            question = put.put(question, to_si(value, put.unit))
    return question


def in_hand_s(batch: Batch | None, read_age_s: float | None, now: datetime | None) -> float:
    """Seconds since the stiffness was read, for a paste that is still in hand: mixed today, no ending said."""
    if batch is None or now is None or read_age_s is None or batch.first_water_at is None or last_outcome(batch):
        return 0.0
    since = (now - batch.first_water_at).total_seconds() - read_age_s
    return since if 0 < since < IN_HAND_S else 0.0


def _paste(batch: Batch | None, cone_mm: float | None, machine: Machine) -> tuple[Paste, float, float | None]:
    if batch is not None:
        return paste_of(batch, bead_width_m(machine))
    stress = practice.YIELD_STRESS if cone_mm is None else cone_stress(cone_mm)
    return Paste(yield_stress_pa=stress), practice.CONE_SD_LOG, None


def _plan(said: Mapping[str, float | None], typed: Mapping[str, str], wall: Wall | None, machine: Machine) -> Plan:
    dense = _yes_no(typed.get("dense", ""), DENSE, "coarse skeleton")
    prints = said["print_min"]
    return Plan(
        wall=wall,
        bead_m2=_bead_m2(machine),
        print_s=None if prints is None else to_si(prints, "min"),
        wait_s=to_si(said["wait_min"] or 0.0, "min"),
        grains_per_nozzle=GRAINS_PER_NOZZLE_DENSE if dense else GRAINS_PER_NOZZLE,
    )


def _bead_m2(machine: Machine) -> float | None:
    """Cross-section of the bead laid; None where width or layer height is not known, for the nozzle's own bore."""
    if machine.bead_width_mm is None or machine.layer_height_mm is None:
        return None
    return to_si(machine.bead_width_mm, "mm") * to_si(machine.layer_height_mm, "mm")


def _wall(said: Mapping[str, float | None], typed: Mapping[str, str], machine: Machine) -> tuple[Wall | None, bool]:
    """As typed; else as high as the layers the brief asks for; none where neither says."""
    height_mm, from_brief = said["wall_height_mm"], False
    if height_mm is None:
        height_mm, from_brief = _height_of_brief(machine), True
    if height_mm is None:
        return None, False
    thick = said["wall_mm"]
    wall_m = bead_width_m(machine) if thick is None else to_si(thick, "mm")
    closed = _yes_no(typed.get("closed", ""), CLOSED, "closed shape")
    return Wall(height_m=to_si(height_mm, "mm"), wall_m=wall_m, closed=closed), from_brief


def _height_of_brief(machine: Machine) -> float | None:
    low, _ = windows_of(Brief.objects.last()).get("layers_stood", (None, None))
    layer = machine.layer_height_mm or USUAL_LAYER_SHARE * machine.nozzle_mm
    return None if low is None else low * layer


def _yes_no(typed: str, words: Mapping[str, bool], what: str) -> bool:
    word = typed.strip().lower()
    if word not in words:
        raise Problem(f"{what} is “{typed[:20]}”: say yes, no or leave it open")
    return words[word]
