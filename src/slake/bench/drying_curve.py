"""Drying curve: a piece weighed again and again while it dries; how far it is, and when it counts as dry."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from slake.ground.evidence import Evidence, above, exact
from slake.ground.problems import DoesNotFit, NotEnoughEvidence
from slake.ground.units import from_si, to_si
from slake.paste.drying_curve import DRY_SHARE, Dried, dried, share_gone

from .declaration import About, BenchTest, Context, Headline, Raw, Rows, Scalar

TARE = Scalar(
    name="tare_g",
    label="tray or film under it",
    unit="g",
    low=0.0,
    high=20000.0,
    typical=0.0,
    open_means="weighed without",
    mend="weigh the empty tray, in grams",
)
STEP = Scalar(
    name="scale_step_g",
    label="step of the scale",
    unit="g",
    low=0.0001,
    high=50.0,
    typical=0.1,
    mend="read the smallest step it shows",
)
BONE = Scalar(
    name="bone_dry_g",
    label="the same piece bone dry, without the tray",
    unit="g",
    low=0.0,
    high=20000.0,
    typical=0.0,
    open_means="not dried in an oven",
    further=True,
)
STATED = Scalar(
    name="dry_after_h",
    label="hours until it counted as dry, where no weighings were kept",
    unit="h",
    low=0.0,
    high=5000.0,
    typical=0.0,
    open_means="worked out from the weighings",
    further=True,
)
HOURS = Scalar(
    name="hours",
    label="hours since the first weighing",
    unit="h",
    low=0.0,
    high=5000.0,
    mend="count the hours from the first weighing, which is 0",
)
MASS = Scalar(
    name="mass_g",
    label="mass, tray included",
    unit="g",
    low=0.01,
    high=50000.0,
    mend="weigh piece and tray together, in grams",
)
DRY_AFTER = STATED.name
STATED_SD_LOG = 0.2
FEWEST_ROWS = 3
SOONEST_S = 1.0
NOTHING = "nothing yet: weigh it again, three times at least"
LONGEST_H = 5000.0


def _dried(raw: Raw) -> Dried:
    """Raises DoesNotFit or NotEnoughEvidence where the weighings are no drying."""
    rows = sorted(raw.rows, key=lambda row: row[HOURS.name])
    if len(rows) < FEWEST_ROWS:
        raise NotEnoughEvidence("a drying curve", have=len(rows), need=FEWEST_ROWS, do="weigh it again, later")
    tare = raw.numbers[TARE.name]
    masses = [row[MASS.name] - tare for row in rows]
    sd = raw.numbers[STEP.name] / math.sqrt(6)
    return dried([row[HOURS.name] for row in rows], masses, sd, raw.numbers[BONE.name])


def _stated(raw: Raw) -> bool:
    """Hours said, and no weighings: weighings outrank what is said."""
    return not raw.rows and raw.numbers[STATED.name] > 0


def _begun(raw: Raw) -> bool:
    """Too few weighings, or too little lost, to say anything of the drying: kept, for the next ones to join."""
    if _stated(raw) or not raw.rows:
        return False
    try:
        return len(raw.rows) < FEWEST_ROWS or not _dried(raw)
    except NotEnoughEvidence:
        return True


def _last_kg(raw: Raw) -> float:
    """Mass of the piece at the last weighing. Raises DoesNotFit where the tray alone weighs as much."""
    last = max(raw.rows, key=lambda row: row[HOURS.name])
    kg = last[MASS.name] - raw.numbers[TARE.name]
    if kg <= 0:
        raise DoesNotFit(
            f"piece and tray weigh {from_si(last[MASS.name], 'g'):.4g} g, no more than the tray alone: weigh both again"
        )
    return kg


def goes_on(raw: Raw) -> str:
    """What the curve waits for: weighings, until it has slowed down."""
    if _stated(raw) or (not _begun(raw) and _dried(raw).slowed):
        return ""
    return "weigh it again, and add the weighing to these"


def headline(raw: Raw) -> Headline:
    """Hours after the first weighing at which it counts as dry; the last weighing where it has not slowed yet."""
    if _stated(raw):
        return Headline(name=DRY_AFTER, value=from_si(raw.numbers[STATED.name], "h"), unit="h")
    if _begun(raw):
        return Headline(
            name=MASS.name, value=from_si(_last_kg(raw), "g"), unit="g", words=f"as last weighed; {NOTHING}"
        )
    found = _dried(raw)
    hours = from_si(found.dry_after_s, "h")
    if not found.slowed:
        return Headline(name=DRY_AFTER, value=_last_h(raw), unit="h", words="too early to tell: later than this")
    return Headline(name=DRY_AFTER, value=min(hours, LONGEST_H), unit="h")


def _last_h(raw: Raw) -> float:
    return from_si(max(row[HOURS.name] for row in raw.rows), "h")


def inverse(raw: Raw, context: Context) -> Evidence:
    """Time at which it counts as dry; above the last weighing while it still dries as fast as at first."""
    if _stated(raw):
        return exact("dry_after_s", raw.numbers[STATED.name], STATED_SD_LOG)
    if _begun(raw):
        return replace(above("dry_after_s", SOONEST_S, 0.2), note=NOTHING)
    found = _dried(raw)
    if not found.slowed:
        note = "it has not slowed down yet: weigh on; an end drawn from this would be a guess"
        return replace(above("dry_after_s", to_si(max(_last_h(raw), 0.1), "h"), 0.2), note=note)
    return exact("dry_after_s", max(found.dry_after_s, 1.0), found.sd_log)


def says(raw: Raw, context: Context) -> Sequence[str]:
    if _stated(raw) or _begun(raw):
        return []
    found = _dried(raw)
    rate = from_si(found.drying_rate_kg_per_s, "g") * to_si(1, "h")
    lines = [f"at its fastest it lost {rate:.2g} g an hour"]
    if found.curve is not None:
        now = min(row[MASS.name] for row in raw.rows) - raw.numbers[TARE.name]
        gone = share_gone(found.curve, now)
        slows, fades = (from_si(s, "h") for s in (found.curve.slows_at_s, found.curve.fades_in_s))
        lines.append(f"{from_si(gone, '%'):.0f} % of the water that leaves in this air is gone")
        lines.append(f"steady for {slows:.2g} h, then what is left falls to a third every {fades * math.log(3):.2g} h")
        lines.append(f"dry means less than {from_si(DRY_SHARE, '%'):g} % lost in 24 h; do not coat before")
    return lines


def forward(dry_after_s: float, context: Context) -> float:
    """The hours are the property, of this piece in this air."""
    return from_si(dry_after_s, "h")


def quick(dry_after_h: float) -> Raw:
    """Hours alone: said, without weighings."""
    numbers = {TARE.name: 0.0, STEP.name: STEP.typical_si(), BONE.name: 0.0, STATED.name: STATED.take(dry_after_h)}
    return Raw(numbers=numbers, typed={DRY_AFTER: f"{dry_after_h:.10g}"})


TEST = BenchTest(
    id="drying_curve",
    version=1,
    title="Drying curve",
    about=About.BATCH,
    procedure=(
        "Weigh the wet piece on its tray, and write the time down: that is hour 0.",
        "Weigh it again after about 1, 2, 4, 8, 24 and 48 hours, on the same scale.",
        "Turn it or free it as you would anyway. Note what changed in the air.",
        "Stop when two weighings a day apart are the same.",
    ),
    inputs=(TARE, STEP, BONE, STATED),
    rows=Rows(name="weighings", label="weighings", columns=(HOURS, MASS), at_least=0, at_most=20),
    informs="dry_after_s",
    notebook_name=DRY_AFTER,
    notebook_unit="h",
    brief_words="hours until a piece counts as dry",
    floor=0.0,
    ceiling=LONGEST_H,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    goes_on=goes_on,
    says=says,
    scatter_absolute=0.5,
    scatter_share=0.15,
    validity="One piece in steady air. Another wall, fan or humidity dries otherwise. Under five weighings, or while "
    "it still loses as fast as at first, no end can be told and none is.",
    sources=("practice",),
    cautions=("An oven above 40 C cracks what is still shrinking.", "Waxed while wet it moulds under the wax."),
    minutes=5.0,
)
