"""What slake expects before the first batch: weak, physically directed weights. Common practice, no source.

Every pair is (mean, sd) of a weight on one feature (features.py), for the natural log of the property in its unit,
or for the grade itself. docs/belief.md says in words what each stands for.
"""

from __future__ import annotations

import math

from .channel import Channel

YIELD_STRESS = Channel(
    name="yield stress",
    unit="Pa",
    priors={
        "one": (math.log(1000), 1.3),
        "wet": (-5.5, 2.8),
        "wet2": (0.0, 4.0),
        "gum": (0.5, 0.35),
        "bind": (0.25, 0.3),
        "thirst": (-0.5, 1.0),
        "cellulose": (0.1, 0.3),
        "wet x gum": (0.05, 0.5),
    },
    share_sd=1.2,
    part=(-0.3, 0.6),
    misfit=0.12,
    smooth=0.21,
    lot_sd=0.4,
    age=(0.3, 0.3),
)

RAM_FORCE = Channel(
    name="ram force",
    unit="N",
    priors={
        "one": (0.2, 0.4),
        "wet": (0.0, 0.6),
        "wet2": (0.0, 0.4),
        "gum": (-0.15, 0.2),
        "bind": (-0.05, 0.15),
        "thirst": (0.0, 0.2),
        "cellulose": (0.1, 0.2),
        "wet x gum": (0.0, 0.1),
    },
    share_sd=0.15,
    part=(-0.1, 0.3),
    misfit=0.12,
    smooth=0.09,
    parent="yield stress",
    offset="nozzle",
)

LAYERS = Channel(
    name="layers stood",
    unit="layers",
    priors={
        "one": (math.log(33), 0.9),
        "wet": (0.5, 1.4),
        "wet2": (0.0, 1.0),
        "gum": (-0.05, 0.25),
        "bind": (0.0, 0.2),
        "thirst": (0.0, 0.6),
        "cellulose": (0.15, 0.3),
        "wet x gum": (0.0, 0.1),
    },
    share_sd=0.8,
    part=(-0.1, 0.3),
    misfit=0.12,
    smooth=0.18,
    parent="yield stress",
    coefficient=0.8,
    parent_centre=math.log(1000),
    age=(0.0, 0.1),
)

SPRING_BACK = Channel(
    name="spring-back",
    unit="%",
    priors={
        "one": (math.log(1.5), 0.9),
        "wet": (0.3, 1.1),
        "wet2": (-0.2, 0.6),
        "gum": (-0.2, 0.4),
        "bind": (0.0, 0.25),
        "thirst": (0.0, 0.3),
        "cellulose": (0.1, 0.3),
        "wet x gum": (-0.2, 0.3),
    },
    share_sd=0.6,
    misfit=0.15,
    smooth=0.15,
    age=(0.05, 0.15),
)

BLEED = Channel(
    name="bleed",
    unit="g/100 g",
    priors={
        "one": (math.log(0.7), 0.9),
        "wet": (2.0, 1.5),
        "gum": (-0.8, 0.5),
        "bind": (-0.4, 0.4),
        "thirst": (-0.2, 0.3),
        "cellulose": (-0.2, 0.4),
    },
    share_sd=0.5,
    misfit=0.2,
    smooth=0.3,
)

SHRINKAGE = Channel(
    name="shrinkage",
    unit="%",
    priors={
        "one": (-0.1, 0.8),
        "wet": (1.4, 0.9),
        "wet2": (0.0, 1.5),
        "gum": (0.02, 0.12),
        "bind": (0.07, 0.12),
        "thirst": (-0.05, 0.2),
        "cellulose": (0.15, 0.25),
        "wet x gum": (0.0, 0.1),
    },
    share_sd=0.5,
    misfit=0.05,
    smooth=0.07,
    age=(-0.1, 0.2),
    offset="usual shrinkage",
)

CRACKS = Channel(
    name="crack grade",
    unit="grade",
    priors={
        "one": (math.log(1.65), 0.7),
        "wet": (0.4, 0.9),
        "wet2": (0.0, 1.2),
        "gum": (-0.07, 0.15),
        "bind": (-0.18, 0.2),
        "thirst": (-0.1, 0.2),
        "cellulose": (0.1, 0.3),
        "wet x gum": (0.0, 0.1),
    },
    share_sd=0.3,
    misfit=0.12,
    smooth=0.09,
    lot_sd=0.2,
    parent="shrinkage",
    coefficient=0.8,
    parent_centre=math.log(5),
)

STRENGTH = Channel(
    name="strength",
    unit="MPa",
    priors={
        "one": (math.log(2.5), 0.9),
        "wet": (-1.0, 0.9),
        "wet2": (0.0, 0.3),
        "gum": (0.25, 0.22),
        "bind": (0.62, 0.2),
        "thirst": (0.3, 0.6),
        "cellulose": (0.0, 0.3),
        "wet x gum": (0.0, 0.1),
    },
    share_sd=0.5,
    part=(-0.3, 0.6),
    misfit=0.08,
    smooth=0.06,
    age=(0.1, 0.15),
)

DENSITY = Channel(
    name="density",
    unit="g/mL",
    priors={
        "one": (-0.03, 0.05),
        "wet": (0.0, 0.08),
        "gum": (-0.01, 0.03),
        "bind": (0.0, 0.03),
        "thirst": (0.0, 0.03),
        "cellulose": (0.0, 0.04),
    },
    share_sd=0.04,
    part=(0.0, 0.04),
    misfit=0.01,
    smooth=0.015,
    lot_sd=0.02,
    offset="air-free density",
)

CLOGGING = Channel(
    name="clogging",
    unit="1",
    priors={
        "one": (-1.0, 0.8),
        "wet": (-0.8, 1.2),
        "wet2": (0.0, 0.6),
        "gum": (-0.5, 0.5),
        "bind": (-0.2, 0.3),
        "thirst": (0.0, 0.4),
        "cellulose": (0.1, 0.4),
    },
    share_sd=0.5,
    misfit=0.2,
    smooth=0.3,
    by_lots=False,
)
"""Tendency over the one that jams, known from how batches ended only: drier, with less gum, the water runs ahead of the
grains. A clog says nothing of stiffness, not even by way of what a lot drinks.
"""

CHANNELS = {
    c.name: c
    for c in (YIELD_STRESS, RAM_FORCE, LAYERS, SPRING_BACK, BLEED, SHRINKAGE, CRACKS, STRENGTH, DENSITY, CLOGGING)
}


def unfamiliar(name: str, unit: str, middle: float, *, on_log: bool) -> Channel:
    """A property slake has no expectation for: centred on `middle` (a logarithm where `on_log`), wide every way."""
    wide = 1.0 if on_log else max(abs(middle), 1.0)
    priors = {"one": (middle, 1.2 * wide), "wet": (0.0, 1.5 * wide)}
    priors |= dict.fromkeys(("gum", "bind", "thirst", "cellulose"), (0.0, 0.5 * wide))
    return Channel(
        name=name,
        unit=unit,
        priors=priors,
        share_sd=0.6 * wide,
        misfit=0.12 * wide,
        smooth=0.3 * wide,
        on_log=on_log,
    )
