"""What is known of the stiffness of recipes not yet mixed: median yield stress and its range over a list of recipes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Range, log_range

from .belief import Belief, forecast
from .layout import Look, table
from .priors import YIELD_STRESS


def stiffness_of(
    belief: Belief, fractions: Sequence[Sequence[float]], lots: tuple[str, ...], machine: str
) -> tuple[Range, ...]:
    """80 % range of the yield stress (Pa) at an hour of paste age, of each row of fractions (n, k), water last."""
    rows: NDArray[np.float64] = np.array(fractions, dtype=np.float64)
    look = Look(channel=YIELD_STRESS.name, row=0, batch=-1, machine=machine, lots=lots)
    view = forecast(belief, table(belief.layout, rows), [look])
    sd = np.sqrt(view.cov[:, 0, 0])
    return tuple(log_range(float(np.exp(mean)), float(one)) for mean, one in zip(view.mean[:, 0], sd, strict=True))
