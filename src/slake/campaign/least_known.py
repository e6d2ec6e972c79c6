"""The one thing about the lots that is known least, and what one weighing of it would save: computed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .belief import Belief, Forecast, weights
from .choose import Aim


@dataclass(frozen=True, kw_only=True)
class LeastKnown:
    """`narrower` is the range of `line` after the test over the range before: 0.6 means four tenths narrower."""

    what: str
    test: str
    line: int
    narrower: float

    @property
    def sentence(self) -> str:
        saved = round(100 * (1 - self.narrower))
        return f"Least known: {self.what}; {self.test} would narrow the range of the critical line by {saved} %."


def least_known(belief: Belief, view: Forecast, aim: Aim, line: int) -> LeastKnown | None:
    """Of all unknowns of the lots, the one whose weighing narrows the range of the given line most."""
    layout = belief.layout
    if not layout.unknowns:
        return None
    _, cov = weights(belief)
    prior_cross = view.looks[0, line] * layout.sd**2
    cross = prior_cross
    if belief.sites:
        cross = prior_cross - view.cross[0, line] @ belief.fit.hold @ (belief.seen * layout.sd**2)
    total = float(view.cov[0, line, line])
    start = layout.places["unknowns"]
    best: LeastKnown | None = None
    for i, unknown in enumerate(layout.unknowns):
        share = (unknown.weighed_sd / unknown.sd) ** 2
        noise = share / max(1 - share, 1e-9)
        gain = float(cross[start + i]) ** 2 / (float(cov[start + i, start + i]) + noise)
        left = float(np.sqrt(max(total - gain, 1e-12) / total))
        if best is None or left < best.narrower:
            best = LeastKnown(what=unknown.what, test=unknown.test, line=line, narrower=left)
    return best
