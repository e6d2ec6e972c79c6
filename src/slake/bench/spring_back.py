"""Spring-back: how far the plunger comes back when a pressed paste is let go."""

from __future__ import annotations

from slake.ground.evidence import Evidence, Kind
from slake.ground.problems import DoesNotFit
from slake.ground.units import from_si, to_si

from .declaration import About, BenchTest, Context, Headline, Raw, Scalar

BACK = Scalar(
    name="return_mm",
    label="plunger came back",
    unit="mm",
    low=0.0,
    high=100.0,
    help="0 is an answer",
    mend="measure how far the plunger moved back after 10 seconds",
)
COLUMN = Scalar(
    name="column_mm",
    label="length of the paste in the syringe",
    unit="mm",
    low=5.0,
    high=400.0,
    typical=54.0,
    help="30 mL in a 60 mL syringe is about 54 mm",
    mend="measure the paste from nozzle to plunger",
)
OOZE = Scalar(
    name="ooze_g",
    label="oozed from the nozzle within 20 seconds after the stop",
    unit="g",
    low=0.0,
    high=50.0,
    typical=0.0,
    help="under 0.05 g is good",
    mend="push a bead, stop, and weigh what still runs out in 20 seconds, in grams",
    open_means="not weighed",
)
MOST_OOZE_KG = to_si(0.05, "g")
READING_PERCENT = 0.4
SCATTER_SHARE = 0.2
"""0.2 mm of caliper on 54 mm, 20 % between repeats, and 0.05 g of ooze: practice, no source."""


def headline(raw: Raw) -> Headline:
    """Return per paste length. Raises DoesNotFit where the plunger came back further than the paste was long."""
    back_m, column_m = raw.numbers[BACK.name], raw.numbers[COLUMN.name]
    if back_m > column_m / 2:
        raise DoesNotFit(
            f"the plunger came back {from_si(back_m, 'mm'):g} mm from only {from_si(column_m, 'mm'):g} mm of paste: "
            "more than half is a slipped plunger, so measure both again"
        )
    ooze_kg = raw.numbers[OOZE.name]
    words = f"oozes {from_si(ooze_kg, 'g'):.2g} g" if ooze_kg > 0 else ""
    return Headline(name=SPRING.name, value=from_si(back_m / column_m, "%"), unit="%", words=words)


def inverse(raw: Raw, context: Context) -> Evidence:
    """Share of the paste length that springs back: elasticity and air together."""
    percent = headline(raw).value
    share = to_si(percent, "%")
    scatter = to_si(max(READING_PERCENT, SCATTER_SHARE * percent), "%")
    return Evidence(
        informs="spring_back", kind=Kind.EXACT, low=share, high=share, scatter=scatter, on_log=False, note=_note(raw)
    )


def _note(raw: Raw) -> str:
    notes = []
    if headline(raw).value > 10:
        notes.append("over 10 % is mostly air or a sticking seal: pack it again without air")
    if raw.numbers[OOZE.name] > MOST_OOZE_KG:
        notes.append("over 0.05 g of ooze strings and stops late: less elastic gum, less air, or draw the ram back")
    return "; ".join(notes)


def forward(spring_back: float, context: Context) -> float:
    """The percentage read is the property itself."""
    return from_si(spring_back, "%")


SPRING = Scalar(
    name="springback_percent",
    label="spring-back, % of the paste length",
    unit="%",
    low=0.0,
    high=50.0,
    mend="measure return and paste length again",
)


def quick(springback_percent: float) -> Raw:
    """A percentage alone: as of the typical paste length."""
    column_m = COLUMN.typical_si()
    numbers = {BACK.name: SPRING.take(springback_percent) * column_m, COLUMN.name: column_m, OOZE.name: 0.0}
    return Raw(numbers=numbers, typed={SPRING.name: f"{springback_percent:g}"})


TEST = BenchTest(
    id="spring_back",
    version=1,
    title="Spring-back",
    about=About.BATCH,
    procedure=(
        "Fill a syringe without air. Measure the paste length.",
        "Close the nozzle. Put 2 kg on the plunger for 60 seconds.",
        "Mark the plunger. Take the weight off.",
        "After 10 seconds measure how far it came back.",
        "Open it, push a bead, stop: weigh what oozes in 20 seconds.",
    ),
    inputs=(BACK, COLUMN, OOZE),
    informs="spring_back",
    notebook_name=SPRING.name,
    notebook_unit="%",
    brief_words="how far it springs back, of the paste length",
    floor=SPRING.low,
    ceiling=SPRING.high,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    scatter_absolute=READING_PERCENT,
    scatter_share=SCATTER_SHARE,
    validity="2 kg on a 60 mL syringe for 60 seconds. Air counts as spring: repeat with paste packed again to tell "
    "them apart.",
    sources=("practice",),
    cautions=("Hold the weight: it can tip off the plunger.", "Point the closed nozzle away from faces."),
    sample_ml=30.0,
    minutes=4.0,
)
