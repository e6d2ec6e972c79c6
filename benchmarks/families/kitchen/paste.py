"""From fractions of wet paste to the state of the paste: grains, free water, gel and yield stress.

Two families. "grains": crowded grains in a gel, a contact term that diverges at the densest packing.
"felt": soaked fibres that hold each other above a percolation point, oiled by the gel.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .materials import Waste

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Paste:
    """State of n pastes at one age. Volumes in ml per g of wet paste."""

    minutes: float
    dry: Array  # (n, fillers) g per g paste
    share: Array  # (n, fillers) of the swollen filler volume
    drunk: Array  # g water inside grains
    free: Array  # g free water
    phi: Array  # swollen filler volume share
    packs: Array  # densest share for this blend
    doses: Array  # (n, gums) hydrated dose over the gum's own dose
    gel_pa: Array
    yield_pa: Array
    volume: Array


def paste_of(waste: Waste, recipes: Array, minutes: float = 60.0) -> Paste:
    """`recipes` (n, names) are fractions of wet paste as received, in the order of waste.names."""
    dry, gum_dry, water = _dry_parts(waste, recipes)
    held = _drunk(waste, dry, water, minutes)
    free = water - held.sum(axis=1)
    swollen = dry / np.array([f.density for f in waste.fillers]) + held * np.array([f.swell for f in waste.fillers])
    volume = swollen.sum(axis=1) + gum_dry.sum(axis=1) / 1.55 + free
    phi = swollen.sum(axis=1) / volume
    share = swollen / swollen.sum(axis=1, keepdims=True)
    doses = _doses(waste, gum_dry, free, minutes)
    gel = _gel_pa(waste, doses, dry, minutes)
    packs = _packs(waste, share)
    law = {"grains": _grains_pa, "felt": _felt_pa}[waste.family]
    aged = 1.0 + waste.habits["sets"] * np.log1p(minutes / 25.0)
    yield_pa = np.minimum(law(waste, phi, packs, gel, share) * aged, 2e5)
    return Paste(
        minutes=minutes, dry=dry, share=share, drunk=held.sum(axis=1), free=free, phi=phi,
        packs=packs, doses=doses, gel_pa=gel, yield_pa=yield_pa, volume=volume,
    )  # fmt: skip


def _dry_parts(waste: Waste, recipes: Array) -> tuple[Array, Array, Array]:
    moisture = np.array([f.moisture for f in waste.fillers] + [g.moisture for g in waste.gums])
    parts = recipes[:, :-1]
    water = recipes[:, -1] + (parts * moisture).sum(axis=1)
    dry = parts * (1.0 - moisture)
    return dry[:, : len(waste.fillers)], dry[:, len(waste.fillers) :], water


def _drunk(waste: Waste, dry: Array, water: Array, minutes: float) -> Array:
    """Grains drink at once a part, the rest over time; scarce water is shared, never all of it."""
    soaked = [0.55 + 0.45 * (1.0 - np.exp(-minutes / f.drink_minutes)) for f in waste.fillers]
    wish = dry * np.array([f.drinks for f in waste.fillers]) * np.array(soaked)
    total = wish.sum(axis=1)
    most = 0.96 * water
    got = total * most / (total**6 + most**6) ** (1 / 6)
    return wish * (got / total)[:, None]


def _doses(waste: Waste, gum_dry: Array, free: Array, minutes: float) -> Array:
    awake = np.array([1.0 - np.exp(-((minutes / g.hydrate_minutes) ** 0.8)) for g in waste.gums])
    raw = 100.0 * gum_dry / free[:, None] * awake / np.array([g.dose for g in waste.gums])
    return raw / (1.0 + (raw / 6.0) ** 4) ** 0.25  # gum that finds no water stays a dry lump


def _gel_pa(waste: Waste, doses: Array, dry: Array, minutes: float) -> Array:
    """Steep above the overlap dose, near linear once the water is full of gum."""
    gel = np.full(len(doses), 2.0)
    lime = (dry * np.array([f.mineral for f in waste.fillers])).sum(axis=1) / dry.sum(axis=1)
    for j, gum in enumerate(waste.gums):
        over = np.maximum(doses[:, j] - 0.15, 0.0)
        part = gum.stiffens_pa * over**gum.power * 1.9 / (1.0 + 0.9 * over ** (gum.power - 0.8))
        gel += part * (1.0 + gum.calcium * lime * (1.0 - np.exp(-minutes / 80.0)))
    both = np.sort(doses, axis=1)[:, -2:].prod(axis=1) if len(waste.gums) > 1 else np.zeros(len(doses))
    return gel * (1.0 + waste.habits["synergy"] * both / (1.0 + both))


def _packs(waste: Waste, share: Array) -> Array:
    """Blends of unlike size pack denser than either; fibres spoil it."""
    loose = 1.0 / (share / np.array([f.packs for f in waste.fillers])).sum(axis=1)
    if share.shape[1] == 1:
        return loose
    sizes = [f.grain_um for f in waste.fillers]
    gain = 0.10 * (1.0 - min(sizes) / max(sizes)) ** 1.5
    fibrous = (share * np.array([f.fibre for f in waste.fillers])).sum(axis=1)
    peak = share[:, 0] ** 0.7 * share[:, 1] ** 1.1 * 2.6
    return np.minimum(loose + gain * peak * (1.0 - fibrous), 0.9)


def _grains_pa(waste: Waste, phi: Array, packs: Array, gel: Array, share: Array) -> Array:
    crowd = np.minimum(phi / packs, 0.992)
    carried = gel * np.sqrt((1.0 - phi) * (1.0 - crowd) ** (-2.5 * packs))
    begin = waste.habits["begin"] * packs
    touch = np.maximum(phi - begin, 0.0) ** 2 * phi / (packs**2 * (1.0 - crowd))
    fibrous = (share * np.array([f.fibre for f in waste.fillers])).sum(axis=1)
    return carried + waste.habits["touch_pa"] * touch * (1.0 + 1.5 * fibrous)


def _felt_pa(waste: Waste, phi: Array, packs: Array, gel: Array, share: Array) -> Array:
    fibrous = (share * np.array([0.35 + 0.65 * f.fibre for f in waste.fillers])).sum(axis=1)
    hold = waste.habits["hold"] * (1.35 - 0.5 * fibrous)
    above = np.maximum(phi / hold - 1.0, 0.0)
    oiled = 1.0 / (1.0 + gel / waste.habits["oil_pa"])
    felt = waste.habits["touch_pa"] * above ** waste.habits["felt_power"] * (0.45 + 0.55 * oiled)
    return (gel * (1.0 + 3.0 * phi**2) + felt) * (1.02 - phi) ** -0.5
