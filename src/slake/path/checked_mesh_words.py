"""What the check of a drawing says."""

from __future__ import annotations

from slake.ground.units import from_si

from .checked import Loaded
from .checked_path_words import PINCH, PRESSURE
from .checked_words import Line, Part, Told, capital, short, spanned
from .mesh_checked import MeshChecked, Weight
from .sizes import MeshPaste


def told_of_drawing(checked: MeshChecked, loaded: Loaded) -> Told:
    """Everything a mesh's check has to say."""
    by = {weight: [capital(f.sentence) for f in checked.findings if f.weight is weight] for weight in Weight}
    return Told(
        headline=_headline(checked, len(by[Weight.STOPS])),
        stops=tuple(by[Weight.STOPS]),
        parts=(
            *((Part(heading="To be answered", sentences=tuple(by[Weight.ASKS])),) if by[Weight.ASKS] else ()),
            _body(checked),
            _scale(checked),
            _paste(checked),
            _shape(checked),
            *((Part(heading="To look at", sentences=tuple(by[Weight.WARNS])),) if by[Weight.WARNS] else ()),
        ),
        cautions=(PINCH, PRESSURE, "Lift a wet piece with the board it stands on: by itself it tears and slips."),
        basis=dict(loaded.basis),
    )


def _headline(checked: MeshChecked, stops: int) -> str:
    if stops:
        return f"It cannot be printed like this: {stops} thing{'s' if stops > 1 else ''} must be put right first."
    if any(finding.weight is Weight.ASKS for finding in checked.findings):
        return "Something is to be answered before it can be printed."
    return "Nothing in the drawing stops it from being printed."


def _body(checked: MeshChecked) -> Part:
    sound, size = checked.soundness, checked.soundness.mesh.size_m
    sizes = " x ".join(short(side, "mm", 4) for side in size.tolist())
    volume = "none: it is open" if sound.volume_m3 is None else f"{short(sound.volume_m3, 'mL')} mL"
    fits = "not asked" if checked.fit is None else "fits" if checked.fit.fits else "does not fit"
    return Part(
        heading="The drawing",
        lines=(
            Line(words="size as drawn", value=f"{sizes} mm", more=f"Read in {sound.mesh.unit}."),
            Line(
                words="surface",
                value="closed" if sound.closed else "open",
                more=f"{len(sound.mesh.triangles)} triangles.",
            ),
            Line(words="volume as drawn", value=volume),
            Line(words="bed", value=fits, more="" if checked.fit is None else "At the size it must be printed."),
        ),
    )


def _scale(checked: MeshChecked) -> Part:
    """The size to print, x, y and z apart."""
    lines = tuple(
        Line(
            words=axis.axis,
            value=f"{from_si(axis.times.mid, '%'):.1f} %",
            more=f"Print {spanned(axis.print_m, 'mm')}, to dry to {short(axis.drawn_m, 'mm', 4)} mm.",
        )
        for axis in checked.scaled.axes
    )
    return Part(heading="Scaled so that it dries to the drawn size", lines=lines)


def _paste(checked: MeshChecked) -> Part:
    found = [("the full body", checked.as_drawn), ("one bead round its outline, no floor", checked.one_wall)]
    lines = tuple(_need(words, paste) for words, paste in found if paste is not None)
    none = () if lines else ("How much paste it takes is not known until the surface is closed.",)
    return Part(heading="Paste and cartridges", sentences=none, lines=lines)


def _need(words: str, paste: MeshPaste) -> Line:
    count = paste.need.count
    return Line(
        words=words,
        value=spanned(paste.paste_kg, "g"),
        more=f"{short(paste.volume_m3, 'mL')} mL wet; {count} cartridge{'' if count == 1 else 's'}; "
        f"mix {spanned(paste.mix_kg, 'g')} with purge and what stays behind.",
    )


def _shape(checked: MeshChecked) -> Part:
    slopes, spans, thin = checked.slopes, checked.spans, checked.thin
    said = [patch.in_words for patch in slopes.beyond[:6]]
    said += [one.in_words for one in spans.beyond[:6]] if spans is not None else []
    said += [one.in_words for one in thin.found[:6]] if thin is not None else []
    limit = slopes.limit_deg
    lines = (
        Line(
            words="steepest lean",
            value=f"{slopes.worst_deg:.0f} deg",
            more=f"A free edge of paste bears about {limit.mid:.0f} ({limit.low:.0f} to {limit.high:.0f}; practice).",
        ),
        Line(words="spans too long", value="not known" if spans is None else str(len(spans.beyond))),
        Line(words="walls thinner than a bead", value="not known" if thin is None else str(len(thin.found))),
    )
    return Part(heading="Slopes, spans, thin walls", sentences=tuple(capital(one) for one in said), lines=lines)
