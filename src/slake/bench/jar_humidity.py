"""Jar humidity: the air over a powder or a dried piece in a closed jar, read as its water activity."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from slake.ground.evidence import Evidence, exact
from slake.ground.problems import DoesNotFit
from slake.ground.units import from_si, to_si
from slake.paste.keeping import DRY_ENOUGH, NOTHING_GROWS, keeps_words

from .declaration import About, BenchTest, Choice, Context, Headline, Raw, Scalar

HUMIDITY = Scalar(
    name="humidity_percent",
    label="humidity in the jar",
    unit="%",
    low=0.0,
    high=100.0,
    mend="read the hygrometer through the glass",
)
HOURS = Scalar(
    name="hours",
    label="hours closed",
    unit="h",
    low=0.5,
    high=1000.0,
    typical=24.0,
    mend="count from when the lid went on",
)
SALT = Choice(
    name="salt",
    label="hygrometer checked over",
    words={"none": "not checked", "nacl": "table salt slurry, 75 %", "mgcl2": "magnesium chloride slurry, 33 %"},
    typical="none",
    further=True,
)
SHOWN = Scalar(
    name="salt_shown_percent",
    label="it showed over the salt",
    unit="%",
    low=0.0,
    high=100.0,
    typical=0.0,
    open_means="not checked",
    further=True,
    mend="read it after a day over the wet salt",
)
OVER_SALT = {"nacl": 0.75, "mgcl2": 0.33}
"""Relative humidity over a saturated slurry near room temperature. Source: greenspan1977 (memory)."""
SCATTER = 0.025
UNCHECKED_SD, CHECKED_SD = 0.03, 0.015
MOST_OFF = 0.15
EVEN_S = to_si(12, "h")
"""2 to 3 points from jar to jar; a cheap hygrometer is off by some 3 points unless checked; 12 h to come even in a
full jar. Practice, no source.
"""


def _checked(raw: Raw) -> bool:
    """Over which salt, and what it showed there: both are needed."""
    return raw.words[SALT.name] in OVER_SALT and raw.numbers[SHOWN.name] > 0


def _activity(raw: Raw) -> float:
    """Water activity, the hygrometer's error over the salt taken off. Raises DoesNotFit where that check cannot be."""
    salt, shown = raw.words[SALT.name], raw.numbers[SHOWN.name]
    if not _checked(raw):
        return raw.numbers[HUMIDITY.name]
    off = shown - OVER_SALT[salt]
    if abs(off) > MOST_OFF:
        raise DoesNotFit(
            f"over the salt it showed {from_si(shown, '%'):.3g} % where {from_si(OVER_SALT[salt], '%'):.0f} % stands: "
            "more than 15 points off is no check; wet the salt, wait a day, or take another hygrometer"
        )
    return min(max(raw.numbers[HUMIDITY.name] - off, 0.0), 1.0)


def headline(raw: Raw) -> Headline:
    words = "" if _checked(raw) else "hygrometer not checked"
    return Headline(name=HUMIDITY.name, value=from_si(_activity(raw), "%"), unit="%", words=words)


def inverse(raw: Raw, context: Context) -> Evidence:
    """Water activity as a fraction; the hygrometer's own error is shared by all its readings."""
    activity = _activity(raw)
    shared = CHECKED_SD if _checked(raw) else UNCHECKED_SD
    found = exact("water_activity", activity, SCATTER, on_log=False, hygrometer=shared)
    notes = []
    if raw.numbers[HOURS.name] < EVEN_S * (1 - 1e-9):
        notes.append("under 12 hours the jar may not be even yet: read it again after 24")
    if activity >= DRY_ENOUGH:
        notes.append("over 70 %: too damp to store, dry it on")
    return replace(found, note="; ".join(notes))


def says(raw: Raw, context: Context) -> Sequence[str]:
    activity, salt = _activity(raw), raw.words[SALT.name]
    spread = math.hypot(SCATTER, CHECKED_SD if _checked(raw) else UNCHECKED_SD)
    lines = [keeps_words(activity, spread)]
    if _checked(raw):
        off = from_si(raw.numbers[SHOWN.name] - OVER_SALT[salt], "%")
        lines.append(f"the hygrometer showed {abs(off):.2g} points too {'much' if off > 0 else 'little'}: taken off")
    return lines


def forward(activity: float, context: Context) -> float:
    """The percentage is the activity itself."""
    return from_si(activity, "%")


def quick(humidity_percent: float) -> Raw:
    """A percentage alone: after 24 hours, hygrometer not checked."""
    return Raw(
        numbers={
            HUMIDITY.name: HUMIDITY.take(humidity_percent),
            HOURS.name: HOURS.typical_si(),
            SHOWN.name: SHOWN.typical_si(),
        },
        words={SALT.name: "none"},
        typed={HUMIDITY.name: f"{humidity_percent:g}"},
    )


TEST = BenchTest(
    id="jar_humidity",
    version=1,
    title="Jar humidity",
    about=About.LOT,
    also_about=(About.BATCH,),
    procedure=(
        "Put 30 g of the powder, or of a dried piece in crumbs, into a 200 mL jar.",
        "Hang the hygrometer in, close the lid, keep it at one temperature.",
        "Read it through the glass after 24 hours.",
        "Now and then check the hygrometer over wet table salt: 75 %.",
    ),
    inputs=(HUMIDITY, HOURS, SALT, SHOWN),
    informs="water_activity",
    notebook_name=HUMIDITY.name,
    notebook_unit="%",
    brief_words="humidity over the powder or dried piece in a closed jar",
    floor=0.0,
    ceiling=100.0,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    says=says,
    scatter_absolute=2.5,
    scatter_share=0.0,
    validity="At one temperature, the jar at least a seventh full, closed for a day. Under "
    f"{NOTHING_GROWS:.2f} nothing is known to grow, under {DRY_ENOUGH:.2f} it usually keeps for months, most moulds "
    "want more than 0.80; it says nothing of germs that are there already. Of a batch, read a dried piece, not paste.",
    sources=("greenspan1977", "iso18787", "beuchat1981", "practice"),
    cautions=("Smells or shows mould: do not open it, throw the jar's content out.",),
    minutes=5.0,
)
