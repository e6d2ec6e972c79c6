"""Made-up wastes by number and seed, other lots of them, and kin of the same kind."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from . import habits
from .ask import LIMIT, make, share
from .kinds import KINDS
from .region import even, kitchen_bounds, passes
from .truth import truth
from .waste import Part, Waste
from .water import Array

Rng = np.random.Generator
DRAWS = 20_000
LOT_DRAWS = 30_000
NO_CAP = 10_000
RAMS_N = (100.0, 150.0, 200.0, 250.0, 300.0, 400.0, 500.0, 650.0, 800.0, 1000.0, 1300.0, 1600.0, 2000.0)
FAMILY_SALT = 90_417
Told = dict[str, float | None]


def _rng(*marks: int) -> Rng:
    return np.random.default_rng([FAMILY_SALT, *marks])


def _told(rng: Rng, parts: tuple[Part, ...]) -> dict[str, Told]:
    """What the kitchen measured: moisture and sieve of powders, a drip test of fillers; some never done."""
    moisture: Told = {"water": None}
    demand: Told = {"water": None}
    grain: Told = {"water": None}
    for part in parts[:-1]:
        filler = part.role == "filler"
        weighed = rng.random() < (0.9 if filler else 0.25)
        moisture[part.name] = round(max(part.moisture + float(rng.normal(0, 0.004)), 0.0), 3) if weighed else None
        dripped = filler and rng.random() < 0.85
        demand[part.name] = round(part.want * float(rng.lognormal(-0.2, 0.12)), 2) if dripped else None
        sieved = filler and rng.random() < 0.85
        grain[part.name] = float(5 * round(part.grain_um * float(rng.lognormal(0, 0.1)) / 5)) if sieved else None
    return {"told_moisture": moisture, "told_demand": demand, "told_grain_um": grain}


def _machine(rng: Rng, waste: Waste, said: Mapping[str, Array]) -> Waste:
    """A ram that can push most of what the brief allows, an object the brief's layers make, a cap above it."""
    window = waste.brief["ram_force_n"][1]
    keep = passes(waste.brief, said)
    push = (window or 100.0) * float(rng.uniform(1.1, 2.2))
    ram = next((size for size in RAMS_N if size >= push), RAMS_N[-1])
    asked = waste.brief.get("layers_stood", (None, None))[0]
    high = int(asked) if asked is not None else max(4, int(0.7 * float(np.median(said["layers_stood"][keep]))))
    cap = max(high + 2, int(np.ceil(high * float(rng.uniform(1.2, 1.9)))))
    cap = 5 * -(-cap // 5) if cap > 20 else cap
    return replace(waste, force_limit_n=ram, object_layers=high, cap_layers=cap)


def _bare(rng: Rng, number: int, kind: str, parts: tuple[Part, ...]) -> Waste:
    """A waste with habits, bounds and bench, not yet asked anything."""
    temper = habits.temper(rng, parts, KINDS[kind])
    bounds = kitchen_bounds(rng, parts, habits.usual(rng, parts, float(rng.uniform(0.15, 0.5))))
    return Waste(
        number=number, kind=kind, names=tuple(part.name for part in parts),
        kitchen={part.name: part.kitchen for part in parts}, roles={part.name: part.role for part in parts},
        bounds=bounds, brief={}, force_limit_n=0.0, nozzle_mm=float(rng.choice([2.0, 2.5, 3.0, 4.0])),
        cap_layers=NO_CAP, object_layers=1, parts=parts, temper=temper, bench=habits.bench(rng), **_told(rng, parts),
    )  # fmt: skip


def _finished(rng: Rng, number: int, kind: str, kitchen: Mapping[str, str] | None) -> Waste:
    """Habits, bounds and brief drawn until they go together; with `kitchen` given, of those very ingredients."""
    for _ in range(200):
        names = tuple(kitchen)[:-1] if kitchen else habits.choose(rng, KINDS[kind])
        parts = tuple(habits.part(rng, name, kitchen[name] if kitchen else None) for name in names)
        bare = _bare(rng, number, kind, (*parts, habits.WATER))
        recipes = even(rng, bare.bounds, DRAWS)
        if len(recipes) < DRAWS:
            continue
        said = truth(bare, recipes)
        brief = make(rng, said)
        if brief is not None:
            asked = replace(bare, brief=brief)
            return _machine(rng, asked, said)
    raise RuntimeError(f"no waste {number} of kind {kind} came together")


def draw(number: int, seed: int) -> Waste:
    """The waste of that number; the same number and seed always give the same one."""
    rng = _rng(seed, number, 1)
    return _finished(rng, number, str(rng.choice(list(KINDS))), None)


def kin(waste: Waste, seed: int) -> Waste:
    """Another material of the same kind with the same kitchen names, and its own habits, bounds and brief."""
    return _finished(_rng(seed, waste.number, 2, waste.lot), waste.number, waste.kind, waste.kitchen)


def _other_lot(rng: Rng, part: Part, reach: float) -> Part:
    """One filler from another bucket: drier or wetter, thirstier, coarser, with more or less glue of its own."""
    move = lambda size: float(np.exp(rng.normal(0.0, size * reach)))  # noqa: E731
    thirst = move(0.09)
    return replace(
        part, moisture=min(part.moisture * move(0.3), 0.25), want=part.want * thirst, drink=part.drink * thirst,
        grain_um=part.grain_um * move(0.15), glue=part.glue * move(0.25), leach=part.leach * move(0.2),
        acid=part.acid * move(0.2), salt=part.salt * move(0.2), aspect=1.0 + (part.aspect - 1.0) * move(0.08),
    )  # fmt: skip


def another_lot(waste: Waste, seed: int) -> Waste:
    """The same recipe book, bounds and brief with a new lot of the filler(s); the brief can still be met."""
    rng = _rng(seed, waste.number, 3, waste.lot)
    for turn in range(120):
        reach = 1.0 if turn < 60 else 0.5
        parts = tuple(_other_lot(rng, part, reach) if part.role == "filler" else part for part in waste.parts)
        lot = replace(waste, parts=parts, lot=waste.lot + 1, **_told(rng, parts))
        if LIMIT[0] <= share(waste.brief, truth(lot, even(rng, waste.bounds, LOT_DRAWS))) <= LIMIT[1]:
            return lot
    raise RuntimeError(f"no other lot of waste {waste.number} can meet its brief")
