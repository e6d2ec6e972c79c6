"""Readings at three days: shrinkage to a rigid skeleton, cracks by strain and toughness, strength by pore and glue."""

import numpy as np

from .waste import Part, Temper
from .water import Array, habit
from .wet import Paste


def _plasticised(paste: Paste, parts: tuple[Part, ...]) -> Array:
    """g plasticiser per g dry matter."""
    soft = np.array([part.role == "plasticiser" for part in parts], dtype=float)
    return (paste.at.dry @ soft) / (paste.at.dry.sum(axis=1) + 1e-9)


def left_of_volume(paste: Paste, parts: tuple[Part, ...], temper: Temper) -> Array:
    """Volume when grains touch and drying can pull no further, over the wet volume."""
    pulled = temper.dry_pack * (1.0 + temper.draw_in * np.log1p(paste.between.overlaps))
    mixed = pulled * paste.packed.jam_phi / temper.jam_phi
    rigid = paste.at.kept.sum(axis=1) / np.minimum(mixed, 0.92)
    least = np.maximum(rigid, 1.05 * paste.at.solids) / paste.at.volume
    kept = least + 0.6 * _plasticised(paste, parts) * (1.0 - np.minimum(least, 1.0))
    return kept / (1.0 + kept**9) ** (1 / 9)


def shrink_percent(paste: Paste, parts: tuple[Part, ...], temper: Temper) -> Array:
    """Line shrinkage."""
    return 100.0 * (1.0 - np.cbrt(left_of_volume(paste, parts, temper)))


def glue_cover(paste: Paste, parts: tuple[Part, ...], temper: Temper) -> Array:
    """How well glue covers the grains (0..1): grams of glue against the surface of the dry grains."""
    glue = paste.at.dry @ habit(parts, "glue") + paste.at.dry @ habit(parts, "leach")
    grains = habit(parts, "grain_um") > 0
    surface = (paste.at.dry @ grains) * np.cbrt(paste.packed.grain_ratio)
    oily = np.exp(-6.0 * (paste.at.dry @ habit(parts, "oil")) / (paste.at.dry.sum(axis=1) + 1e-9))
    return (1.0 - np.exp(-glue / (temper.cover_g * surface + 1e-9))) * oily


def crack_grade(paste: Paste, parts: tuple[Part, ...], temper: Temper) -> Array:
    """Strain held back, squared, against toughness by fibres and plasticiser; stiff well glued parts store more."""
    strain = 0.01 * shrink_percent(paste, parts, temper)
    stiff = 0.5 + glue_cover(paste, parts, temper)
    tough = 1.0 + temper.tough_fibre * np.log(paste.packed.aspect) + temper.tough_soft * _plasticised(paste, parts)
    drive = ((strain / temper.crack_strain) ** 2 * stiff / tough) ** temper.crack_power
    return 5.0 * drive / (1.0 + drive)


def strength_mpa(paste: Paste, parts: tuple[Part, ...], temper: Temper) -> Array:
    """Glue, thinned by pores and lumps of tied gum, helped by fibres, hurt by cracks and plasticiser."""
    left = left_of_volume(paste, parts, temper)
    pores = 1.0 - np.minimum(paste.at.solids / (paste.at.volume * left), 1.0)
    glue = glue_cover(paste, parts, temper) ** 1.3
    fibres = 1.0 + 0.25 * np.log(paste.packed.aspect)
    hurt = (1.0 - 0.12 * crack_grade(paste, parts, temper)) * np.exp(-3.0 * _plasticised(paste, parts))
    lumps = 1.0 - 0.3 * paste.between.tied
    return temper.strength_mpa * glue * fibres * hurt * lumps * np.exp(-temper.pore_loss * (pores + paste.air))
