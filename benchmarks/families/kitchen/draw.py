"""Draws a made-up waste from a number: shell-, grain-, coffee- or leaf-like, or a blend of two."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from .materials import Filler, Gum, Waste
from .paste import paste_of

Rng = np.random.Generator
KINDS = (
    "shell", "grain", "coffee", "leaf", "shell+grain", "shell", "grain", "coffee", "leaf", "shell+coffee",
    "shell", "grain", "coffee", "leaf", "shell+leaf", "shell", "grain", "grain+coffee", "leaf+coffee", "shell+grain",
)  # fmt: skip


def _near(rng: Rng, low: float, high: float) -> float:
    return float(rng.uniform(low, high))


def _shell(rng: Rng) -> Filler:
    name = str(rng.choice(["mussel shell", "oyster shell", "egg shell"]))
    return Filler(
        key="shell", kitchen_name=name, density=_near(rng, 2.6, 2.78), moisture=_near(rng, 0.005, 0.05),
        drinks=_near(rng, 0.03, 0.12), drink_minutes=_near(rng, 4, 15), swell=0.1, packs=_near(rng, 0.52, 0.64),
        fibre=_near(rng, 0.0, 0.06), grain_um=_near(rng, 60, 150), mineral=_near(rng, 0.93, 1.0),
        clings=_near(rng, 0.05, 0.2),
    )  # fmt: skip


def _grain(rng: Rng) -> Filler:
    return Filler(
        key="grain", kitchen_name="spent grain", density=_near(rng, 1.3, 1.45), moisture=_near(rng, 0.04, 0.11),
        drinks=_near(rng, 0.8, 1.5), drink_minutes=_near(rng, 15, 60), swell=_near(rng, 0.55, 0.85),
        packs=_near(rng, 0.55, 0.68), fibre=_near(rng, 0.35, 0.65), grain_um=_near(rng, 150, 350),
        mineral=_near(rng, 0.0, 0.06), clings=_near(rng, 0.3, 0.8),
    )  # fmt: skip


def _coffee(rng: Rng) -> Filler:
    return Filler(
        key="coffee", kitchen_name="coffee grounds", density=_near(rng, 1.2, 1.35), moisture=_near(rng, 0.04, 0.12),
        drinks=_near(rng, 0.45, 0.9), drink_minutes=_near(rng, 10, 40), swell=_near(rng, 0.2, 0.5),
        packs=_near(rng, 0.52, 0.62), fibre=_near(rng, 0.05, 0.2), grain_um=_near(rng, 180, 380),
        mineral=_near(rng, 0.0, 0.05), clings=_near(rng, 0.05, 0.25),
    )  # fmt: skip


def _leaf(rng: Rng) -> Filler:
    return Filler(
        key="leaf", kitchen_name="leaf litter", density=_near(rng, 1.3, 1.5), moisture=_near(rng, 0.05, 0.12),
        drinks=_near(rng, 1.2, 2.1), drink_minutes=_near(rng, 20, 70), swell=_near(rng, 0.5, 0.8),
        packs=_near(rng, 0.5, 0.62), fibre=_near(rng, 0.55, 0.9), grain_um=_near(rng, 120, 300),
        mineral=_near(rng, 0.03, 0.15), clings=_near(rng, 0.4, 1.1),
    )  # fmt: skip


FILLERS: dict[str, Callable[[Rng], Filler]] = {"shell": _shell, "grain": _grain, "coffee": _coffee, "leaf": _leaf}
# key, kitchen name, role, dose, yield Pa at dose (low, high), power, minutes, stringy, glue, calcium
GUMS = {
    "guar": ("guar gum", "thickener", 1.3, (18, 45), 2.0, 22, 0.5, 0.25, 0.0),
    "psyllium": ("psyllium", "thickener", 3.5, (40, 110), 1.8, 55, 1.6, 0.35, 0.0),
    "xanthan": ("xanthan gum", "thickener", 0.9, (15, 35), 1.3, 12, 1.1, 0.2, 0.0),
    "cmc": ("CMC", "thickener", 2.0, (12, 40), 1.6, 15, 0.4, 0.6, 0.0),
    "alginate": ("sodium alginate", "binder", 3.5, (15, 45), 1.7, 30, 0.6, 1.1, 1.4),
    "arabic": ("gum arabic", "binder", 14.0, (3, 8), 1.2, 12, 0.2, 1.5, 0.0),
}


def _gum(rng: Rng, key: str) -> Gum:
    name, role, dose, stiff, power, minutes, stringy, glue, calcium = GUMS[key]

    def about(value: float, spread: float) -> float:
        return value * float(np.exp(rng.normal(0.0, spread)))

    return Gum(
        key=key, kitchen_name=name, role=role, moisture=_near(rng, 0.06, 0.14), stiffens_pa=_near(rng, *stiff),
        dose=about(dose, 0.15), power=about(power, 0.1), hydrate_minutes=about(minutes, 0.25),
        stringy=about(stringy, 0.3), glue=about(glue, 0.25), calcium=about(calcium, 0.3) if calcium else 0.0,
    )  # fmt: skip


def _habits(rng: Rng, family: str) -> dict[str, float]:
    touch = float(np.exp(rng.uniform(np.log(250), np.log(2200)) if family == "grains" else
                         rng.uniform(np.log(700), np.log(4000))))  # fmt: skip
    return {
        "touch_pa": touch, "begin": _near(rng, 0.35, 0.6), "hold": _near(rng, 0.28, 0.42),
        "felt_power": _near(rng, 1.7, 2.7), "oil_pa": _near(rng, 60, 250), "sets": _near(rng, 0.03, 0.18),
        "synergy": _near(rng, 0.0, 0.9), "cone_mm": _near(rng, 13.0, 17.5), "cone_power": _near(rng, 0.4, 0.56),
        "weep_at": _near(rng, 18, 60), "film": _near(rng, 0.8, 3.0), "seal_n": _near(rng, 10, 35),
        "stiffness": float(np.exp(rng.uniform(np.log(60), np.log(400)))), "wall_mm": _near(rng, 2.4, 5.0),
        "join": _near(rng, 0.16, 0.32) * (2.2 if family == "felt" else 1.0),
        "closes": _near(rng, 0.5, 0.95), "collapse": _near(rng, 0.06, 0.25),
        "bridge": _near(rng, 0.8, 1.4), "strong": _near(rng, 0.8, 1.8), "slump": _near(rng, 0.35, 0.55),
    }  # fmt: skip


def draw_waste(number: int, seed: int = 2026) -> Waste:
    """Waste without bounds or brief; the same number and seed always give the same one."""
    rng = np.random.default_rng([seed, number])
    kind = KINDS[number % len(KINDS)]
    fillers = tuple(FILLERS[part](rng) for part in kind.split("+"))
    thick = list(rng.choice(["guar", "psyllium", "xanthan", "cmc"], size=2, replace=False))
    binder = [str(rng.choice(["alginate", "arabic"]))]
    few = int(rng.integers(0, 3))  # gum, gum+binder, gum+gum(+binder)
    chosen = [thick[:1] + binder, thick[:2], thick[:2] + binder][few] if len(fillers) == 1 else (
        [thick[:1], thick[:1] + binder, thick[:2] + binder][few]
    )  # fmt: skip
    family = "felt" if max(f.fibre for f in fillers) > 0.3 and number % 5 != 4 else "grains"
    waste = Waste(
        number=number, kind=kind, family=family, fillers=fillers, gums=tuple(_gum(rng, str(k)) for k in chosen),
        force_limit_n=_near(rng, 160, 420), nozzle_mm=float(rng.choice([1.6, 2.0, 2.5])),
        cap_layers=int(rng.choice([40, 50, 60])), object_layers=int(rng.integers(12, 26)),
        habits=_habits(rng, family), told_moisture={},
    )  # fmt: skip
    waste = replace(waste, told_moisture=_told(rng, waste), bounds=bounds_of(rng, waste))
    return asked_bench(waste, np.random.default_rng([seed, number, 17]), 0.5)


def _told(rng: Rng, waste: Waste) -> dict[str, float | None]:
    """Half the powders were weighed once, with error; nobody dries a gum."""
    told: dict[str, float | None] = {g.key: None for g in waste.gums}
    for filler in waste.fillers:
        measured = rng.random() < 0.5
        told[filler.key] = round(max(0.001, filler.moisture + rng.normal(0, 0.008)), 3) if measured else None
    return told


def demand(filler: Filler) -> float:
    """g of water a gram of dry powder takes in a drip test: what it drinks and what fills its gaps, packed."""
    grown = 1.0 / filler.density + filler.swell * filler.drinks
    return filler.drinks + grown * (1.0 / filler.packs - 1.0)


def asked_bench(waste: Waste, rng: Rng, share: float) -> Waste:
    """With what drip test and sieve said of this share of the fillers, both with error; nobody tests a gum."""
    drip: dict[str, float | None] = dict.fromkeys(g.key for g in waste.gums)
    sieve = dict(drip)
    for filler in waste.fillers:
        dripped, sieved = rng.random(2) < share
        off = np.exp(rng.normal(0.0, [0.06, 0.1]))
        drip[filler.key] = round(demand(filler) * float(off[0]), 2) if dripped else None
        sieve[filler.key] = round(filler.grain_um * float(off[1]), -1) if sieved else None
    return replace(waste, told_demand=drip, told_grain_um=sieve)


def _middle(waste: Waste, water: float, share: float) -> np.ndarray:
    """A recipe with every gum at its dose and this much water (fractions of wet paste)."""
    gum_total = np.array([0.01 * g.dose for g in waste.gums]) / max(1.0, len(waste.gums) * 0.75) * water * 0.7
    fill = 1.0 - water - gum_total.sum()
    parts = [fill] if len(waste.fillers) == 1 else [fill * share, fill * (1 - share)]
    return np.array([[*parts, *gum_total, water]])


def _water_where(waste: Waste, share: float, pa: float) -> float:
    grid = np.linspace(0.15, 0.88, 200)
    curve = [paste_of(waste, _middle(waste, float(w), share)).yield_pa[0] for w in grid]
    below = np.nonzero(np.array(curve) < pa)[0]
    return float(grid[below[0]]) if len(below) else 0.85


def bounds_of(rng: Rng, waste: Waste) -> dict[str, tuple[float, float]]:
    """Wide limits as a kitchen would set them, never centred on what works."""
    shares = [_near(rng, 0.2, 0.4), _near(rng, 0.6, 0.8)] if len(waste.fillers) == 2 else [1.0]
    dry = min(_water_where(waste, s, 4000.0) for s in shares) - _near(rng, 0.01, 0.08)
    wet = max(_water_where(waste, s, 250.0) for s in shares) + _near(rng, 0.01, 0.08)
    dry, wet = max(0.12, dry), min(0.88, wet)
    bounds: dict[str, tuple[float, float]] = {}
    middle = _middle(waste, (dry + wet) / 2, 0.5)[0]
    fill_low, fill_high = max(0.05, 1 - wet - 0.06), 1 - dry - 0.005
    for i, filler in enumerate(waste.fillers):
        bounds[filler.key] = (fill_low, fill_high)
        if len(waste.fillers) == 2:
            low, high = (shares[0], shares[1]) if i == 0 else (1 - shares[1], 1 - shares[0])
            bounds[filler.key] = (low * fill_low, high * fill_high)
    for gum, typical in zip(waste.gums, middle[len(waste.fillers) : -1], strict=True):
        bounds[gum.key] = (float(typical) * _near(rng, 0.1, 0.5), float(typical) * _near(rng, 1.8, 3.2))
    bounds["water"] = (dry, wet)
    return {k: (round(a, 4), round(b, 4)) for k, (a, b) in bounds.items()}
