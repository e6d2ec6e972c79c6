"""Drawing the hidden habits: parts from the shelf, the temper of the paste, set so that a workable water exists."""

from dataclasses import replace

import numpy as np

from . import dry
from .kinds import Kind
from .pantry import SHELVES, Range
from .skeleton import LAWS, crowd
from .truth import paste_of
from .waste import Bench, Part, Temper
from .water import Array, budget

Rng = np.random.Generator
WHOLE = ("grain_um", "aspect", "want", "overlap", "pull", "rho")  # drawn evenly in ratio


def between(rng: Rng, limits: Range, ratio: bool = False) -> float:
    """One number from a range, evenly (or evenly in ratio)."""
    low, high = limits
    if ratio and low > 0:
        return float(np.exp(rng.uniform(np.log(low), np.log(high))))
    return float(rng.uniform(low, high))


def part(rng: Rng, name: str, kitchen: str | None = None) -> Part:
    """One ingredient with habits of its own."""
    shelf = SHELVES[name]
    habits = {key: between(rng, limits, key in WHOLE) for key, limits in shelf.habits.items()}
    drink = habits.get("want", 0.0) * between(rng, shelf.drink_share)
    called = str(rng.choice(shelf.kitchen)) if kitchen is None else kitchen
    return Part(name=name, kitchen=called, role=shelf.role, drink=drink, **habits)


WATER = Part(name="water", kitchen="tap water", role="liquid", rho=1.0, moisture=1.0)


def choose(rng: Rng, kind: Kind) -> tuple[str, ...]:
    """Names of the ingredients, four to six with water."""
    partner = str(rng.choice(kind.partners))
    names = [kind.main] + ([partner] if partner else [])
    names.append(str(rng.choice(kind.thickeners)))
    room = 5 - len(names)
    least = max(0, 3 - len(names))
    extras = rng.permutation(kind.extras)[: int(rng.integers(least, min(room, 2) + 1))]
    return (*names, *(str(extra) for extra in extras))


def usual(rng: Rng, parts: tuple[Part, ...], lean: float) -> Array:
    """A recipe of the usual make-up at its workable water (hidden; used only to set the temper)."""
    grams = np.zeros(len(parts))
    for place, each in enumerate(parts[:-1]):
        dose = SHELVES[each.name].dose[1]
        grams[place] = 1.0 if place == 0 else dose * lean * float(rng.uniform(0.7, 1.3))
    grams[1:-1] *= 1.0 + parts[0].want  # doses are per paste; the main filler is one gram
    dry_grams = grams * (1.0 - np.array([each.moisture for each in parts]))
    water = sum(float(gram) * each.want for gram, each in zip(dry_grams, parts, strict=True))
    grams[-1] = max(water - float((grams - dry_grams)[:-1].sum()), 0.05)
    return grams / grams.sum()


def _raw(rng: Rng, law: str, dry_pack: Range) -> Temper:
    pick = lambda low, high: float(rng.uniform(low, high))  # noqa: E731
    ratio = lambda low, high: between(rng, (low, high), ratio=True)  # noqa: E731
    return Temper(
        law=law, skeleton_pa=1.0, jam_phi=0.6, jam_power=pick(0.7, 1.6), onset=pick(0.3, 0.55),
        net_power=pick(2.6, 5.0), contacts=pick(0.5, 0.95), gel_power=pick(1.3, 2.2), bridging=pick(0.0, 0.7),
        synergy=pick(0.0, 0.6), tie_rate=ratio(0.3, 1.5), tie_pa=ratio(6.0, 40.0), salt_bite=pick(0.2, 1.0),
        fines_bonus=pick(0.03, 0.16), grain_power=pick(0.1, 0.8), cone_k=ratio(0.6, 1.2), slip=pick(0.12, 0.5),
        wall_mu=ratio(0.015, 0.08), oring_n=pick(10.0, 40.0), stand_gain=ratio(0.6, 1.2),
        fold_ratio=ratio(12.0, 160.0), air=ratio(0.005, 0.025), spring_gain=ratio(12.0, 32.0),
        fines_share=ratio(0.01, 0.05), dry_pack=between(rng, dry_pack), draw_in=pick(0.005, 0.04),
        crack_strain=1.0, crack_power=pick(0.9, 1.7), tough_fibre=pick(0.05, 0.6), tough_soft=pick(1.0, 5.0),
        strength_mpa=1.0, pore_loss=pick(2.0, 5.0), cover_g=ratio(0.02, 0.12), ageing=pick(-0.03, 0.22),
    )  # fmt: skip


def temper(rng: Rng, parts: tuple[Part, ...], kind: Kind) -> Temper:
    """Hidden temper, with the three scales set on a usual recipe: stiffness, crack strain, strength."""
    law = str(rng.choice(kind.laws))
    raw = _raw(rng, law, kind.dry_pack)
    recipe = usual(rng, parts, float(rng.uniform(0.15, 0.5)))[None, :]
    fill = float(rng.uniform(1.03, 1.2) if law == "gel" else rng.uniform(0.86, 1.02))
    phi = float(budget(parts, raw, recipe).phi[0])
    raw = replace(raw, jam_phi=min(phi / fill, 0.95))
    loose = float(LAWS[law](crowd(parts, raw, budget(parts, raw, recipe)), raw)[0])
    raw = replace(raw, skeleton_pa=between(rng, (200.0, 1100.0), ratio=True) / loose)
    paste = paste_of(parts, raw, recipe)
    strain = 0.01 * float(dry.shrink_percent(paste, parts, raw)[0])
    raw = replace(raw, crack_strain=max(strain, 0.01) * float(rng.uniform(0.75, 1.5)))
    strength = float(dry.strength_mpa(paste, parts, raw)[0])
    return replace(raw, strength_mpa=between(rng, (1.0, 6.0), ratio=True) / max(strength, 1e-6))


def bench(rng: Rng) -> Bench:
    """A machine and the hands of its kitchen (relative errors, one standard deviation)."""
    pick = lambda low, high: float(rng.uniform(low, high))  # noqa: E731
    return Bench(
        bore_mm=float(rng.choice([26.7, 40.0, 40.0, 60.0, 60.0])), walls=float(rng.choice([1.0, 1.0, 1.5, 2.0])),
        weighing=pick(0.003, 0.006), cone=pick(0.04, 0.06), force=pick(0.08, 0.12), spring=pick(0.15, 0.20),
        layers=pick(0.06, 0.08), shrink=pick(0.04, 0.06), grade=0.35, strength=pick(0.12, 0.18), density=0.01,
    )  # fmt: skip
