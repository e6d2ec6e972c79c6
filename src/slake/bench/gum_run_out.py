"""Gum run-out: how long 50 mL of a gum in water takes to run from one and the same syringe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from slake.ground.evidence import Evidence, above, below, exact
from slake.ground.units import from_si, to_si

from .declaration import About, BenchTest, Choice, Context, Headline, Raw, Scalar

SECONDS = Scalar(
    name="gum_run_out_s",
    label="seconds for 50 mL",
    unit="s",
    low=1.0,
    high=3600.0,
    help="did not run out: the seconds you waited",
    mend="time 50 mL from the same syringe",
)
ENDED = Choice(
    name="ended",
    label="how it ran",
    words={"ran": "ran out", "drops": "only drops", "stood": "did not run at all"},
    typical="ran",
)
GUM = Scalar(
    name="gum_g",
    label="gum",
    unit="g",
    low=0.05,
    high=50.0,
    typical=1.0,
    mend="weigh it to 0.01 g where you can",
)
WATER = Scalar(
    name="water_g", label="water", unit="g", low=20.0, high=2000.0, typical=99.0, mend="weigh the water in grams"
)
HOURS = Scalar(
    name="hours",
    label="hours since it was stirred in",
    unit="h",
    low=0.1,
    high=72.0,
    typical=2.0,
    mend="count from when the gum met the water",
)
BLANK = Scalar(
    name="water_s",
    label="same syringe, plain water",
    unit="s",
    low=0.0,
    high=600.0,
    typical=0.0,
    open_means="not timed",
    further=True,
    mend="time 50 mL of plain water",
)
SCATTER_SHARE = 0.08
SYRINGE = 0.15
"""8 % from one run to the next; 15 % in common to all runs of one syringe at one room temperature. Practice."""
LIKE_WATER = 1.15
READY_S = to_si(2, "h")
USUAL_SHARE, OFF_SHARE = 0.01, 0.1


def headline(raw: Raw) -> Headline:
    words = f"{from_si(_share(raw), '%'):.3g} % gum"
    if raw.words[ENDED.name] != "ran":
        words = f"{ENDED.words[raw.words[ENDED.name]]}, {words}"
    return Headline(name=SECONDS.name, value=raw.numbers[SECONDS.name], unit="s", words=words)


def _share(raw: Raw) -> float:
    """Gum per mass of gum and water."""
    return raw.numbers[GUM.name] / (raw.numbers[GUM.name] + raw.numbers[WATER.name])


def inverse(raw: Raw, context: Context) -> Evidence:
    """Run-out time; above where it did not run out, below where it runs like plain water."""
    seconds, water_s = raw.numbers[SECONDS.name], raw.numbers[BLANK.name]
    if raw.words[ENDED.name] != "ran":
        found = above("gum_run_out_s", seconds, SCATTER_SHARE, syringe=SYRINGE)
        return replace(found, note="it did not run out: it only says “thicker than”; take half the gum")
    if seconds < LIKE_WATER * water_s:
        found = below("gum_run_out_s", seconds, SCATTER_SHARE, syringe=SYRINGE)
        return replace(found, note="it runs like plain water: too little gum to tell, take twice as much")
    return replace(exact("gum_run_out_s", seconds, SCATTER_SHARE, syringe=SYRINGE), note=_note(raw))


def _note(raw: Raw) -> str:
    notes = []
    if raw.numbers[HOURS.name] < READY_S * (1 - 1e-9):
        notes.append("under 2 hours most gums still thicken: time it again then")
    if abs(_share(raw) - USUAL_SHARE) > OFF_SHARE * USUAL_SHARE:
        notes.append("only compare it with the same share of gum in water")
    return "; ".join(notes)


def says(raw: Raw, context: Context) -> Sequence[str]:
    lines = ["two gums are matched on a curve of three doses, not on one time"]
    water_s, seconds = raw.numbers[BLANK.name], raw.numbers[SECONDS.name]
    if water_s > 0 and raw.words[ENDED.name] == "ran":
        lines.insert(0, f"it ran {seconds / water_s:.3g} times as long as plain water")
    return lines


def forward(run_out_s: float, context: Context) -> float:
    """The seconds are the property, of this syringe."""
    return run_out_s


def quick(seconds: float) -> Raw:
    """Seconds alone: 1 g in 99 g, after two hours, ran out."""
    typical = {item.name: item.typical_si() for item in (GUM, WATER, HOURS, BLANK)}
    return Raw(
        numbers={SECONDS.name: SECONDS.take(seconds), **typical},
        words={ENDED.name: "ran"},
        typed={SECONDS.name: f"{seconds:g}"},
    )


TEST = BenchTest(
    id="gum_run_out",
    version=1,
    title="Gum run-out",
    about=About.LOT,
    procedure=(
        "Rain 1.0 g of gum into 99 g of stirred water. No lumps.",
        "Cover it. Wait 2 hours, at room temperature.",
        "Fill the syringe you always use, upright, nothing on its tip.",
        "Let go, and time 50 mL running out.",
    ),
    inputs=(SECONDS, ENDED, GUM, WATER, HOURS, BLANK),
    informs="gum_run_out_s",
    notebook_name=SECONDS.name,
    notebook_unit="s",
    brief_words="seconds 50 mL of a gum take to run out",
    floor=SECONDS.low,
    ceiling=SECONDS.high,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    says=says,
    scatter_absolute=0.5,
    scatter_share=SCATTER_SHARE,
    validity="One syringe, one share of gum, one temperature, the same hours. It compares lots of one gum; for two "
    "kinds of gum compare the times at three doses. No viscosity can be read from it.",
    sources=("practice",),
    cautions=("Gum dust makes floors slippery and can sensitise: mask, and wet it gently.",),
    minutes=15.0,
)
