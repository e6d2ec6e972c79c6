"""Will this paste run and stand on this machine: asked, answered, and kept as it was given."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from slake import __version__
from slake.campaign.verdict import Paste, Plan, Question, Verdict, Wall, judge, practice
from slake.campaign.verdict.smallest import Suggestion, smallest_changes
from slake.campaign.verdict.spread import Spread
from slake.ground.numbers import Limits, read_optional
from slake.ground.problems import NotEnoughEvidence, Problem
from slake.ground.units import from_si, to_si
from slake.records.models import Batch, Brief, Machine, VerdictGiven
from slake.records.values import windows_of

from .campaign import last_outcome
from .entry import Entry, recorded
from .verdict_paste import paste_of
from .verdict_press import bead_width_m, cone_stress, law_of, press_of

ASKED = {
    "cone_depth_mm": ("cone reading", Limits(low=1.5, high=40, unit="mm", do="or leave it open")),
    "wall_height_mm": ("height of the wall", Limits(low=1, high=2000, unit="mm", do="or leave it open")),
    "wall_mm": ("thickness of the wall", Limits(low=0.2, high=200, unit="mm", do="or leave it open")),
    "wait_min": ("minutes until it is loaded", Limits(low=0, high=3000, unit="min", do="or leave it open")),
    "print_min": ("minutes the print takes", Limits(low=0.5, high=6000, unit="min", do="or leave it open")),
}
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


@dataclass(frozen=True, kw_only=True)
class Answer:
    """A verdict with what it was asked of, and the smallest changes that would mend it."""

    asked: Asked
    verdict: Verdict
    changes: tuple[Suggestion, ...]

    @property
    def question(self) -> Question:
        return self.asked.question


def verdict(typed: Mapping[str, str], batch: Batch | None = None, now: datetime | None = None) -> Answer:
    """Judge a batch's paste, or one of a stiffness typed by hand. Raises Problem for numbers no press has."""
    asked = asked_of(typed, batch, now)
    return Answer(asked=asked, verdict=judge(asked.question), changes=smallest_changes(asked.question))


def asked_of(typed: Mapping[str, str], batch: Batch | None = None, now: datetime | None = None) -> Asked:
    """The question without its answer. `now`: a paste still in hand has aged since its stiffness was read."""
    machine = (batch.machine if batch is not None else None) or Machine.objects.last()
    if machine is None:
        raise NotEnoughEvidence("a verdict", have=0, need=1, do="first say what your machine is: two bores are enough")
    said = {name: read_optional(typed.get(name), *ASKED[name]) for name in ASKED}
    paste, cone_sd, age_s = _paste(batch, said["cone_depth_mm"], machine)
    aged_s = _aged_s(batch, age_s, now)
    wall, from_brief = _wall(said, typed, machine)
    question = Question(
        paste=paste,
        press=press_of(machine),
        plan=replace(_plan(said, typed, wall, machine), wait_s=to_si(said["wait_min"] or 0.0, "min") + aged_s),
        law=law_of(machine, cone_sd, batch),
    )
    return Asked(
        question=question,
        machine=machine,
        batch=batch,
        wall_from_brief=from_brief,
        read_age_s=age_s,
        aged_s=aged_s,
    )


def _aged_s(batch: Batch | None, read_age_s: float | None, now: datetime | None) -> float:
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
        grains_per_nozzle=practice.GRAINS_PER_NOZZLE_DENSE if dense else practice.GRAINS_PER_NOZZLE,
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


def keep_verdict(entry: Entry, batch_id: int, typed: Mapping[str, str]) -> VerdictGiven:
    """The verdict of a batch as it stands now, kept as given with the version that gave it."""
    with recorded(entry, "keep verdict", {"batch": batch_id, **typed}) as log:
        if log.before is not None:
            return VerdictGiven.objects.get(pk=log.before["verdict"])
        answer = verdict(typed, Batch.objects.select_related("machine", "recipe").get(pk=batch_id), entry.at)
        row = VerdictGiven.objects.create(
            at=entry.at, batch_id=batch_id, inputs=dict(typed), answer=_as_kept(answer, entry.at), version=__version__
        )
        log.answer = {"verdict": row.pk}
        return row


def _as_kept(answer: Answer, at: datetime) -> dict[str, object]:
    found = answer.verdict
    return {
        "word": found.word,
        "chance": round(found.chance, 4),
        "limiting": found.limiting.name,
        "law": answer.question.law.title,
        "lines": {
            line.name: {
                "value": [_shown(side, line.unit) for side in (line.value.low, line.value.mid, line.value.high)],
                "limit": [_shown(side, line.unit) for side in (line.limit.low, line.limit.mid, line.limit.high)],
                "unit": line.unit,
                "chance": line.chance,
            }
            for line in found.lines
        },
        "rests_on": _rests_on(answer.question),
        "changes": [[step.words(answer.question) for step in one.steps] for one in answer.changes],
    }


def _rests_on(question: Question) -> dict[str, object]:
    """What it was worked out from: every number of the paste and the press as median, sd of its log, and basis."""
    spreads = {**vars(question.paste), **vars(question.press.lengths), "force_n": question.press.force_n}
    numbers = {n: [s.mid, s.sd_log, s.basis] for n, s in spreads.items() if isinstance(s, Spread)}
    law = {"title": question.law.title, "mean": list(question.law.mean), "why": question.law.why}
    return {"numbers": numbers, "law": law, "barrel": vars(question.press.barrel), "wait_s": question.plan.wait_s}


def _shown(value: float, unit: str) -> float:
    return float(f"{from_si(value, unit):.4g}")
