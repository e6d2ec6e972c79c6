"""What is typed of paste and press, ranges among it, as the question a check is asked."""

from __future__ import annotations

from slake.actions.check_question import DENSITY_SAID_SD_LOG, YIELD_SAID_SD_LOG
from slake.campaign.verdict import Paste, practice
from slake.campaign.verdict.cone import cone_stress
from slake.campaign.verdict.law import Law, usual_law
from slake.campaign.verdict.spread import Spread, between, known
from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit, plain
from slake.ground.units import from_si

from .printing_options import CONES, DENSITIES, FORCES, PASCALS, span


def paste_of(cone_mm: str, yield_pa: str, density: str) -> tuple[Paste, Law]:
    """The paste by its cone or its yield stress, and the force law with what that leaves open.

    Where neither was said it is any usual paste. A yield stress carries no doubt of a cone.
    """
    cone, stress = span(cone_mm, "the cone", CONES), span(yield_pa, "the yield stress", PASCALS)
    if cone is not None and stress is not None:
        raise DoesNotFit("cone depth and yield stress are both given: leave out the one you trust less")
    weighed = _spread(span(density, "the density", DENSITIES), practice.DENSITY, DENSITY_SAID_SD_LOG)
    if cone is not None:
        return Paste(yield_stress_pa=_read(cone), density_kg_m3=weighed), usual_law()
    said = _spread(stress, practice.YIELD_STRESS, YIELD_SAID_SD_LOG)
    return Paste(yield_stress_pa=said, density_kg_m3=weighed), usual_law(cone_sd_log=0.0)


def force_of(typed: str) -> Spread:
    """The force there is; one number as one that was weighed, nothing as what small drives have."""
    return _spread(span(typed, "the force", FORCES), practice.FORCE, practice.FORCE_WEIGHED_SD_LOG)


def _read(cone: Range) -> Spread:
    """One depth as the cone reads it; two depths as the range between what they say."""
    deep, shallow = (cone_stress(from_si(depth, "mm")) for depth in (cone.high, cone.low))
    if cone.low == cone.high:
        return deep
    depths = " to ".join(plain(from_si(depth, "mm")) for depth in (cone.low, cone.high))
    return between(deep.mid, shallow.mid, f"cone {depths} mm")


def _spread(said: Range | None, usual: Spread, one_sd_log: float) -> Spread:
    if said is None:
        return usual
    return known(said.mid, one_sd_log) if said.low == said.high else between(said.low, said.high, "stated")
