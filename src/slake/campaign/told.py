"""What a proposal needs of a notebook: what was told, and the belief and the aim that follow from it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from .belief import Belief
from .brief import Brief
from .choose import Aim
from .features import Space
from .history import Mixed
from .machine import Machine


@dataclass(kw_only=True)
class Told:
    """One batch as told, before it is read together with the rest."""

    fractions: tuple[float, ...]
    mixed: Mixed
    machine: Machine | None


class Book(Protocol):
    """A notebook as proposals see it."""

    space: Space
    brief: Brief
    box: tuple[NDArray[np.float64], NDArray[np.float64]]
    typical_bounds: bool
    batches: list[Told]

    @property
    def keys(self) -> tuple[str, ...]: ...

    def belief(self) -> Belief: ...

    def aim(self) -> Aim: ...
