"""What going from one recipe to another does, as far as is known: joint over both, so that what is not known of a
material in general does not count twice.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Z80, Range

from .belief import Belief, forecast
from .channel import Channel
from .layout import Look, Table, spreads
from .priors import CRACKS, LAYERS, RAM_FORCE, SHRINKAGE, SPRING_BACK, STRENGTH, YIELD_STRESS
from .remainder import Looks, among

Array = NDArray[np.float64]
Moved = tuple[float, float]
"""Mean and standard deviation of the logarithm of a factor that comes on top, from a law or from practice."""
GRADES_LOG = 0.5
"""Grades are kept as the logarithm of the grade and this: what is half of a grade of 3 is a grade of 1.25."""
MOST_GRADE = 5.0
WORDS: dict[str, tuple[Channel, str, str]] = {
    "yield_stress": (YIELD_STRESS, "stiffness", "Pa"),
    "shrinkage": (SHRINKAGE, "shrinkage", "%"),
    "cracks": (CRACKS, "cracks", "grade"),
    "layers": (LAYERS, "standing", "layers"),
    "ram_force": (RAM_FORCE, "ram force", "N"),
    "springback": (SPRING_BACK, "spring-back", "%"),
    "strength": (STRENGTH, "strength", "MPa"),
}
NAME_OF = {channel.name: name for name, (channel, _, _) in WORDS.items()}
STANDING_ALONE = (YIELD_STRESS, SHRINKAGE, CRACKS, LAYERS)


@dataclass(frozen=True, kw_only=True)
class Effect:
    """One property before and after, and the factor between the two; of cracks the factor is of grade + 0.5. All
    80 % ranges of what such a recipe does, without the luck of one batch.
    """

    name: str
    words: str
    unit: str
    before: Range
    after: Range
    times: Range

    @property
    def falls(self) -> bool | None:
        """True where it falls, False where it rises, None where the range cannot tell."""
        if self.times.high < 1:
            return True
        return False if self.times.low > 1 else None


def across(belief: Belief, rows: Table, look: Look) -> tuple[Array, Array]:
    """(n,) mean and (n, n) covariance of one look across several recipes, the luck of a batch left out."""
    view = forecast(belief, rows, [look])
    seen, cross = view.looks[:, 0, :], view.cross[:, 0, :]
    smooth = spreads(belief.layout, [look], belief.scale)[0]
    again = Looks(smooth=np.tile(smooth, (len(seen), 1)), tab=rows, rows=np.arange(len(seen)))
    cov = (seen * belief.layout.sd**2) @ seen.T + among(belief.layout, belief.scale, again)
    if belief.sites:
        cov = cov - cross @ belief.fit.hold @ cross.T
    return view.mean[:, 0], (cov + cov.T) / 2


def effects(
    belief: Belief, rows: Table, look: Look, names: tuple[str, ...], on_top: dict[str, Moved] | None = None
) -> tuple[Effect, ...]:
    """From the first recipe of the table to the second. `look`: the machine and lots to look with. `on_top`: what a
    change beside the recipe does. Properties nobody reckons with here are left out.
    """
    found = []
    reckoned = {channel.name for channel in belief.layout.channels}
    for channel, words, unit in (WORDS[name] for name in names if WORDS[name][0].name in reckoned):
        mean, cov = across(belief, rows, Look(channel=channel.name, row=0, batch=-1, machine=look.machine))
        more, sd = (on_top or {}).get(channel.name, (0.0, 0.0))
        step, var = mean[1] - mean[0] + more, cov[0, 0] + cov[1, 1] - 2 * cov[0, 1] + sd**2
        found.append(
            Effect(
                name=NAME_OF[channel.name],
                words=words,
                unit=unit,
                before=_shown(channel, mean[0], math.sqrt(max(cov[0, 0], 0.0))),
                after=_shown(channel, mean[1] + more, math.sqrt(max(cov[1, 1] + sd**2, 0.0))),
                times=_range(step, math.sqrt(max(var, 0.0))),
            )
        )
    return tuple(found)


def _range(mean: float, sd: float) -> Range:
    low, mid, high = (math.exp(mean + step * sd) for step in (-Z80, 0.0, Z80))
    return Range(low=low, mid=mid, high=high)


def _shown(channel: Channel, mean: float, sd: float) -> Range:
    found = _range(mean, sd)
    if channel is not CRACKS:
        return found
    low, mid, high = (min(max(x - GRADES_LOG, 0.0), MOST_GRADE) for x in (found.low, found.mid, found.high))
    return Range(low=low, mid=mid, high=high)


def grade_changes(effect: Effect) -> tuple[float, float, float]:
    """By how many grades cracks change from the middle of what they were: the factor is of grade + 0.5. 80 % range."""
    now = effect.before.mid
    ends = (effect.times.low, effect.times.mid, effect.times.high)
    then = [min(max((now + GRADES_LOG) * times - GRADES_LOG, 0.0), MOST_GRADE) for times in ends]
    return then[0] - now, then[1] - now, then[2] - now
