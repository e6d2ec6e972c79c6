"""What stands in the way of printing a mesh, in one sentence each."""

from __future__ import annotations

from slake.ground.units import from_si

from .mesh_checked import Finding, MeshChecked, Weight
from .mesh_checks import MOST_BODIES
from .other_sides import Side


def findings_of(found: MeshChecked) -> list[Finding]:
    """All that is to be said: what stops and what is asked of the file first, then of the shape and its scale."""
    return [
        *(Finding(weight=Weight.ASKS, sentence=unit.question) for unit in (found.unit,) if unit is not None),
        *_of_the_body(found),
        *_of_overlap(found),
        *_of_the_bed(found),
        *_of_the_shape(found),
        *(Finding(weight=Weight.WARNS, sentence=warning) for warning in found.scaled.warnings),
    ]


def _of_the_body(found: MeshChecked) -> list[Finding]:
    sound = found.soundness
    stops, warns = [], []
    if sound.openings_count:
        places = "place" if sound.openings_count == 1 else "places"
        shown = "; ".join(opening.in_words for opening in sound.openings[:3])
        stops.append(f"the surface is open in {sound.openings_count} {places} ({shown}): close it where it was drawn")
    if sound.shared:
        stops.append(
            f"at {sound.shared} edges more than two triangles meet: join the bodies into one where it was drawn"
        )
    if sound.one_sided:
        stops.append("the surface has one side only, and so no inside: draw it as a body with a wall")
    if sound.bodies > MOST_BODIES:
        stops.append(f"it holds {sound.bodies} bodies, and at most {MOST_BODIES} are judged: bring one object")
    elif sound.bodies > 1:
        warns.append(f"it holds {sound.bodies} separate bodies: they are printed as one set")
    if sound.closed and sound.bodies <= MOST_BODIES and found.spans is None:
        warns.append("it could not be cut into layers, so spans and thin walls are not known: join its bodies first")
    if sound.flipped or sound.inside_out:
        what = f"{sound.flipped} flipped triangles" if sound.flipped else f"{sound.inside_out} bodies inside out"
        warns.append(f"{what} were turned; the file itself is unchanged")
    return [Finding(weight=Weight.STOPS, sentence=sentence) for sentence in stops] + [
        Finding(weight=Weight.WARNS, sentence=sentence) for sentence in warns
    ]


def _of_overlap(found: MeshChecked) -> list[Finding]:
    """Two bodies in one another may be meant as one joined, or as one hollowed by the other."""
    if found.overlap_m3 <= 0:
        return []
    sentence = (
        f"its bodies have {from_si(found.overlap_m3, 'mL'):.3g} mL in common, counted once: is one meant as a hollow "
        "in the other? Then take it away where it was drawn"
    )
    return [Finding(weight=Weight.ASKS, sentence=sentence)]


def _of_the_bed(found: MeshChecked) -> list[Finding]:
    if found.fit is None:
        return []
    if found.fit.fits and found.fit.turn_deg:
        return [Finding(weight=Weight.WARNS, sentence=f"it fits the bed turned by {found.fit.turn_deg:.0f} degrees")]
    over = [
        f"{from_si(by, 'mm'):.3g} mm too {how}"
        for by, how in ((found.fit.over_across_m, "wide"), (found.fit.over_height_m, "high"))
        if by > 0
    ]
    sentence = f"at the size it must be printed it is {' and '.join(over)} for the bed: draw it smaller or as two"
    return [Finding(weight=Weight.STOPS, sentence=sentence)] if over else []


def _turn(side: Side) -> str:
    left_mm2 = from_si(from_si(side.beyond_m2, "mm"), "mm")
    rest = "nothing" if left_mm2 < 1 else f"only {left_mm2:.3g} mm²"
    return f"{side.words}, {rest} would lean out beyond that: turn it where it was drawn and bring it again"


def _of_the_shape(found: MeshChecked) -> list[Finding]:
    warns = []
    if found.slopes.beyond:
        patch = found.slopes.beyond[0]
        warns.append(f"{patch.in_words}; this paste bears about {found.slopes.limit_deg.mid:.0f} degrees")
    if found.slopes.beyond and found.better_side is not None:
        warns.append(_turn(found.better_side))
    if found.spans is not None and found.spans.beyond:
        warns.append(f"{found.spans.beyond[0].in_words}: draw something under it, or an arch")
    if found.thin is not None and found.thin.found:
        bead = from_si(found.thin.bead_m, "mm")
        warns.append(f"a wall is thinner than the bead of {bead:.2g} mm: {found.thin.found[0].in_words}")
    return [Finding(weight=Weight.WARNS, sentence=sentence) for sentence in warns]
