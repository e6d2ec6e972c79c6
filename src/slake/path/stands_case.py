"""One stack of one paste, looked at moment by moment: all that the ways to fall need."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .standing import Laid, Stack, middle_of
from .stands_grid import Grid, Worn, even_points, grid_of, stages_of, worn
from .stands_held import LOOKS, Held, held_gain


@dataclass(frozen=True, kw_only=True)
class Case:
    """`held`: how many times more a closed or held wall bears before it folds than a free one."""

    stack: Stack
    laid: Laid
    grid: Grid
    worn: Worn
    held: Held


def case_of(stack: Stack, laid: Laid, looks: int = LOOKS) -> Case:
    """`looks`: heights at which what the object's own shape adds is worked out."""
    grid = grid_of(stack, stages_of(stack), even_points())
    held = held_gain(stack, laid, grid.stage, looks)
    return Case(stack=stack, laid=laid, grid=grid, worn=worn(laid, stack, grid), held=held)


def middle_case(case: Case) -> Case:
    """The same stack of the paste in the middle of the draws."""
    laid = middle_of(case.laid)
    return replace(case, laid=laid, worn=worn(laid, case.stack, case.grid))


def also_at(case: Case, stages: NDArray[np.int64]) -> Case:
    """The same case looked at after these layers too."""
    every = np.union1d(case.grid.stage, stages)
    grid = grid_of(case.stack, every, even_points())
    least, most = (np.exp(np.interp(every, case.grid.stage, np.log(g))) for g in (case.held.least, case.held.most))
    held = Held(least=least, most=most)
    return replace(case, grid=grid, worn=worn(case.laid, case.stack, grid), held=held)
