"""Typed numbers and what rows say become the paste and machine a check takes. Knows no rows itself, nor Django."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from slake.bench.shrinkage_bar import TYPICAL_SD
from slake.campaign.verdict import Paste, Press, Question, practice
from slake.campaign.verdict.cone import cone_stress
from slake.campaign.verdict.draws import drawn, seen, weights_of
from slake.campaign.verdict.law import CONE, ENTRY, FLOW, INDEX, OWN, POWER, RING, SPEEDED, WALL, herschel
from slake.campaign.verdict.spread import Spread, known
from slake.ground.numbers import Limits, read_optional
from slake.ground.problems import NotEnoughEvidence, plain
from slake.ground.units import from_si, to_si
from slake.paste.cartridges import USUAL_RESIDUE_M3, Cartridge
from slake.paste.ram import Barrel
from slake.paste.strength_by_age import Growing
from slake.path.checked import Loaded
from slake.path.force_law import Law, PushDraws, Sliding, Sticking
from slake.path.shrinking import Bars, Direction, Today
from slake.path.standing import Laid, laid_of_yield_stress

OPEN = "or leave it open"
NUMBERS = {
    "cone_mm": ("cone reading", Limits(low=1.5, high=40, unit="mm", do=OPEN)),
    "yield_pa": ("yield stress", Limits(low=5, high=100_000, unit="Pa", do=OPEN)),
    "density_g_ml": ("density of the paste", Limits(low=0.5, high=4, unit="g/mL", do=OPEN)),
    "wait_min": ("minutes until the first bead", Limits(low=0, high=3000, unit="min", do=OPEN)),
    "shrinkage_percent": ("how much shorter it dries", Limits(low=0.05, high=35, unit="%", do=OPEN)),
    "nozzle_mm": ("bore of the nozzle", Limits(low=0.1, high=20, unit="mm", do=OPEN)),
    "barrel_mm": ("bore of the barrel", Limits(low=2, high=300, unit="mm", do=OPEN)),
    "land_mm": ("land of the nozzle", Limits(low=0.01, high=200, unit="mm", do=OPEN)),
    "force_n": ("force of the ram", Limits(low=1, high=50_000, unit="N", do=OPEN)),
    "cartridge_ml": ("one cartridge holds", Limits(low=1, high=20_000, unit="mL", do=OPEN)),
    "bead_mm": ("width of a bead", Limits(low=0.1, high=60, unit="mm", do=OPEN)),
    "layer_mm": ("height of a layer", Limits(low=0.05, high=20, unit="mm", do=OPEN)),
}
PUSH_DRAWS, LAID_DRAWS = 1024, 256
YIELD_SAID_SD_LOG, DENSITY_SAID_SD_LOG, LAND_SAID_SD_LOG = 0.15, 0.03, 0.05
"""How well somebody who types such a number knows it: practice, no source."""
USUAL_LAYER_SHARE = 0.55
"""Height of a layer over the nozzle's bore: practice."""
BLEED_PRESS_PA = to_si(90, "kPa")
"""What a bleed press of 5 kg on a 60 mL syringe presses with."""
TYPED = "typed here"


@dataclass(frozen=True, kw_only=True)
class FromRows:
    """What machine and batch on record say; None where they do not. paste: of a batch without a machine. aged_s: of the
    paste since it was read.
    """

    question: Question | None = None
    paste: Paste | None = None
    cartridge_m3: float | None = None
    bead_m: float | None = None
    layer_height_m: float | None = None
    aged_s: float = 0.0
    bars: Bars | None = None
    today: Today = field(default_factory=lambda: Today(batch="this paste"))


NOTHING = FromRows()


def loaded_of(typed: Mapping[str, str], rows: FromRows = NOTHING) -> Loaded:
    """What is typed goes before what is on record, and that before what is usual. Raises Problem.

    It takes the two bores of a machine, typed or on record.
    """
    read = {name: read_optional(typed.get(name), *NUMBERS[name]) for name in NUMBERS}
    said = {name: to_si(value, NUMBERS[name][1].unit) for name, value in read.items() if value is not None}
    question = _question(read["cone_mm"], said, rows)
    nozzle_m = question.press.barrel.nozzle_m
    waits_s = rows.aged_s + said.get("wait_min", 0.0)
    bead_m = said.get("bead_mm") or rows.bead_m or practice.BEAD_PER_NOZZLE * nozzle_m
    return Loaded(
        push=_push(question, waits_s),
        laid=_weeping(_laid(question, waits_s, calibrated="yield_pa" in said), question.paste, rows.today),
        density_kg_m3=question.paste.density_kg_m3.range80(),
        air_fraction=question.paste.air_fraction.range80(),
        cartridge=_cartridge(said.get("cartridge_ml") or rows.cartridge_m3, question.press),
        bead_m=bead_m,
        layer_height_m=said.get("layer_mm") or rows.layer_height_m or USUAL_LAYER_SHARE * nozzle_m,
        bars=_bars(said, rows, bead_m),
        today=replace(rows.today, wall_m=bead_m),
        basis=_basis(question, said),
    )


def _question(cone_mm: float | None, said: Mapping[str, float], rows: FromRows) -> Question:
    question = _on_the_machine(said, rows)
    press, paste = question.press, question.paste
    if "land_mm" in said:
        land = known(said["land_mm"], LAND_SAID_SD_LOG, TYPED)
        press = replace(press, lengths=replace(press.lengths, land_m=land))
    if "force_n" in said:
        press = replace(press, force_n=known(said["force_n"], practice.FORCE_WEIGHED_SD_LOG, TYPED), tried=())
    if "density_g_ml" in said:
        paste = replace(paste, density_kg_m3=known(said["density_g_ml"], DENSITY_SAID_SD_LOG, TYPED))
    question = replace(question, paste=paste, press=press)
    return _with_stiffness(question, cone_mm, said.get("yield_pa"))


def _on_the_machine(said: Mapping[str, float], rows: FromRows) -> Question:
    """The machine on record with the bores that were typed, or one of typed bores alone."""
    base, barrel_m, nozzle_m = rows.question, said.get("barrel_mm"), said.get("nozzle_mm")
    if base is not None:
        there = base.press.barrel
        barrel = Barrel(barrel_m=barrel_m or there.barrel_m, nozzle_m=nozzle_m or there.nozzle_m)
        return replace(base, press=replace(base.press, barrel=barrel))
    if barrel_m is None or nozzle_m is None:
        raise NotEnoughEvidence(
            "the machine", have=len({"barrel_mm", "nozzle_mm"} & set(said)), need=2,
            do="type the bores of its barrel and nozzle, or record the machine",
        )  # fmt: skip
    barrel = Barrel(barrel_m=barrel_m, nozzle_m=nozzle_m)
    return Question(paste=rows.paste or Paste(), press=Press(barrel=barrel))


def _with_stiffness(question: Question, cone_mm: float | None, yield_pa: float | None) -> Question:
    if yield_pa is None and cone_mm is None:
        return question
    stress = cone_stress(cone_mm or 0.0) if yield_pa is None else known(yield_pa, YIELD_SAID_SD_LOG, TYPED)
    paste = replace(question.paste, yield_stress_pa=stress, modulus_on_reading=False)
    if question.paste.modulus_on_reading:
        paste = replace(paste, modulus_per_yield=practice.MODULUS_PER_YIELD)
    return replace(question, paste=paste)


def _stress_pa(question: Question, waits_s: float, count: int) -> np.ndarray:
    """As the cone reads it, when the first bead is laid."""
    rate = drawn("stiffening", question.paste.stiffening_per_s, count)
    return np.asarray(drawn("yield stress", question.paste.stiffness_pa, count) * np.exp(rate * waits_s))


def _push(question: Question, waits_s: float) -> PushDraws:
    weights, count = weights_of(question.law, PUSH_DRAWS), PUSH_DRAWS
    return PushDraws(
        barrel=question.press.barrel,
        law=_law(question, weights),
        yield_stress_pa=_stress_pa(question, waits_s, count) * np.exp(weights[CONE] + weights[OWN]),
        stiffening_per_s=drawn("stiffening", question.paste.stiffening_per_s, count),
        land_m=drawn("land", question.press.lengths.land_m, count),
        ring_n=np.exp(weights[RING]),
        have_n=drawn("have", question.press.force_n, count),
        weight=seen(question, count)[0],
    )


def _law(question: Question, weights: np.ndarray) -> Law:
    told = np.exp(weights)
    if question.law.per_pascal is herschel:
        return Sticking(entry=told[ENTRY], flow=told[FLOW], index=told[INDEX])
    return Sliding(entry=told[ENTRY], wall=told[WALL], added=told[SPEEDED], power=told[POWER])


def _laid(question: Question, waits_s: float, calibrated: bool) -> Laid:
    """The paste as it stands. calibrated: the yield stress is the paste's own, without the doubt of a cone.

    A stiffness over a cone's own reading has the cone's calibration taken out again.
    """
    count, paste = LAID_DRAWS, question.paste
    cone = np.ones(count) if calibrated else np.exp(weights_of(question.law, count)[CONE])
    ratio = drawn("modulus", paste.modulus_per_yield, count)
    stress = Growing(
        at_laying=_stress_pa(question, waits_s, count) * cone,
        log_per_s=drawn("stiffening", paste.stiffening_per_s, count),
    )
    density = drawn("density", paste.density_kg_m3, count)
    return laid_of_yield_stress(stress, ratio / cone if paste.modulus_on_reading else ratio, density)


def _weeping(laid: Laid, paste: Paste, today: Today) -> Laid:
    """With the liquid it weeps, which wets the foot, where a bleed press of this paste was read."""
    if paste.bleed.guessed:
        return laid
    return replace(
        laid,
        bleed=drawn("bleed", paste.bleed, LAID_DRAWS),
        press_pa=BLEED_PRESS_PA,
        water_slope=drawn("water", paste.water_slope, LAID_DRAWS),
        water_per_dry=today.water_per_dry or laid.water_per_dry,
    )


def _cartridge(volume_m3: float | None, press: Press) -> Cartridge:
    """As said; else what fills the barrel as far as is usual."""
    holds = volume_m3 or press.barrel.area_m2 * press.lengths.fill_m.mid
    return Cartridge(volume_m3=holds, residue_m3=min(USUAL_RESIDUE_M3, holds / 10))


def _bars(said: Mapping[str, float], rows: FromRows, bead_m: float) -> Bars | None:
    """A shrinkage typed counts as one bar along the bead, of this paste."""
    if "shrinkage_percent" not in said:
        return rows.bars
    along = Direction.ALONG
    return Bars(
        batch=rows.today.batch,
        mean={along: said["shrinkage_percent"]},
        sd={along: TYPICAL_SD},
        count={along: 1},
        water_per_dry=rows.today.water_per_dry,
        wall_m=bead_m,
    )


def _basis(question: Question, said: Mapping[str, float]) -> dict[str, str]:
    paste, press = question.paste, question.press
    spreads = {
        "yield stress": (paste.yield_stress_pa, "Pa"),
        "stiffness over yield stress": (paste.modulus_per_yield, ""),
        "density": (paste.density_kg_m3, "g/mL"),
        "force the ram has": (press.force_n, "N"),
        "land of the nozzle": (press.lengths.land_m, "mm"),
        "air in the paste": (paste.air_fraction, "%"),
    }
    found = {name: _in_words(spread, unit) for name, (spread, unit) in spreads.items()}
    bores = f"{_short(press.barrel.nozzle_m, 'mm')} and {_short(press.barrel.barrel_m, 'mm')} mm"
    return {**found, "bores of nozzle and barrel": bores, "force law": f"{question.law.title}: {question.law.why}"}


def _in_words(spread: Spread, unit: str) -> str:
    around = spread.range80()
    return f"{_short(around.low, unit)} to {_short(around.high, unit)} {unit}: {spread.basis}".replace(" :", ":")


def _short(value: float, unit: str) -> str:
    return plain(float(f"{from_si(value, unit):.3g}"))
