"""Every line of the brief over the dose of one ingredient, with the range of the next reading there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Range

from .proposal import predicted
from .seen_axes import Axis, moved
from .seen_map import beyond, span_of
from .seen_outlook import AROUND, NEAR, Outlook, apart, chances, told_alike

Array = NDArray[np.float64]
DOSES = 41


@dataclass(frozen=True, kw_only=True)
class Curve:
    """`readings`: by line, the 80 % range of the next reading at each dose, None where no such recipe can be mixed.

    `together`: chance that every line holds. `places`: dose of every batch; `alike`: which are foretold as the
    recipe of the curve at their dose. `tried`: doses between the least and the most of batches not far from it.
    """

    axis: Axis
    doses: Array
    readings: Mapping[str, tuple[Range | None, ...]]
    together: Array
    tried: NDArray[np.bool_]
    places: Array
    alike: NDArray[np.bool_]
    off: NDArray[np.bool_]
    held: float


def curve(seen: Outlook, axis: Axis, held: Array) -> Curve:
    """The curves over one axis with everything else as in `held`."""
    places = axis.values(seen.space, seen.tried)
    centre = float(axis.values(seen.space, held[None, :])[0])
    beside = moved(seen.space, held, {axis: places})
    far = apart(seen, beside)
    doses = span_of(places[far <= AROUND], centre, DOSES)
    rows, alike = moved(seen.space, held, {axis: doses}), told_alike(seen, beside, far)
    inside = places[(far <= NEAR) & ~beyond(places, doses)]
    between = np.zeros(DOSES, dtype=np.bool_) if not len(inside) else _between(doses, inside)
    return Curve(
        axis=axis,
        doses=doses,
        readings=_readings(seen, rows),
        together=chances(seen, rows)[1],
        tried=between,
        places=places,
        alike=alike,
        off=beyond(places, doses),
        held=centre,
    )


def _between(doses: Array, inside: Array) -> NDArray[np.bool_]:
    """Between the least and the most, a step of the drawing more to each side."""
    step = float(doses[1] - doses[0])
    return np.asarray((doses >= inside.min() - step) & (doses <= inside.max() + step))


def _readings(seen: Outlook, rows: Array) -> dict[str, tuple[Range | None, ...]]:
    fine = np.flatnonzero(np.isfinite(rows).all(1))
    at: dict[int, dict[str, Range]] = {}
    if len(fine):
        view = seen.foreseen(rows[fine])
        at = {int(row): predicted(seen.brief, seen.belief, view, i) for i, row in enumerate(fine)}
    return {
        line.name: tuple(at[i][line.name] if i in at else None for i in range(len(rows))) for line in seen.brief.lines
    }
