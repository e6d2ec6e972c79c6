"""What pages ask and nothing changes: what a reading means, and what to do at the bowl."""

from __future__ import annotations

from dataclasses import dataclass, replace

from slake.bench.comparing import read_alike
from slake.bench.declaration import BenchTest
from slake.campaign.bowl import step_to_window
from slake.ground.evidence import Evidence, Range, linear_range
from slake.ground.problems import Problem
from slake.ground.units import from_si, to_si
from slake.paste.batch import HELD_BACK, LotFacts
from slake.paste.ingredients import Role
from slake.paste.recipe import Recipe
from slake.paste.rescue import TopUp, top_up
from slake.records.models import Batch, Brief, Lot, Reading
from slake.records.values import context_of, evidence_of, raw_of, test_of, water_demand_of, windows_of

from .foreseen import other_instrument
from .reading_said import STIFFNESS, evidence_words
from .readings_told import Own, own_times
from .sizes import left_in_bowl_g, lot_facts, mixed_recipe, weighed_kg


@dataclass(frozen=True, kw_only=True)
class Meaning:
    """One reading in words and numbers: evidence, its 80 % range where there is one, and the brief's window.

    in_window: "inside", "outside" or "unsure" (the range of one reading straddles a limit); None without window.
    """

    evidence: Evidence
    range80: Range | None
    words: str
    in_window: str | None
    window: tuple[float | None, float | None] | None
    note: str
    more: tuple[str, ...] = ()


def windows() -> dict[str, tuple[float | None, float | None]]:
    return dict(windows_of(Brief.objects.last()))


def meaning(reading: Reading, own: Own | None = None) -> Meaning:
    """What a reading says, worked out afresh from what was typed, with the scatter of this bench's own repeats where
    there are enough (`own`, else looked up). Raises Problem where it can no longer be read.
    """
    times = own_times(reading, own)
    test, evidence = test_of(reading), evidence_of(reading)
    evidence = replace(evidence, scatter=times * evidence.scatter)
    window = windows().get(test.notebook_name)
    return Meaning(
        evidence=evidence,
        range80=evidence.range80(),
        words=evidence_words(evidence, test),
        in_window=in_window(test, reading.headline_value, window, times) if window else None,
        window=window,
        note="; ".join(filter(None, (evidence.note, other_instrument(reading, evidence)))),
        more=test.further_sentences(raw_of(reading), context_of(reading)),
    )


def headline_range(test: BenchTest, value: float, times: float = 1.0) -> Range:
    """80 % range of one reading on its own scale, calibration left out: it cancels against a window read alike.

    times: own scatter over the declared one.
    """
    return linear_range(value, times * test.scatter(value))


def in_window(test: BenchTest, value: float, window: tuple[float | None, float | None], times: float = 1.0) -> str:
    around = headline_range(test, value, times)
    low, high = (float("-inf") if window[0] is None else window[0]), (float("inf") if window[1] is None else window[1])
    if around.low >= low and around.high <= high:
        return "inside"
    return "outside" if around.high < low or around.low > high else "unsure"


@dataclass(frozen=True, kw_only=True)
class Advice:
    """What to do now. Grams are for what is left in the bowl; start with `start_g`, the careful end of the range."""

    words: str
    wait_minutes: float | None = None
    add_water_g: Range | None = None
    add_filler: str = ""
    add_filler_g: Range | None = None
    start_g: float | None = None
    left_g: float | None = None


def advice(batch: Batch, reading: Reading, left_g: float | None = None) -> Advice | None:
    """What to do at the bowl after a stiffness reading; None where the brief has no window for it."""
    test = test_of(reading)
    window = windows().get(test.notebook_name)
    if window is None or test.informs != STIFFNESS or reading.headline_value <= 0:
        return None
    try:
        return _advised(batch, reading, window, left_g)
    except Problem as problem:
        return Advice(words=f"No grams can be worked out here: {problem}")


def _advised(batch: Batch, reading: Reading, window: tuple[float | None, float | None], left_g: float | None) -> Advice:
    test = test_of(reading)
    state = in_window(test, reading.headline_value, window, own_times(reading))
    if state == "inside":
        return Advice(words="Inside the window: go on. Read again before you load.")
    ratio = _stiffness_ratio(test, reading, window)
    step = step_to_window(ratio, _demand(batch), reading.age_s)
    if step.wait_s is not None:
        minutes = from_si(step.wait_s, "min")
        return Advice(
            words=f"Too soft, but young: wait {minutes:.0f} min, covered, and read again.", wait_minutes=minutes
        )
    if state == "unsure":
        return Advice(words="At the edge of the window: read twice more in fresh spots before you change anything.")
    change = step.water_per_dry_change
    if change is None:
        raise Problem("what the stiffness asks for could not be worked out: read it again")
    left = left_g if left_g is not None else left_in_bowl_g(batch)
    return _grams(batch, change, left)


def _stiffness_ratio(test: BenchTest, reading: Reading, window: tuple[float | None, float | None]) -> Range:
    """How many times stiffer than the middle of the window, from the one cone's own readings: its factor cancels."""
    context = context_of(reading)
    sides = [side for side in window if side is not None]
    aim = (sides[0] * sides[-1]) ** 0.5
    around = headline_range(test, reading.headline_value, own_times(reading))
    floor, fields = max(test.floor, aim / 100), reading.typed.get("fields", {})

    def pascals(headline: float) -> float:
        found = test.inverse(read_alike(test, fields, min(max(headline, floor), test.ceiling)), context)
        return found.low if found.low is not None else found.high or 1.0

    wanted = pascals(aim)
    ratios = sorted(pascals(side) / wanted for side in (around.low, around.mid, around.high))
    return Range(low=ratios[0], mid=ratios[1], high=ratios[2])


def _demand(batch: Batch) -> float:
    recipe, lots = mixed_recipe(batch), _lots(batch)
    return sum(part * water_demand_of(lots[name]).value.mid for name, part in recipe.parts.items() if name in lots)


def _lots(batch: Batch) -> dict[str, Lot]:
    return {row.lot.name: row.lot for row in batch.amounts.select_related("lot") if row.lot}


def _grams(batch: Batch, change: Range, left_g: float) -> Advice:
    recipe, filler = mixed_recipe(batch), _main_filler(batch)
    if filler is None:
        return Advice(
            words="Outside the window, and this batch has no filler to thicken it with: note it and mix anew."
        )
    steps = [_topped(recipe, left_g, recipe.water_per_dry + by, filler) for by in (change.low, change.mid, change.high)]
    if change.mid >= 0:
        grams = _rising([from_si(s.water_kg, "g") for s in steps])
        return Advice(
            words=f"Too stiff: knead in {_start(grams):.1f} g of water (likely {grams.mid:.1f}, up to {grams.high:.1f})"
            f" to the {left_g:.0f} g left in the bowl,{_first(batch)} wait 10 min and read again.",
            add_water_g=grams,
            start_g=_start(grams),
            left_g=left_g,
        )
    grams = _rising([from_si(s.filler_kg, "g") for s in steps])
    return Advice(
        words=f"Too soft: knead in {_start(grams):.1f} g of {filler[0]} (likely {grams.mid:.1f}, up to "
        f"{grams.high:.1f}) to the {left_g:.0f} g left in the bowl, wait 10 min and read again.",
        add_filler=filler[0],
        add_filler_g=grams,
        start_g=_start(grams),
        left_g=left_g,
    )


def _start(grams: Range) -> float:
    """The careful end of the range; half of the likely amount where that end is nothing."""
    return grams.low if grams.low >= 0.1 else grams.mid / 2


def _first(batch: Batch) -> str:
    """Water held back goes in before any other, while it is still beside the bowl."""
    held = batch.held_back_g > 0 and HELD_BACK not in weighed_kg(batch)
    return " use the water held back first," if held else ""


def _rising(grams: list[float]) -> Range:
    low, mid, high = sorted(grams)
    return Range(low=low, mid=mid, high=high)


def _topped(recipe: Recipe, left_g: float, water_per_dry: float, filler: tuple[str, LotFacts]) -> TopUp:
    return top_up(recipe, to_si(left_g, "g"), max(water_per_dry, 0.02), filler)


def _main_filler(batch: Batch) -> tuple[str, LotFacts] | None:
    recipe, lots = mixed_recipe(batch), _lots(batch)
    fillers = [name for name, lot in lots.items() if Role(lot.role) is Role.FILLER]
    best = max(fillers, key=lambda name: recipe.parts.get(name, 0.0), default=None)
    return None if best is None else (best, lot_facts(lots[best]))
