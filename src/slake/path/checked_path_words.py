"""What the check of a toolpath says, in the order a person needs it."""

from __future__ import annotations

import numpy as np

from slake.ground.evidence import Range, percent
from slake.ground.problems import plain
from slake.ground.units import from_si

from .checked import STIFFER, ToolpathChecked
from .checked_words import (
    MOST_SENTENCES,
    Line,
    Margin,
    Part,
    Told,
    capital,
    duration,
    margins_told,
    short,
    spanned,
)
from .stands_fixes import SURE, Fix
from .stands_words import outside, sentences

SHOWN_RUN_OUTS = 12
PINCH = "A geared ram crushes fingers: keep hands off ram, rack and gears while the drive has power."
PRESSURE = (
    "A stopped ram still pushes: shut-in air keeps the barrel under pressure. Let it off slowly before you open the "
    "barrel or change the cartridge, nozzle turned away from you."
)


def told_of_toolpath(checked: ToolpathChecked) -> Told:
    """Everything a toolpath's check has to say."""
    return Told(
        headline=_headline(checked),
        parts=(_stands(checked), *_fixes(checked), _push(checked), _paste(checked), _stops(checked), _file(checked)),
        margins=_margins(checked),
        cautions=(PINCH, PRESSURE),
        basis=dict(checked.loaded.basis),
    )


def _headline(checked: ToolpathChecked) -> str:
    pushes = f"the ram has the force with a chance of {percent(checked.followed.force.all_chance)}"
    if checked.stands is None:
        return f"Whether it stands is not known; {pushes}."
    return f"It stands to its top with a chance of {percent(checked.stands.chance)}; {pushes}."


def _stands(checked: ToolpathChecked) -> Part:
    if checked.stands is None or checked.stack is None:
        return Part(heading="Does it stand", sentences=(capital(checked.why_not),))
    said = [*sentences(checked.stands, checked.stack), *outside(checked.stack, checked.loaded.laid)]
    return Part(heading="Does it stand", sentences=tuple(said))


def _fixes(checked: ToolpathChecked) -> tuple[Part, ...]:
    """What would carry it, the likely ones first."""
    if not checked.fixes:
        return ()
    ordered = sorted(checked.fixes, key=lambda fix: (not fix.carries, -fix.answer.chance))
    lines = tuple(
        Line(
            words=fix.name,
            value=percent(fix.answer.chance),
            more=_how(checked, fix),
        )
        for fix in ordered
    )
    why = f"Each alone, the least that brings the chance to {percent(SURE)}, worked out anew:"
    return (Part(heading="What would carry it", sentences=(why,), lines=lines, heads=("change", "chance", "how")),)


def _how(checked: ToolpathChecked, fix: Fix) -> str:
    """A change in words, with what it costs."""
    said = [capital(fix.words)]
    if fix.longer_s > 0:
        said.append(f"It takes {duration(fix.longer_s)} longer.")
    if fix.name == STIFFER and checked.planned_all_chance is not None:
        said.append(f"The ram then has the force with a chance of {percent(checked.planned_all_chance)}.")
    return " ".join(said)


def _push(checked: ToolpathChecked) -> Part:
    force, path = checked.followed.force, checked.followed.replayed
    at, have = force.hardest, _ram_has(checked)
    need = Range(low=float(force.low_n[at]), mid=float(force.mid_n[at]), high=float(force.high_n[at]))
    place = (
        f"line {int(path.line[at])}, {short(float(path.end_m[at, 2]), 'mm')} mm up, {duration(float(path.end_s[at]))}"
    )
    times = float(np.exp(force.margin[at]))
    lines = (
        Line(words="hardest bead", value=spanned(need, "N"), more=capital(place)),
        Line(words="the ram has", value=spanned(have, "N"), more=f"{times:.2g} times what the hardest bead takes."),
        Line(
            words="at every bead", value=percent(force.all_chance), more="Chance that the force is enough throughout."
        ),
    )
    under = force.first_under(SURE)
    first = (
        ()
        if under is None
        else (
            f"Line {int(path.line[under])} is the first where the force is not likely enough (under {percent(SURE)}).",
        )
    )
    return Part(heading="The push against what the ram has", sentences=first, lines=lines)


def _ram_has(checked: ToolpathChecked) -> Range:
    push = checked.loaded.push
    order = np.argsort(push.have_n)
    upto = np.cumsum(push.weight[order]) / push.weight.sum()
    low, mid, high = (float(push.have_n[order][np.searchsorted(upto, share)]) for share in (0.1, 0.5, 0.9))
    return Range(low=low, mid=mid, high=high)


def _paste(checked: ToolpathChecked) -> Part:
    use, density = checked.followed.use, checked.loaded.density_kg_m3
    each = use.kg_per_cartridge(1.0, checked.followed.replayed.volume_m3)
    lines = [
        Line(
            words="paste laid",
            value=spanned(density.scaled(use.laid_m3), "g"),
            more=f"{short(use.laid_m3, 'mL')} mL in {_layers(checked)}.",
        ),
        Line(
            words="cartridges",
            value=plain(use.count),
            more=f"{short(max(use.left_m3, 0.0), 'mL')} mL left in the last.",
        ),
    ]
    for number, volume in enumerate(each[:SHOWN_RUN_OUTS].tolist() if use.count > 1 else [], 1):
        lines.append(
            Line(words=f"cartridge {number}", value=spanned(density.scaled(volume), "g"), more=_out(checked, number))
        )
    more = use.count - SHOWN_RUN_OUTS
    rest = (f"And {more} cartridges more.",) if more > 0 else ()
    return Part(heading="Paste, by cartridge", sentences=rest, lines=tuple(lines))


def _layers(checked: ToolpathChecked) -> str:
    """Layers, or turns of a spiral and the layers it stands on."""
    layers = checked.followed.layers
    count = len(layers.height_m)
    if not layers.spiral:
        return f"{count} layers"
    flat = int(layers.layer[int(np.argmax(layers.turn > 0))])
    on = f" on {flat} flat layer{'' if flat == 1 else 's'}" if flat else ""
    return f"{count - flat} turns of a spiral{on}, {short(float(layers.height_m[-1]), 'mm')} mm high"


def _out(checked: ToolpathChecked, number: int) -> str:
    """Where it runs out, and after which stop it is better changed."""
    path = checked.followed.replayed
    for out in checked.followed.use.run_outs:
        if out.cartridge == number:
            better = (
                "" if out.stop_after is None else f"; change it at the stop after line {int(path.line[out.stop_after])}"
            )
            return f"Empty in line {out.line}, {short(out.height_m, 'mm')} mm up, after {duration(out.at_s)}{better}."
    return ""


def _stops(checked: ToolpathChecked) -> Part:
    """Dearest first."""
    ooze = checked.followed.oozing
    late = checked.followed.late_s
    begins: tuple[str, ...] = ()
    if late.size:
        low, mid, high = (short(float(row[0]), "s", 2) for row in late)
        begins = (f"The first bead starts {mid} s late ({low} to {high}): prime until it runs.",)
    if not ooze.costs:
        return Part(heading="Stops", sentences=("It never stops between two beads.", *begins))
    lines = tuple(
        Line(
            words=f"{cost.count} {cost.words}",
            value=spanned(cost.oozed_kg, "g"),
            more=f"{duration(cost.lasts_s)} in all. {capital(cost.change)}",
        )
        for cost in ooze.costs
    )
    worst = int(ooze.dearest[0])
    stops = checked.followed.stops
    dearest = (
        f"The dearest single stop is at line {int(stops.line[worst])}: {short(float(ooze.mid_kg[worst]), 'g')} g in "
        f"{from_si(float(stops.lasts_s[worst]), 's'):.3g} s."
    )
    return Part(heading="Stops, and what they ooze", sentences=(dearest, *begins), lines=lines)


def _file(checked: ToolpathChecked) -> Part:
    path = checked.followed
    said = [f"E is taken as {checked.asked.pushed.words}." + ("" if checked.asked.sure_of_e else " Nobody said so.")]
    if checked.asked.why_e:
        said = [capital(checked.asked.why_e), "Nobody said so."]
    if path.doubt is not None:
        said.append(capital(path.doubt))
    said += [capital(note.sentence) for note in path.toolpath.notes[:MOST_SENTENCES]]
    line = Line(
        words="printing time",
        value=duration(path.replayed.duration_s),
        more=f"{len(path.replayed.line)} beads, {path.toolpath.lines} lines; changing cartridges not counted.",
    )
    return Part(heading="The file", sentences=tuple(said), lines=(line,))


def _margins(checked: ToolpathChecked) -> tuple[Margin, ...]:
    if checked.stands is None:
        return ()
    found = checked.stands.margins
    columns = np.stack([found.time_s, found.earliest, found.latest, found.low, found.high])
    return margins_told(found.height_m.tolist(), columns)
