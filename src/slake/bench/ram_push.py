"""Ram push: the force that drives paste through the nozzle, or the force that could not."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from slake.ground.evidence import Evidence, above, exact
from slake.ground.numbers import is_open
from slake.paste.pipe import apparent_shear_rate_per_s, rabinowitsch_factor

from .declaration import About, BenchTest, Choice, Context, Headline, Raw, Scalar

FORCE = Scalar(
    name="ram_force_n",
    label="force on the ram while the bead runs",
    unit="N",
    low=0.5,
    high=20000.0,
    help="1 kg on a hand syringe is 9.81 N",
    mend="give the force in newtons; 1 kg of weight is 9.81 N",
)
ENDED = Choice(
    name="ended",
    label="what the bead did",
    words={"ran": "ran steadily", "stalled": "stalled"},
    typical="ran",
    help="stalled: give the highest force you had",
)
MACHINES_OWN = "the machine's"
SPEED = Scalar(
    name="push_speed_mm_s",
    label="speed of the bead",
    unit="mm/s",
    low=0.1,
    high=500.0,
    typical=20.0,
    open_means=MACHINES_OWN,
    further=True,
    help="weigh or measure the bead that came in a minute",
)
NOZZLE = Scalar(
    name="push_nozzle_mm",
    label="bore of the nozzle used",
    unit="mm",
    low=0.1,
    high=20.0,
    typical=2.0,
    open_means=MACHINES_OWN,
    further=True,
)
LAND = Scalar(
    name="push_land_mm",
    label="its land",
    unit="mm",
    low=0.1,
    high=200.0,
    typical=15.0,
    open_means=MACHINES_OWN,
    further=True,
)
FILL = Scalar(
    name="push_fill_mm",
    label="length of paste in the barrel",
    unit="mm",
    low=1.0,
    high=2000.0,
    typical=150.0,
    open_means=MACHINES_OWN,
    further=True,
)
PUSHED_WITH = (SPEED, NOZZLE, LAND, FILL)
"""How it was pushed: pushes at several speeds, lands and nozzles teach the force law of the machine."""
FRICTION_N = 40.0
SCATTER_SHARE = 0.1
LEAST_INDEX, MOST_INDEX = 0.3, 0.6
"""Flow index of filled pastes: practice, no source."""


def headline(raw: Raw) -> Headline:
    words = "stalled" if raw.words[ENDED.name] == "stalled" else ""
    return Headline(name=FORCE.name, value=raw.numbers[FORCE.name], unit="N", words=words)


def inverse(raw: Raw, context: Context) -> Evidence:
    """Force on this ram and nozzle, seal friction included. Above when it stalled."""
    force_n = raw.numbers[FORCE.name]
    if raw.words[ENDED.name] == "stalled":
        found = above("ram_force_n", force_n, SCATTER_SHARE)
        return replace(found, note="it stalled: it only says “more than this”")
    note = "" if force_n > FRICTION_N else "up to 40 N the seal alone may take it: push the empty ram once and note it"
    return replace(exact("ram_force_n", force_n, SCATTER_SHARE), note=note)


def says(raw: Raw, context: Context) -> Sequence[str]:
    """How fast the paste sheared at the wall of the nozzle, where speed and bore were typed."""
    if any(is_open(str(raw.typed.get(item.name, ""))) for item in (SPEED, NOZZLE)):
        return []
    speed_m_s, bore_m = raw.numbers[SPEED.name], raw.numbers[NOZZLE.name]
    rate = apparent_shear_rate_per_s(speed_m_s * math.pi * bore_m**2 / 4, bore_m / 2)
    low, high = (rate * rabinowitsch_factor(index) for index in (MOST_INDEX, LEAST_INDEX))
    return [
        f"the wall of the nozzle shears it at about {rate:.2g} per second, {low:.2g} to {high:.2g} in one that thins "
        "in flow: compare it with pushes of like rate; where it slides along the wall it shears less"
    ]


def forward(force_n: float, context: Context) -> float:
    """The force read is the property itself, on the same machine."""
    return force_n


def quick(force_n: float) -> Raw:
    """A force alone: the bead ran."""
    with_what = {item.name: item.typical_si() for item in PUSHED_WITH}
    return Raw(
        numbers={FORCE.name: FORCE.take(force_n), **with_what},
        words={ENDED.name: "ran"},
        typed={FORCE.name: f"{force_n:g}"},
    )


TEST = BenchTest(
    id="ram_push",
    version=2,
    title="Ram push",
    about=About.BATCH,
    procedure=(
        "Fill the barrel without air. Fit the nozzle you print with.",
        "Push at printing speed until the bead runs steadily.",
        "Read the force. On a hand syringe: kg put on times 9.81.",
        "Do it at two or three speeds where you can: the machine's verdict learns from each.",
        "It stalled? Give the highest force and say so.",
    ),
    inputs=(FORCE, ENDED, *PUSHED_WITH),
    informs="ram_force_n",
    notebook_name=FORCE.name,
    notebook_unit="N",
    brief_words="force on the ram",
    floor=FORCE.low,
    ceiling=FORCE.high,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    says=says,
    scatter_absolute=2.0,
    scatter_share=SCATTER_SHARE,
    validity="One barrel, nozzle, fill and speed: it does not carry over to another machine. The seal takes 10 to "
    "40 N of it.",
    sources=("practice",),
    cautions=(
        "The ram pinches: no fingers between ram and barrel.",
        "A clogged barrel is under pressure: stop and run the ram back before you touch the nozzle.",
    ),
    minutes=5.0,
)
