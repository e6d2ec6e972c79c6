"""Layers stood: how many layers of a free wall or ring stood before it fell, and how it fell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from slake.ground.evidence import Evidence, above, below, exact
from slake.ground.problems import plain
from slake.ground.units import from_si
from slake.paste.standing import yield_stress_to_stand_pa

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
        "folded": "folded sideways",
        "foot_bulged": "foot bulged",
        "leaned": "leaned",
        "puddled": "puddled",
    },
    typical="fell",
    help="all stood: you stopped, it did not fall; folded: the wall went out of line; bulged: its foot spread",
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
PASTE_HELD = {"all_stood", "leaned"}
NOTES = {
    "all_stood": "nothing fell: it only says “at least this many”",
    "leaned": "it leaned, which is the table, the first layer or the nozzle: it only says “at least this many”",
    "puddled": "it ran instead of standing: it only says “fewer than”",
}
OF_THE_PASTE = {
    "all_stood": "no limit was found: print higher to find it",
    "fell": "how it fell was not seen: next time look whether it folds sideways, bulges at the foot, leans or puddles",
    "folded": "it folded for want of stiffness, not of strength: beside a cone of the same paste it narrows how "
    "stiff this paste is for its yield stress; a wider or a curved wall stands higher",
    "foot_bulged": "the foot gave way under the weight: a stiffer paste or a pause stands higher, no wider wall",
    "leaned": "nothing follows of stiffness or strength: level the table, press the first layer on",
    "puddled": "it could hardly carry its own layers: take water out, or wait until it is stiffer",
}
AT_THE_FOOT = {
    "all_stood": "the foot carried it: its yield stress as laid was likely {least} Pa or more",
    "folded": "the foot had not given way yet: its yield stress as laid was likely {least} Pa or more",
    "foot_bulged": "its yield stress as laid was about {least} to {most} Pa (von Mises)",
    "puddled": "its yield stress as laid was likely under {most} Pa",
}
USUALLY_STANDS = 1.39
"""Walls usually stand this many times higher than the plain weight on the foot allows: roussel2018, as in the law."""
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
    """Layers, of the layer height in the context: exact where the paste gave way, above where it did not, and below
    where it ran.
    """
    layers = raw.numbers[LAYERS.name] * raw.numbers[LAYER.name] / context.layer_height_m
    scatter = max(SCATTER_LAYERS, SCATTER_SHARE * layers)
    how = raw.words[HOW.name]
    if how in PASTE_HELD:
        return replace(above("layers_stood", layers, scatter, on_log=False), note=NOTES[how])
    if how == "puddled":
        one_more = raw.numbers[LAYER.name] / context.layer_height_m
        return replace(below("layers_stood", layers + one_more, scatter, on_log=False), note=NOTES[how])
    return replace(exact("layers_stood", layers, scatter, on_log=False), note=NOTES.get(how, ""))


def says(raw: Raw, context: Context) -> Sequence[str]:
    """What this way of ending says of the paste, beyond the count."""
    how, height_m = raw.words[HOW.name], raw.numbers[LAYERS.name] * raw.numbers[LAYER.name]
    lines = [OF_THE_PASTE[how]]
    if how == "puddled":
        height_m += raw.numbers[LAYER.name]
    if height_m > 0 and how in AT_THE_FOOT:
        foot_pa = yield_stress_to_stand_pa(height_m, context.density_kg_m3)
        lines.append(AT_THE_FOOT[how].format(least=_plain(foot_pa / USUALLY_STANDS), most=_plain(foot_pa)))
    return lines


def _plain(pascals: float) -> str:
    return plain(float(f"{pascals:.2g}"))


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
    says=says,
    scatter_absolute=SCATTER_LAYERS,
    scatter_share=SCATTER_SHARE,
    validity="One wall shape, bead width and speed: a ring stands higher than a straight wall, a slow print higher "
    "than a fast one. Counts of other layer heights are brought to the one asked for by their height.",
    sources=("roussel2018", "practice"),
    cautions=("Keep fingers off the moving ram and bed.", "Relieve the pressure before you open the barrel."),
    minutes=12.0,
)
