"""The weigh card as the page shows it: one step per amount, what is in the bowl so far, an overshoot to decide on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slake.actions.at_the_bench import (
    Accepting,
    accepting,
    factor_words,
    overshoot_to_decide,
    tolerance_g,
)
from slake.records.models import Amount, Batch, Weighing

from ..next.cautions import Caution, cautions_for

HELD_NAME, WATER_NAME = "water held back", "water"


@dataclass(frozen=True, kw_only=True)
class Step:
    """One thing to weigh. `left_g` is what still has to go in; below zero it is over its amount."""

    amount: Amount
    name: str
    within_g: float
    poured: Sequence[Weighing]
    in_bowl_g: float
    left_g: float
    cautions: Sequence[Caution]

    @property
    def state(self) -> str:
        """todo, part (something is in), done or over."""
        if not self.poured:
            return "todo"
        if self.left_g < -self.within_g:
            return "over"
        return "done" if self.left_g <= self.within_g else "part"


@dataclass(frozen=True, kw_only=True)
class Over:
    """The overshoot to decide on: which amount, by how much, and what each way out does."""

    name: str
    over_g: float
    factor: float
    factor_shown: str
    accepting: Accepting


@dataclass(frozen=True, kw_only=True)
class Card:
    """All steps in order, grams in the bowl and grams planned, and the overshoot nobody decided on yet."""

    steps: Sequence[Step]
    in_bowl_g: float
    planned_g: float
    over: Over | None

    @property
    def now(self) -> int:
        """The order number of the first step not done; 0 when all are."""
        return next((s.amount.order for s in self.steps if s.state in {"todo", "part"}), 0)


def name_of(amount: Amount) -> str:
    if amount.lot is not None:
        return amount.lot.name
    return HELD_NAME if amount.held_back else WATER_NAME


def card_of(batch: Batch) -> Card:
    poured: dict[int | None, list[Weighing]] = {}
    for row in batch.weighings.filter(strike__isnull=True):
        poured.setdefault(row.amount_id, []).append(row)
    amounts = batch.amounts.select_related("lot")
    steps = tuple(_step(amount, poured.get(amount.pk, [])) for amount in amounts)
    return Card(
        steps=steps,
        in_bowl_g=sum(step.in_bowl_g for step in steps),
        planned_g=sum(step.amount.target_g for step in steps),
        over=_over(batch),
    )


def _step(amount: Amount, poured: Sequence[Weighing]) -> Step:
    inside = sum(row.grams for row in poured)
    return Step(
        amount=amount,
        name=name_of(amount),
        within_g=tolerance_g(amount.target_g),
        poured=poured,
        in_bowl_g=inside,
        left_g=amount.target_g - inside,
        cautions=cautions_for([amount.lot]) if amount.lot else (),
    )


def _over(batch: Batch) -> Over | None:
    found = overshoot_to_decide(batch)
    if found is None:
        return None
    return Over(
        name=found.key.replace("_", " "),
        over_g=found.over_g,
        factor=found.factor,
        factor_shown=factor_words(found),
        accepting=accepting(batch, found),
    )
