"""What to do at the bowl after a stiffness reading: nothing, wait, read again, or grams to knead in. Reads only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from django.utils import timezone

from slake.bench.against import times_the_aim
from slake.bench.causes import Cause
from slake.bench.comparing import read_alike
from slake.bench.declaration import BenchTest
from slake.bench.together import Look, at_comparable_age
from slake.campaign.bowl import BowlRead, step_from
from slake.ground.evidence import Range
from slake.ground.problems import Problem
from slake.ground.units import from_si, to_si
from slake.paste.batch import LotFacts
from slake.paste.recipe import Recipe
from slake.paste.rescue import TopUp, top_up
from slake.records.models import Batch, Reading
from slake.records.values import context_of, test_of

from .agreeing import looks_of, other_instruments, what_disagrees
from .bowl_reads import demand_of, earlier_reads, main_filler
from .gone_in import gone_in_since, gone_in_words
from .reading_said import STIFFNESS
from .readings_told import Own, own_times
from .sizes import held_left_g, left_in_bowl_g, mixed_recipe
from .windowed import headline_range, in_window, windows

Window = tuple[float | None, float | None]
REST = timedelta(minutes=10)
"""After kneading something in, before the next reading: common practice, no source."""
ENOUGH_READINGS = 3
LEAST_HELD_G = 0.05
ODD = "the water that went in did not do what water does, so one of the readings is off"
LEARNED = "Reckoned from {} readings of this bowl while water went in."


@dataclass(frozen=True, kw_only=True)
class Advice:
    """What to do now. Grams are for what is left in the bowl; start with `start_g`, the careful end of the range.

    `doubt`: what does not agree among the readings, where they are to be read again before any grams.
    """

    words: str
    wait_minutes: float | None = None
    add_water_g: Range | None = None
    add_filler: str = ""
    add_filler_g: Range | None = None
    start_g: float | None = None
    left_g: float | None = None
    doubt: str = ""


@dataclass(frozen=True, kw_only=True)
class _Read:
    """The reading asked about, with all that were taken of this paste at its age."""

    reading: Reading
    test: BenchTest
    window: Window
    looks: Sequence[Look]
    times: float


def advice(batch: Batch, reading: Reading, left_g: float | None = None, own: Own | None = None) -> Advice | None:
    """What to do at the bowl after a stiffness reading; None where the brief has no window for it.

    `own`: scatter of this bench's own repeats, looked up where it is not given.
    """
    test = test_of(reading)
    window = windows().get(test.notebook_name)
    if window is None or test.informs != STIFFNESS or reading.headline_value <= 0:
        return None
    try:
        since = _kneaded_since(batch, reading)
        if since is not None:
            return since
        times = own_times(reading, own)
        read = _Read(reading=reading, test=test, window=window, looks=_alike(batch, reading, own), times=times)
        return _doubted(read) or _advised(batch, read, left_g)
    except Problem as problem:
        return Advice(words=f"No grams can be worked out here: {problem}")


def _kneaded_since(batch: Batch, reading: Reading) -> Advice | None:
    """What went in after this reading made another paste: only a new reading says more."""
    rows = gone_in_since(batch, reading)
    if not rows:
        return None
    said, last = gone_in_words(rows), max(row.at for row in rows)
    went, again = (timezone.localtime(at) for at in (last, last + REST))
    return Advice(words=f"{said} in at {went:%H:%M}: read again at {again:%H:%M}. Nothing more before that.")


def _alike(batch: Batch, reading: Reading, own: Own | None) -> Sequence[Look]:
    """All stiffness readings of this paste at about the age of this one."""
    looks = [look for look in looks_of(batch, own) if look.evidence.informs == STIFFNESS]
    age = None if reading.age_s is None else context_of(reading).age_s
    groups = at_comparable_age(looks)
    return next((group for group in groups if any(look.context.age_s == age for look in group)), ())


def _doubted(read: _Read) -> Advice | None:
    found = what_disagrees(read.looks, other_instruments()) if len(read.looks) > 1 else None
    if found is None or found.cause is Cause.AGE:
        return None
    return Advice(
        words=f"Read again first, in a fresh spot: no grams while the readings do not agree. {_capital(found.words)}.",
        doubt=found.words,
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _advised(batch: Batch, read: _Read, left_g: float | None) -> Advice:
    ratio, state = _stiffness(read)
    if state == "inside":
        return Advice(words="Inside the window: go on. Read again before you load.")
    reads = [*earlier_reads(batch, read.reading, _aim_of(read), read.times), _now(batch, read, ratio)]
    step = step_from(reads, demand_of(batch))
    if step.wait_s is not None:
        minutes = from_si(step.wait_s, "min")
        return Advice(
            words=f"Too soft, but young: wait {minutes:.0f} min, covered, and read again.", wait_minutes=minutes
        )
    change = step.water_per_dry_change
    if change is None:
        raise Problem("what the stiffness asks for could not be worked out: read it again")
    if step.odd:
        return Advice(words=f"Read again first, in a fresh spot: {ODD}.", doubt=ODD)
    if state == "unsure" or change.low < 0 < change.high:
        return Advice(words=_edge_words(len(read.looks)))
    found = _grams(batch, change, left_g if left_g is not None else left_in_bowl_g(batch))
    return found if len(reads) < 2 else replace(found, words=f"{found.words} {LEARNED.format(len(reads))}")


def _now(batch: Batch, read: _Read, ratio: Range) -> BowlRead:
    return BowlRead(ratio=ratio, water_per_dry=mixed_recipe(batch).water_per_dry, age_s=read.reading.age_s)


def _aim_of(read: _Read) -> Look:
    """What the middle of the window would read like with the instrument of this reading."""
    sides = [side for side in read.window if side is not None]
    return _look_at(read, (sides[0] * sides[-1]) ** 0.5)


def _edge_words(many: int) -> str:
    if many < ENOUGH_READINGS:
        more = "twice more" if many < 2 else "once more"
        return f"At the edge of the window: read {more} in a fresh spot before you change anything."
    return f"At the edge of the window, {many} readings together: go on with it, or change it by half."


def _stiffness(read: _Read) -> tuple[Range, str]:
    """How many times stiffer than the middle of the window, all readings together where there are several, and
    whether that is inside, outside or unsure. Each cone's own factor cancels.
    """
    sides, aim = [side for side in read.window if side is not None], _aim_of(read)
    joint = times_the_aim(read.looks, aim) if len(read.looks) > 1 else None
    if joint is None:
        return _of_one(read, aim), in_window(read.test, read.reading.headline_value, read.window, read.times)
    ends = sorted(_pascals(_look_at(read, side)) / _pascals(aim) for side in sides)
    stiffer_is_less = _pascals(_look_at(read, sides[0])) >= _pascals(aim)
    low_open = read.window[1 if stiffer_is_less else 0] is None
    low = 0.0 if low_open else ends[0]
    high = float("inf") if len(sides) == 1 and not low_open else ends[-1]
    if joint.low >= low and joint.high <= high:
        return joint, "inside"
    return joint, "outside" if joint.high < low or joint.low > high else "unsure"


def _of_one(read: _Read, aim: Look) -> Range:
    around = headline_range(read.test, read.reading.headline_value, read.times)
    wanted = _pascals(aim)
    low, mid, high = sorted(_pascals(_look_at(read, side)) / wanted for side in (around.low, around.mid, around.high))
    return Range(low=low, mid=mid, high=high)


def _look_at(read: _Read, headline: float) -> Look:
    """What the reading would be with the same instrument at another headline value, within what the test shows."""
    sides = [side for side in read.window if side is not None]
    floor = max(read.test.floor, (sides[0] * sides[-1]) ** 0.5 / 100)
    fields = read.reading.typed.get("fields", {})
    raw = read_alike(read.test, fields, min(max(headline, floor), read.test.ceiling))
    return Look(called="", test=read.test, raw=raw, context=context_of(read.reading))


def _pascals(look: Look) -> float:
    found = look.evidence
    return found.low if found.low is not None else found.high or 1.0


def _grams(batch: Batch, change: Range, left_g: float) -> Advice:
    recipe, filler = mixed_recipe(batch), main_filler(batch)
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
    held = held_left_g(batch)
    return f" first from the {held:.1f} g of water held back," if held > LEAST_HELD_G else ""


def _rising(grams: list[float]) -> Range:
    low, mid, high = sorted(grams)
    return Range(low=low, mid=mid, high=high)


def _topped(recipe: Recipe, left_g: float, water_per_dry: float, filler: tuple[str, LotFacts]) -> TopUp:
    return top_up(recipe, to_si(left_g, "g"), max(water_per_dry, 0.02), filler)
