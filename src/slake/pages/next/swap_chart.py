"""The curves of two gums over their dose as a drawing: readings, 80 % bands, and where both give the same."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from slake.actions.swap import RUN_OUT, Swap
from slake.bench import gum_run_out
from slake.campaign.swap import Matched
from slake.ground.evidence import Z80
from slake.paste.dose_curve import DoseCurve

from .chart import Shape, as_svg, blank, drawing_alone, dress

STYLES = (("#174d6b", "o", "-"), ("#8a3b12", "s", "--"))
"""Colour, mark and line of the old and of the new: told apart without colour too."""
ENOUGH = 60


def draw_curves(found: Swap, matched: Matched, shape: Shape) -> bytes:
    """SVG of both curves; text stays text."""
    with drawing_alone():
        figure, axes = blank(shape)
        up = "seconds for 50 mL" if matched.by == RUN_OUT else "yield stress at this water, Pa"
        dress(axes, shape, "dose, g dry per 100 g of water", up)
        axes.set_xscale("log")
        axes.set_yscale("log")
        curves = (matched.old, matched.new)
        for curve, name, style in zip(curves, (found.old.name, found.new.words), STYLES, strict=True):
            if curve is not None:
                _curve(axes, curve, name, style)
        _points(axes, found, matched.by == RUN_OUT)
        _crossing(axes, matched)
        _plain_numbers(axes)
        axes.legend(frameon=False, fontsize=shape.letters_pt - 1, loc="upper left")
        return as_svg(figure)


def _curve(axes: Axes, curve: DoseCurve, name: str, style: tuple[str, str, str]) -> None:
    doses = np.geomspace(curve.least, curve.most, ENOUGH)
    said = [curve.at(float(dose)) for dose in doses]
    mean, half = np.array([each[0] for each in said]), Z80 * np.sqrt([each[1] for each in said])
    axes.plot(doses, np.exp(mean), color=style[0], linestyle=style[2], label=name)
    axes.fill_between(doses, np.exp(mean - half), np.exp(mean + half), color=style[0], alpha=0.15, linewidth=0)


def _points(axes: Axes, found: Swap, by_run_out: bool) -> None:
    names = (found.old_item.name, found.new.item.name)
    for name, (colour, mark, _) in zip(names, STYLES, strict=True):
        mine = [point for said, point in found.points if said == name]
        mine = [point for point in mine if (point.reading.test == gum_run_out.TEST.id) == by_run_out]
        axes.scatter(
            [p.dose_per_100_water for p in mine], [p.value for p in mine], c=colour, marker=mark, s=60, zorder=3
        )


def _crossing(axes: Axes, matched: Matched) -> None:
    """From the dose of the recipe across to the equal one, with its range."""
    if matched.old is None:
        return
    level = float(np.exp(matched.old.at(matched.old_dose_per_100_water)[0]))
    dose = matched.dose_per_100_water
    axes.plot([matched.old_dose_per_100_water, dose.mid], [level, level], color="#555555", linewidth=1, linestyle=":")
    axes.plot([dose.low, dose.high], [level, level], color="#555555", linewidth=4, alpha=0.6)


def _plain_numbers(axes: Axes) -> None:
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_major_formatter(lambda value, _: f"{value:g}")
        axis.set_minor_formatter(lambda value, _: f"{value:g}" if f"{value:.0e}"[0] in "25" else "")
