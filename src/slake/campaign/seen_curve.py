"""Every line of the brief over the dose of one ingredient, with the range of the next reading there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Range

from .proposal import predicted
from .seen_axes import Axis, moved
from .seen_map import span_of
from .seen_outlook import Outlook, chances, of_this_cut

Array = NDArray[np.float64]
DOSES = 41


@dataclass(frozen=True, kw_only=True)
class Curve:
    """`readings`: by line, the 80 % range of the next reading at each dose, None where no such recipe can be mixed.

    `together`: chance that every line holds. `tried`: doses between the least and the most mixed so far, those far
    off aside. `places`: dose of every batch; `near`: which are otherwise about as `held`.
    """

    axis: Axis
    doses: Array
    readings: Mapping[str, tuple[Range | None, ...]]
    together: Array
    tried: NDArray[np.bool_]
    places: Array
    near: NDArray[np.bool_]
    off: NDArray[np.bool_]
    held: float


def curve(seen: Outlook, axis: Axis, held: Array) -> Curve:
    """The curves over one axis with everything else as in `held`."""
    places = axis.values(seen.space, seen.tried)
    centre = float(axis.values(seen.space, held[None, :])[0])
    doses, off = span_of(places, centre, DOSES)
    rows = moved(seen.space, held, {axis: doses})
    inside = places[~off]
    between = (doses >= inside.min()) & (doses <= inside.max()) if len(inside) else np.zeros(DOSES, dtype=np.bool_)
    return Curve(
        axis=axis,
        doses=doses,
        readings=_readings(seen, rows),
        together=chances(seen, rows)[1],
        tried=np.asarray(between),
        places=places,
        near=of_this_cut(seen, moved(seen.space, held, {axis: places})),
        off=off,
        held=centre,
    )


def _readings(seen: Outlook, rows: Array) -> dict[str, tuple[Range | None, ...]]:
    fine = np.flatnonzero(np.isfinite(rows).all(1))
    at: dict[int, dict[str, Range]] = {}
    if len(fine):
        view = seen.foreseen(rows[fine])
        at = {int(row): predicted(seen.brief, seen.belief, view, i) for i, row in enumerate(fine)}
    return {
        line.name: tuple(at[i][line.name] if i in at else None for i in range(len(rows))) for line in seen.brief.lines
    }
