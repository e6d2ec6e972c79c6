"""Planted causes: how often the cause of a disagreement is named rightly, and agreement left alone.

    .venv/dev/bin/python -m benchmarks.disagreements

Readings are made with each test's own forward, 6 % of scatter and no calibration error; they show how the causes are
told apart, not how well a test reads a paste. Prints the share named rightly, and how often the right cause is named at
all, first or second; no goal is set beyond that it is most.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Callable, Sequence

from slake.bench import extruded_slug, fall_cone, plate_squeeze, slump, spread
from slake.bench.declaration import BenchTest, Context
from slake.bench.disagreeing import disagreement
from slake.bench.together import Look
from slake.ground.problems import Problem

TIMES, SEED = 200, 5
ON_THE_SHELF = {"the heavy cone": {"cone_mass_g": 0.08, "cone_angle": "30"}}
chance = random.Random(SEED)
Fields = dict[str, object]


def look(test: BenchTest, minutes: float, **fields: object) -> Look:
    raw = test.read({name: str(value) for name, value in fields.items()})
    return Look(called=f"{test.title} at {minutes:g} min", test=test, raw=raw, context=Context(age_s=60 * minutes))


def expected(test: BenchTest, pascals: float, **instrument: float | str) -> float:
    return test.forward(pascals * math.exp(chance.gauss(0, 0.06)), Context(instrument=instrument))


def cone(pascals: float, minutes: float, *, grams: float = 30, angle: str = "30", **typed: object) -> Look:
    slip = float(str(typed.pop("slip", 1)))
    depth = expected(fall_cone.TEST, pascals, cone_mass_g=grams / 1000, cone_angle=angle) * slip
    fields: Fields = {"cone_depth_mm": round(depth, 1), "cone_mass_g": grams, "cone_angle": angle, **typed}
    return look(fall_cone.TEST, minutes, **fields)


def slug(pascals: float, minutes: float, slip: float = 1) -> Look:
    grams = round(expected(extruded_slug.TEST, pascals) * slip, 3)
    return look(extruded_slug.TEST, minutes, slug_g=grams, slug_count=10, how="broke")


def squeeze(pascals: float, minutes: float) -> Look:
    return look(plate_squeeze.TEST, minutes, squeeze_mm=round(expected(plate_squeeze.TEST, pascals), 1))


def slumped(pascals: float, minutes: float, slip: float = 1) -> Look:
    return look(slump.TEST, minutes, slump_mm=round(expected(slump.TEST, pascals) * slip, 1), mould="cylinder")


def puddle(pascals: float, minutes: float, slip: float = 1) -> Look:
    return look(spread.TEST, minutes, spread_mm=round(expected(spread.TEST, pascals) * slip, 1))


def printable() -> float:
    return math.exp(chance.uniform(math.log(500), math.log(2200)))


def soft() -> float:
    return math.exp(chance.uniform(math.log(40), math.log(220)))


def _agree() -> Sequence[Look]:
    pascals = printable()
    return [chance.choice((cone, slug, squeeze))(pascals, 60), chance.choice((cone, slug, squeeze))(pascals, 62)]


def _agree_soft() -> Sequence[Look]:
    pascals = soft()
    return [slumped(pascals, 60), puddle(pascals, 61)]


def _aged() -> Sequence[Look]:
    pascals = printable() / 1.5
    later = pascals * chance.uniform(1.8, 2.6)
    return [chance.choice((cone, slug, squeeze))(pascals, 10), chance.choice((cone, slug, squeeze))(later, 150)]


def _slipped() -> Sequence[Look]:
    pascals = printable()
    if chance.random() < 0.5:
        return [cone(pascals, 60, cone_mass_g=300), chance.choice((slug, squeeze))(pascals, 61)]
    return [slug(pascals, 60, slip=chance.choice((10, 0.1))), chance.choice((cone, squeeze))(pascals, 61)]


def _wrong_cone() -> Sequence[Look]:
    pascals = printable()
    return [cone(pascals, 60, grams=60, angle="60", cone_angle="30"), chance.choice((slug, squeeze, cone))(pascals, 61)]


def _narrow_as_wide() -> Sequence[Look]:
    """A 30 deg cone written down as the 60 deg one, beside one or two others of 30 deg or another test."""
    pascals = printable()
    others = chance.choice(([cone], [cone, cone], [slug], [squeeze]))
    return [cone(pascals, 60, cone_angle="60"), *(other(pascals, 61) for other in others)]


def _slipped_soft() -> Sequence[Look]:
    pascals = soft()
    if chance.random() < 0.5:
        return [puddle(pascals, 60, slip=10), chance.choice((slumped, puddle))(pascals, 61)]
    return [slumped(pascals, 60, slip=0.1), chance.choice((slumped, puddle))(pascals, 61)]


def _other_cone() -> Sequence[Look]:
    """The 80 g cone of the bench, written down as the 30 g one."""
    pascals = printable()
    return [cone(pascals, 60, grams=80, cone_mass_g=30), chance.choice((slug, squeeze, cone))(pascals, 61)]


def _out_of_range() -> Sequence[Look]:
    hardly = round(chance.uniform(1.5, 3.5), 1)
    other = chance.choice((cone, slug, squeeze))(printable() + 600, 61)
    return [look(slump.TEST, 60, slump_mm=hardly, mould="cylinder"), other]


PLANTED: dict[str, tuple[str, Callable[[], Sequence[Look]]]] = {
    "two readings that agree": ("nothing", _agree),
    "slump and spread that agree": ("nothing", _agree_soft),
    "age": ("AGE", _aged),
    "a slip by ten": ("SLIP_BY_TEN", _slipped),
    "the wrong cone factor": ("WRONG_INSTRUMENT", _wrong_cone),
    "a 30 deg cone typed as 60": ("WRONG_INSTRUMENT", _narrow_as_wide),
    "the bench's 80 g cone typed as 30 g": ("WRONG_INSTRUMENT", _other_cone),
    "a slip by ten, soft paste": ("SLIP_BY_TEN", _slipped_soft),
    "out of range": ("OUT_OF_RANGE", _out_of_range),
}


def main() -> None:
    for planted, (wanted, make) in PLANTED.items():
        named: Counter[str] = Counter()
        second = 0
        for _ in range(TIMES):
            try:
                found = disagreement(make(), ON_THE_SHELF)
            except Problem:
                continue
            named[found.cause.name if found else "nothing"] += 1
            second += found is not None and found.or_cause is not None and found.or_cause.name == wanted
        total = sum(named.values())
        print(f"{planted}: {named[wanted]} of {total} rightly, {named[wanted] + second} first or second", end="; ")
        print(dict(named.most_common()))


if __name__ == "__main__":
    main()
