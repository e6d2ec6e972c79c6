"""Sieve split: what lies on each sieve and in the pan, read as the sizes of a lot's grains."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from slake.ground.evidence import Evidence, above, exact
from slake.ground.problems import NotEnoughEvidence, OutsideRange
from slake.ground.units import from_si
from slake.paste.grains import (
    SieveCurve,
    curvature,
    lost_share,
    next_coarser_um,
    nozzle_words,
    old_opening_words,
    rosin_rammler,
    rosin_rammler_gap,
    sieve_curve,
    size_at_share_m,
    uniformity,
)
from slake.paste.packing import distribution_exponent, packing_gap

from .declaration import About, BenchTest, Context, Headline, Raw, Rows, Scalar

PUT_IN = Scalar(
    name="put_in_g",
    label="powder put in",
    unit="g",
    low=1.0,
    high=5000.0,
    typical=20.0,
    mend="weigh about 20 g onto the top sieve",
)
PAN = Scalar(
    name="pan_g",
    label="in the pan",
    unit="g",
    low=0.0,
    high=5000.0,
    mend="weigh what went through every sieve; 0 is an answer",
)
FIBRE = Scalar(
    name="longest_fibre_mm",
    label="longest fibre you saw",
    unit="mm",
    low=0.0,
    high=200.0,
    typical=0.0,
    open_means="not looked for",
    further=True,
    help="spread a pinch on dark paper beside a ruler",
)
OPENING = Scalar(
    name="opening_um",
    label="opening of the sieve",
    unit="um",
    low=1.0,
    high=20000.0,
    help="0.5 mm is 500 um",
    mend="read what stands on the ring, in um",
)
KEPT = Scalar(
    name="kept_g",
    label="lay on it",
    unit="g",
    low=0.0,
    high=5000.0,
    mend="weigh what lies on this sieve; 0 is an answer",
)
SIZE = "grain_d90_um"
SHARES = (0.1, 0.5, 0.9)
SCATTER_SHARE = 0.08
"""3 points of share are about 8 % of the size at which 90 % is finer, on usual milled curves. Practice, no source."""
LOST_SAID, COARSEST_OVER = 0.03, 0.005
FAR_FROM_LINE, FAR_FROM_PACKED = 6.0, 0.15
"""Points of share by which hand sieving may miss a line, and share by which a blend is worth it: practice."""


def curve_of(raw: Raw) -> SieveCurve:
    """The curve of one split. Raises DoesNotFit where the sieves gained mass or two have one opening."""
    kept = [row[KEPT.name] for row in raw.rows]
    lost_share(raw.numbers[PUT_IN.name], math.fsum(kept) + raw.numbers[PAN.name])
    return sieve_curve([row[OPENING.name] for row in raw.rows], kept, raw.numbers[PAN.name])


def largest_grain_m(raw: Raw) -> tuple[float, bool]:
    """An opening no grain passed, or nearly none, is wider than; else the widest sieve, and True: some lay on it."""
    curve = curve_of(raw)
    for opening, finer in zip(curve.opening_m, curve.finer, strict=True):
        if finer >= 1 - COARSEST_OVER:
            return opening, False
    return curve.opening_m[-1], True


def headline(raw: Raw) -> Headline:
    """Size that 90 % of the mass is finer than; where the sieves do not reach it, the end they reach."""
    size_m, words = _d90(raw)
    return Headline(name=SIZE, value=from_si(size_m, "um"), unit="um", words=words)


def _d90(raw: Raw) -> tuple[float, str]:
    curve = curve_of(raw)
    if curve.finer[-1] < SHARES[-1]:
        return curve.opening_m[-1], "coarser than the widest sieve"
    if curve.finer[0] > SHARES[-1]:
        return curve.opening_m[0], "finer than the finest sieve"
    return size_at_share_m(curve, SHARES[-1]), ""


def inverse(raw: Raw, context: Context) -> Evidence:
    """Size that 90 % is finer than: above where the sieves were too fine to reach it."""
    size_m, words = _d90(raw)
    if words.startswith("coarser"):
        found = above("grain_d90_m", size_m, SCATTER_SHARE)
        add_um = next_coarser_um(size_m)
        such = "" if add_um is None else f", such as {add_um:g} um"
        note = f"over a tenth lay on the widest sieve: it only says “coarser than”; add a coarser one{such}"
        return replace(found, note=note)
    note = "nine tenths went through the finest sieve: take a finer one to see more" if words else ""
    return replace(exact("grain_d90_m", size_m, SCATTER_SHARE), note=note)


def says(raw: Raw, context: Context) -> Sequence[str]:
    """d10, d50, d90, the largest grain against the nozzle, and what was lost on the way."""
    curve = curve_of(raw)
    sizes = {share: _size(curve, share) for share in (0.1, 0.3, 0.5, 0.6, 0.9)}
    told = [f"d{100 * share:.0f} {_um(sizes[share])}" for share in SHARES]
    lines = [f"finer than by mass: {', '.join(told)}", *_shape(sizes), *_line(curve), *_packing(curve)]
    largest_m, more = largest_grain_m(raw)
    fibre_m = raw.numbers[FIBRE.name]
    lines.append(nozzle_words(largest_m, fibre_m) + (", and some are coarser still" if more else ""))
    found = math.fsum(row[KEPT.name] for row in raw.rows) + raw.numbers[PAN.name]
    lost = lost_share(raw.numbers[PUT_IN.name], found)
    if lost > LOST_SAID:
        lines.append(f"{from_si(lost, '%'):.2g} % of the powder was not found again: dust, or what stuck in the meshes")
    olds = [words for row in raw.rows if (words := old_opening_words(row[OPENING.name]))]
    return [*lines, *olds]


def _size(curve: SieveCurve, share: float) -> float | None:
    try:
        return size_at_share_m(curve, share)
    except OutsideRange:
        return None


def _um(size_m: float | None) -> str:
    return "beyond the sieves used" if size_m is None else f"{from_si(size_m, 'um'):.3g} um"


def _shape(sizes: dict[float, float | None]) -> list[str]:
    d10, d30, d60 = (sizes[share] for share in (0.1, 0.3, 0.6))
    if d10 is None or d30 is None or d60 is None:
        return []
    return [f"uniformity d60/d10 {uniformity(d10, d60):.3g}, curvature {curvature(d10, d30, d60):.3g}"]


def _line(curve: SieveCurve) -> list[str]:
    """The line milled goods often follow, and whether these do."""
    try:
        found = rosin_rammler(curve.opening_m, [1 - finer for finer in curve.finer])
    except NotEnoughEvidence:
        return []
    line = f"a Rosin-Rammler line of size {_um(found.size_m)} and spread {found.spread:.2g}"
    gap = from_si(rosin_rammler_gap(found, curve), "%")
    if gap > FAR_FROM_LINE:
        return [
            f"no milled powder of one kind: up to {gap:.0f} points off {line}; two powders mixed, or a sieve missed"
        ]
    return [f"it follows {line}, within {max(gap, 0.1):.1f} points"]


def _packing(curve: SieveCurve) -> list[str]:
    """How the curve lies beside close packing, and what would fill it."""
    try:
        slope = distribution_exponent(curve)
    except NotEnoughEvidence:
        return []
    lines = [f"slope of the curve {slope:.2g}; near 0.37 grains are said to pack closest, which asks least water"]
    gap = packing_gap(curve)
    if gap is not None and abs(gap.share) > FAR_FROM_PACKED:
        points, less = from_si(abs(gap.share), "%"), gap.share < 0
        mend = "a finer powder blended in fills it" if less else "a coarser powder blended in opens it"
        much = "too little" if less else "too much"
        lines.append(f"beside that curve {points:.0f} points {much} go through {_um(gap.opening_m)}: {mend}")
    return lines


def forward(size_m: float, context: Context) -> float:
    """The size is the property itself."""
    return from_si(size_m, "um")


def quick(d90_um: float) -> Raw:
    """A size alone: as if nine tenths went through one sieve of it."""
    opening = OPENING.take(d90_um)
    whole = PUT_IN.typical_si()
    return Raw(
        numbers={PUT_IN.name: whole, PAN.name: SHARES[-1] * whole, FIBRE.name: 0.0},
        rows=({OPENING.name: opening, KEPT.name: (1 - SHARES[-1]) * whole},),
        typed={SIZE: f"{d90_um:g}"},
    )


TEST = BenchTest(
    id="sieve_split",
    version=1,
    title="Sieve split",
    about=About.LOT,
    procedure=(
        "Dry the powder. Weigh each empty sieve and the pan, or brush each out onto the scale.",
        "Put 20 g onto the coarsest sieve, the finer ones below it, the pan last.",
        "Brush and tap for 5 minutes, lid on.",
        "Weigh what lies on each sieve and in the pan. Look for the longest fibre.",
    ),
    inputs=(PUT_IN, PAN, FIBRE),
    rows=Rows(name="sieves", label="sieves", columns=(OPENING, KEPT), at_least=1, at_most=12),
    informs="grain_d90_m",
    notebook_name=SIZE,
    notebook_unit="um",
    brief_words="size that nine tenths of a lot's grains are finer than",
    floor=OPENING.low,
    ceiling=OPENING.high,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    says=says,
    scatter_absolute=0.0,
    scatter_share=SCATTER_SHARE,
    validity="Dry powder that does not cake. By hand to about 3 points of each share. Long grains and fibres pass a "
    "mesh end on: sieves say how thick they are, not how long. Nothing is read beyond the sieves used.",
    sources=("iso2591_1", "astm_e11", "brezani2011", "practice"),
    cautions=("Dust: mask on, lid on, no flame or spark near a cloud of it.",),
    minutes=15.0,
)
