"""Looking over the recipe space: maps and curves of what is known now, worked out once for the same evidence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from slake.campaign.seen_axes import Axis
from slake.campaign.seen_map import Cut, cut
from slake.campaign.seen_outlook import Outlook, outlook
from slake.ground.problems import NotEnoughEvidence, Problem
from slake.records.models import ProposalGiven

from .campaign import Campaign, tell
from .proposing import SEED, standing_proposal
from .standing import rows_told

MOST_KEPT = 8
AT_ONCE = 60
"""Batches up to which a map is worked out while the page waits: well under a second (docs/measured.md)."""
BEST = "best"


@dataclass(frozen=True, kw_only=True)
class Sight:
    """What this bench knows, and the means to look at it. `proposed`: fractions of the standing proposal, or None."""

    told: Campaign
    seen: Outlook
    proposed: NDArray[np.float64] | None

    @property
    def numbers(self) -> tuple[int, ...]:
        """Batch numbers, in the order of `seen.tried`."""
        return tuple(row.number for row in rows_told(self.told))

    @property
    def endings(self) -> tuple[str, ...]:
        return tuple(told.mixed.outcome.text for told in self.told.book.batches)

    def axis(self, name: str) -> Axis:
        """Raises Problem for a name that is no axis here."""
        for axis in self.seen.axes:
            if axis.name == name:
                return axis
        known = ", ".join(axis.name for axis in self.seen.axes)
        raise Problem(f"“{name[:40]}” is nothing to look along here: choose one of {known}")

    def held(self, at: str) -> NDArray[np.float64]:
        """The recipe of a batch by its number, or the likeliest one. Raises Problem for a batch that is not told."""
        if at in ("", BEST):
            return self.seen.best
        for number, row in zip(self.numbers, self.seen.tried, strict=True):
            if str(number) == at:
                return np.asarray(row)
        raise Problem(f"there is no batch “{at[:20]}” to look at: choose one that has an ending or a reading")

    def cut(self, axes: Sequence[Axis], at: str) -> Cut:
        """The map over two axes through the recipe of `at`; its page and each of its drawings ask for the same one."""
        key = self._key(axes, at)
        found = _cuts.get(key)
        if found is None:
            found = cut(self.seen, axes[0], axes[1], self.held(at))
            _keep(_cuts, key, found)
        return found

    def is_cut(self, axes: Sequence[Axis], at: str) -> bool:
        """Whether that map can be shown at once."""
        return self._key(axes, at) in _cuts or len(self.told.batches) <= AT_ONCE

    def _key(self, axes: Sequence[Axis], at: str) -> tuple[str, ...]:
        return (self.told.seen, *(axis.name for axis in axes), at or BEST)


_kept: dict[str, Outlook] = {}
_cuts: dict[tuple[str, ...], Cut] = {}


def _keep(kept: dict[Any, Any], key: object, found: object) -> None:
    """The newest few."""
    while len(kept) >= MOST_KEPT:
        kept.pop(next(iter(kept)), None)
    kept[key] = found


def told_enough() -> Campaign:
    """Raises NotEnoughEvidence where no batch has an ending or a reading yet."""
    told = tell()
    if not told.batches:
        raise NotEnoughEvidence("a map", have=0, need=1, do="read one batch, or say how one ended")
    return told


def is_ready(told: Campaign) -> bool:
    """Whether the page can be shown at once."""
    return told.seen in _kept or len(told.batches) <= AT_ONCE


def look(told: Campaign | None = None) -> Sight:
    """The sight of what is known now. Raises as `told_enough` does."""
    told = told or told_enough()
    found = _kept.get(told.seen)
    if found is None:
        found = outlook(told.book, np.random.default_rng(SEED))
        _keep(_kept, told.seen, found)
    return Sight(told=told, seen=found, proposed=_row(told, standing_proposal(told)))


def _row(told: Campaign, given: ProposalGiven | None) -> NDArray[np.float64] | None:
    """The proposal as a row of the notebook; None where there is none."""
    if given is None:
        return None
    fractions = given.answer.get("fractions", {})
    return np.array([float(fractions.get(key, 0.0)) for key in told.book.keys])
