"""Does it stand: the bracket of earliest and latest fall, the chance of the whole, and the margin by height."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Range

from .standing import Laid, Stack
from .stands_case import Case, also_at, case_of, middle_case
from .stands_ends import EARLIEST, LATEST, Way
from .stands_held import LOOKS

Array = NDArray[np.float64]
NEAR = 1.03
"""Of two ways to fall within 3 % of each other the first of the list is named: the simpler one."""
FIRM = 3.0
"""No wall that stands is taken to stand beyond three times its height."""
SUDDEN = 0.3


@dataclass(frozen=True, kw_only=True)
class End:
    """One end of the bracket for the middle of the draws, and the 80 % range of its layers; infinite: does not fall.

    layers: counted, with a fraction; height_m and time_s where the middle falls, else of the whole object.
    """

    falls: bool
    layers: float
    height_m: float
    time_s: float
    range_layers: Range
    name: str
    words: str
    idealisation: str


@dataclass(frozen=True, kw_only=True)
class Margins:
    """How many times its load the wall bears when it is that high, (S,): each end's middle, the 80 % band of both."""

    height_m: Array
    time_s: Array
    earliest: Array
    latest: Array
    low: Array
    high: Array


@dataclass(frozen=True, kw_only=True)
class Stands:
    """The answer. chance: that the whole object stands, with those of the earliest and the latest end beside it."""

    earliest: End
    latest: End
    chance: float
    chance_low: float
    chance_high: float
    margins: Margins

    @property
    def latest_per_earliest(self) -> float:
        return self.latest.layers / self.earliest.layers


@dataclass(frozen=True, kw_only=True)
class _Fallen:
    """Least factor over all ways at each moment (D, S); which way, and layers at the fall (D,).

    reach: those layers, and where it stands as many more as its least margins allow, (D,).
    """

    factor: Array
    way: NDArray[np.int64]
    layers: Array
    reach: Array


def stands(stack: Stack, laid: Laid) -> Stands:
    """Whether the stack stands, all draws at once.

    Where the truth lies between both ends is taken as even in the logarithm of the height: own. The ends leave out
    dents and wobble of the wall, a shaking machine, drafts, cracks, and creep under a steady load.
    """
    case = case_of(stack, laid)
    middle = _looked_at_closely(middle_case(case))
    early, late = _fallen(case, EARLIEST), _fallen(case, LATEST)
    late = _never_before(early, late)
    return Stands(
        earliest=_end(middle, _fallen(middle, EARLIEST), early, EARLIEST),
        latest=_end(middle, _never_before(_fallen(middle, EARLIEST), _fallen(middle, LATEST)), late, LATEST),
        chance=float(np.mean(_chances(early, late, case))),
        chance_low=float(np.mean(np.isinf(early.layers))),
        chance_high=float(np.mean(np.isinf(late.layers))),
        margins=_margins(case, early, late),
    )


def _looked_at_closely(case: Case) -> Case:
    """The case looked at after every layer between the moments its two ends fall."""
    stage, counted = case.grid.stage, case.grid.layers
    close = [np.arange(0)]
    for ways in (EARLIEST, LATEST):
        layers = float(_fallen(case, ways).layers[0])
        after = int(np.searchsorted(counted, layers))
        if 0 < after < len(stage):
            close.append(np.arange(stage[after - 1], stage[after]))
    return also_at(case, np.concatenate(close))


def chance_of(stack: Stack, laid: Laid, looks: int = LOOKS) -> float:
    """Only the chance that the whole object stands."""
    case = case_of(stack, laid, looks)
    early, late = _fallen(case, EARLIEST), _fallen(case, LATEST)
    return float(np.mean(_chances(early, _never_before(early, late), case)))


def _fallen(case: Case, ways: tuple[Way, ...]) -> _Fallen:
    shape = (case.laid.draws, len(case.grid.stage))
    every = np.stack([np.broadcast_to(way.factor(case), shape) for way in ways])
    layers = _crossing(every, case.grid.layers)
    least = np.where(np.isfinite(layers), layers, 1e9 * every.min(axis=-1))
    power = np.array([1 / way.power for way in ways])[:, None]
    spare = np.minimum(np.maximum(every.min(axis=-1), 1.0) ** power, FIRM).min(axis=0) * case.grid.layers[-1]
    first = layers.min(axis=0)
    return _Fallen(
        factor=every.min(axis=0),
        way=np.argmax(least <= NEAR * least.min(axis=0), axis=0),
        layers=first,
        reach=np.where(np.isfinite(first), np.maximum(first, 1e-3), spare),
    )


def fall_of(case: Case, way: Way) -> float:
    """Layers at which one way alone brings the first draw of a case down; infinite where it does not."""
    return float(_crossing(way.factor(case), case.grid.layers)[0])


def _crossing(factor: Array, layers: Array) -> Array:
    """Layers at which a factor (..., S) first comes down to one, (...); else infinite.

    Between two moments the factor is taken as a power of the layers, as it is for yielding (-1) and folding (-3) alike;
    where strength gives out altogether, as straight.
    """
    under = factor < 1
    first = np.argmax(under, axis=-1)
    after = np.take_along_axis(factor, first[..., None], -1)[..., 0]
    before = np.take_along_axis(factor, np.maximum(first - 1, 0)[..., None], -1)[..., 0]
    before, after = np.maximum(before, 1.0), np.clip(after, 1e-9, 1.0)
    low, high = layers[np.maximum(first - 1, 0)], layers[first]
    power = np.log(before) / np.maximum(np.log(before) - np.log(after), 1e-12)
    straight = (before - 1) / np.maximum(before - after, 1e-12)
    found = np.where(after > SUDDEN, low * (high / low) ** power, low + straight * (high - low))
    return np.asarray(np.where(under.any(axis=-1), np.where(first > 0, found, after * high), np.inf))


def _never_before(early: _Fallen, late: _Fallen) -> _Fallen:
    """The latest end lies nowhere before the earliest."""
    return _Fallen(
        factor=np.maximum(early.factor, late.factor),
        way=late.way,
        layers=np.maximum(early.layers, late.layers),
        reach=np.maximum(early.reach, late.reach),
    )


def _end(middle: Case, fallen: _Fallen, draws: _Fallen, ways: tuple[Way, ...]) -> End:
    layers, stage = float(fallen.layers[0]), middle.grid.stage
    falls = bool(np.isfinite(layers))
    way = ways[int(fallen.way[0])]
    top, done = middle.stack.top_m, middle.stack.done_s
    counted = np.concatenate([[0.0], np.arange(1, len(top) + 1)])
    low, mid, high = np.quantile(
        draws.layers if len(draws.layers) > 1 else fallen.layers, [0.1, 0.5, 0.9], method="inverted_cdf"
    )
    return End(
        falls=falls,
        layers=layers,
        height_m=float(np.interp(layers, counted, np.concatenate([[0.0], top]))) if falls else float(top[stage[-1]]),
        time_s=float(np.interp(layers, counted[1:], done)) if falls else float(done[-1]),
        range_layers=Range(low=float(low), mid=float(mid), high=float(high)),
        name=way.name,
        words=way.words,
        idealisation=way.idealisation,
    )


def _chances(early: _Fallen, late: _Fallen, case: Case) -> Array:
    """Chance of each draw that it stands to the last layer, (D,)."""
    count = len(case.stack.done_s)
    ends = [np.log(fallen.reach / count) for fallen in (early, late)]
    wide = np.maximum(ends[1] - ends[0], 1e-9)
    return np.asarray(np.clip(ends[1] / wide, 0.0, 1.0))


def _margins(case: Case, early: _Fallen, late: _Fallen) -> Margins:
    return Margins(
        height_m=case.grid.height_m,
        time_s=case.stack.done_s[case.grid.stage],
        earliest=np.median(early.factor, axis=0),
        latest=np.median(late.factor, axis=0),
        low=np.quantile(early.factor, 0.1, axis=0),
        high=np.quantile(late.factor, 0.9, axis=0),
    )
