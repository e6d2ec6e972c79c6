"""What is known of the machine as a verdict takes it: bores, lengths, force, and its own pushes. Reads only."""

from __future__ import annotations

from slake.bench.ram_push import FILL, LAND, NOZZLE, SPEED
from slake.campaign.verdict import Lengths, Press, Tried, practice
from slake.campaign.verdict.cone import cone_stress
from slake.campaign.verdict.force import force_seen
from slake.campaign.verdict.law import Law
from slake.campaign.verdict.pushes import MOST_PUSHES, Push, law_from_pushes
from slake.campaign.verdict.spread import SAID, Spread, known
from slake.ground.problems import Problem
from slake.ground.units import from_si, to_si
from slake.paste.ram import Barrel, screw_force_n
from slake.records.models import Batch, Machine, Reading
from slake.records.values import raw_of

from .verdict_paste import pushed_at

LENGTH_SD_LOG, SPEED_SD_LOG, RING_SD_LOG = 0.05, 0.1, 0.25
TORQUE_SD_LOG = 0.1


def press_of(machine: Machine) -> Press:
    """The machine as last described; whatever it does not say stands at its usual value, wide."""
    barrel, lengths = barrel_of(machine), lengths_of(machine)
    cones = ((True, machine.pushed_cone_mm), (False, machine.stalled_cone_mm))
    tried = tuple(
        Tried(pushed=pushed, yield_stress_pa=cone_stress(depth), barrel=barrel, lengths=lengths)
        for pushed, depth in cones
        if depth is not None
    )
    return Press(barrel=barrel, lengths=lengths, force_n=_force_seen(machine), tried=tried)


def _force_seen(machine: Machine) -> Spread:
    """The force there is after this drive's own pushes; those of another motor or screw say nothing of it."""
    ran, stalled = [], []
    for row in _rows(machine):
        if row.batch is not None and row.batch.machine is not None and _drive(row.batch.machine) == _drive(machine):
            try:
                raw = raw_of(row)
            except Problem:
                continue
            (stalled if raw.words["ended"] == "stalled" else ran).append(raw.numbers["ram_force_n"])
    return force_seen(force_of(machine), ran, stalled)


def _drive(machine: Machine) -> tuple[float | None, ...]:
    return machine.force_n, machine.motor_torque_nm, machine.screw_lead_mm, machine.drive_efficiency_percent


def barrel_of(machine: Machine, nozzle_m: float | None = None) -> Barrel:
    return Barrel(barrel_m=to_si(machine.barrel_mm, "mm"), nozzle_m=nozzle_m or to_si(machine.nozzle_mm, "mm"))


def lengths_of(machine: Machine) -> Lengths:
    return Lengths(
        land_m=_length(machine.land_mm, practice.LAND),
        fill_m=_length(machine.fill_mm, practice.FILL),
        speed_m_s=_length(machine.bead_speed_mm_s, practice.SPEED, SPEED_SD_LOG),
    )


def _length(value_mm: float | None, usual: Spread, sd_log: float = LENGTH_SD_LOG) -> Spread:
    return known(to_si(value_mm, "mm"), sd_log, SAID) if value_mm else usual


def ring_of(machine: Machine) -> Spread:
    return practice.RING if machine.ring_friction_n is None else known(machine.ring_friction_n, RING_SD_LOG, SAID)


def force_of(machine: Machine) -> Spread:
    """Measured; else from torque, lead and efficiency; else what small drives usually have."""
    if machine.force_n is not None:
        return known(machine.force_n, practice.FORCE_WEIGHED_SD_LOG, "measured")
    if machine.motor_torque_nm is None or machine.screw_lead_mm is None:
        return practice.FORCE
    said = machine.drive_efficiency_percent
    share = practice.EFFICIENCY if said is None else known(to_si(said, "%"), practice.EFFICIENCY_STATED_SD_LOG)
    newtons = screw_force_n(machine.motor_torque_nm, to_si(machine.screw_lead_mm, "mm"), share.mid)
    return known(newtons, (share.sd_log**2 + TORQUE_SD_LOG**2) ** 0.5, "torque, lead and efficiency of the drive")


def law_of(machine: Machine, cone_sd_log: float, judged: Batch | None) -> Law:
    """The force law this machine's own pushes bear out; practice where there are none with a stiffness beside them."""
    pushes = [push for row in _rows(machine) if (push := _push(row, judged)) is not None]
    return law_from_pushes(pushes[-MOST_PUSHES:], ring_of(machine), cone_sd_log)


def _rows(machine: Machine) -> list[Reading]:
    """Pushes on any revision of this machine: bores and lengths go with each."""
    rows = Reading.objects.filter(test="ram_push", batch__machine__name=machine.name, strike__isnull=True)
    newest = rows.select_related("batch__machine", "batch__recipe", "instrument").order_by("-at", "-id")[:MOST_PUSHES]
    return list(reversed(newest))


def _push(row: Reading, judged: Batch | None) -> Push | None:
    batch, stress = row.batch, pushed_at(row)
    if batch is None or batch.machine is None or stress is None:
        return None
    try:
        raw = raw_of(row)
        lengths = lengths_of(batch.machine)
        return Push(
            force_n=raw.numbers["ram_force_n"],
            stalled=raw.words["ended"] == "stalled",
            yield_stress_pa=stress,
            barrel=barrel_of(batch.machine, _typed(row, NOZZLE.name)),
            land_m=_typed(row, LAND.name) or lengths.land_m.mid,
            fill_m=_typed(row, FILL.name) or lengths.fill_m.mid,
            speed_m_s=_typed(row, SPEED.name) or lengths.speed_m_s.mid,
            paste=batch.pk,
            own=judged is not None and batch.pk == judged.pk,
        )
    except Problem:
        return None


def _typed(row: Reading, name: str) -> float | None:
    """What was typed of how it was pushed, SI; None where it was left open and the machine's own stands."""
    text = str(row.typed.get("fields", {}).get(name, "")).strip()
    return raw_of(row).numbers.get(name) if text else None


def bead_width_m(machine: Machine) -> float:
    """A wall one bead wide: the bead's width, else 1.2 times the nozzle (practice)."""
    return to_si(machine.bead_width_mm or practice.BEAD_PER_NOZZLE * machine.nozzle_mm, "mm")


def bead_width_mm(machine: Machine) -> float:
    return from_si(bead_width_m(machine), "mm")
