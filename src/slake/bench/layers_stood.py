"""Layers stood: how many layers of a free wall or ring stood before it fell, and how it fell."""

from __future__ import annotations

from dataclasses import replace

from slake.ground.evidence import Evidence, above, below, exact
from slake.ground.units import from_si

from .declaration import About, BenchTest, Choice, Context, Headline, Raw, Scalar

LAYERS = Scalar(
    name="layers_stood",
    label="layers that stood",
    unit="layers",
    low=0.0,
    high=500.0,
    whole=True,
    help="fell while laying layer 9: write 8",
    mend="count the layers that still stood before it fell",
)
HOW = Choice(
    name="how",
    label="how it ended",
    words={
        "all_stood": "all stood",
        "fell": "fell",
        "folded": "folded",
        "foot_bulged": "foot bulged",
        "leaned": "leaned",
        "puddled": "puddled",
    },
    typical="fell",
    help="all stood: you stopped, it did not fall",
)
LAYER = Scalar(
    name="layer_height_mm",
    label="layer height",
    unit="mm",
    low=0.2,
    high=20.0,
    typical=1.2,
    mend="use the layer height the printer was told",
)
SCATTER_LAYERS = 1.0
SCATTER_SHARE = 0.15
"""Same paste, same wall, printed again: practice, no source."""


def headline(raw: Raw) -> Headline:
    layers = raw.numbers[LAYERS.name]
    height_mm = from_si(layers * raw.numbers[LAYER.name], "mm")
    words = (
        f"{HOW.words[raw.words[HOW.name]]}, {height_mm:.3g} mm of {from_si(raw.numbers[LAYER.name], 'mm'):g} mm each"
    )
    return Headline(name=LAYERS.name, value=layers, unit="layers", words=words)


def inverse(raw: Raw, context: Context) -> Evidence:
    """Layers, of the layer height in the context. Above when all stood, below when it puddled, else exact."""
    layers = raw.numbers[LAYERS.name] * raw.numbers[LAYER.name] / context.layer_height_m
    scatter = max(SCATTER_LAYERS, SCATTER_SHARE * layers)
    how = raw.words[HOW.name]
    if how == "all_stood":
        found = above("layers_stood", layers, scatter, on_log=False)
        return replace(found, note="nothing fell: it only says “at least this many”")
    if how == "puddled":
        found = below("layers_stood", layers + 1, scatter, on_log=False)
        return replace(found, note="it ran instead of standing: it only says “fewer than”")
    return exact("layers_stood", layers, scatter, on_log=False)


def forward(layers: float, context: Context) -> float:
    """Layers expected of the layer height named in context.instrument, else of the one asked for."""
    laid_m = float(context.instrument.get(LAYER.name, context.layer_height_m))
    return max(layers, 0.0) * context.layer_height_m / laid_m


def quick(layers: float) -> Raw:
    """A count alone: the wall fell, how is not known."""
    return Raw(
        numbers={LAYERS.name: LAYERS.take(layers), LAYER.name: LAYER.typical_si()},
        words={HOW.name: "fell"},
        typed={LAYERS.name: f"{layers:g}"},
    )


TEST = BenchTest(
    id="layers_stood",
    version=1,
    title="Layers stood",
    about=About.BATCH,
    procedure=(
        "Print a straight or round wall, one bead wide.",
        "Watch the foot and the top edge. Stop when it moves.",
        "Count the layers that stood before that. Say how it went.",
        "Reached the layers you wanted? Say “all stood”.",
    ),
    inputs=(LAYERS, HOW, LAYER),
    informs="layers_stood",
    notebook_name=LAYERS.name,
    notebook_unit="layers",
    brief_words="layers that stand",
    floor=0.0,
    ceiling=LAYERS.high,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    scatter_absolute=SCATTER_LAYERS,
    scatter_share=SCATTER_SHARE,
    validity="One wall shape, bead width and speed: a ring stands higher than a straight wall, a slow print higher "
    "than a fast one. Counts of other layer heights are brought to the one asked for by their height.",
    sources=("practice",),
    cautions=("Keep fingers off the moving ram and bed.", "Relieve the pressure before you open the barrel."),
    minutes=12.0,
)
