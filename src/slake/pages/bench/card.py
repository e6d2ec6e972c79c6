"""The weigh card as the page shows it: one step per amount, what is in the bowl so far, an overshoot to decide on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slake.actions.at_the_bench import (
    Accepting,
    accepting,
    factor_words,
    overshoot_to_decide,
    tolerance_g,
)
from slake.actions.bowl import shows_last
from slake.actions.instruments import instruments
from slake.actions.lots import stock_g
from slake.actions.mixing import TOTAL
from slake.actions.sizes import in_bowl_g, key_of
from slake.paste.recipe import Recipe
from slake.paste.rescue import LARGEST_RESCALE
from slake.records.models import Amount, Batch, Instrument, Weighing

from ..next.cautions import Caution, cautions_for

LIKELY_A_SLIP = 1.5
"""An amount so many times what was asked is first offered to be undone: common practice, no source."""
HELD_NAME, WATER_NAME = "water held back", "water"


@dataclass(frozen=True, kw_only=True)
class Step:
    """One thing to weigh. `left_g` is what still has to go in; below zero it is over its amount.

    A portion's `target_g` follows what its other portions took; `spare_g`: what more of it is wanted in those.
    `stock_after_g`: what its lot holds once that is in; None where nobody keeps count.
    """

    amount: Amount
    target_g: float
    spare_g: float
    portion: bool
    name: str
    within_g: float
    poured: Sequence[Weighing]
    in_bowl_g: float
    left_g: float
    cautions: Sequence[Caution]
    stock_after_g: float | None

    @property
    def state(self) -> str:
        """todo, part (something is in), done or over."""
        if not self.poured:
            return "done" if self.portion and self.left_g <= 0 else "todo"
        if self.left_g < -self.within_g - self.spare_g:
            return "over"
        return "done" if self.left_g <= self.within_g else "part"


@dataclass(frozen=True, kw_only=True)
class Over:
    """The overshoot to decide on: which amount, by how much, and what each way out does.

    Shares are percent of the dry solids, None for water.
    """

    name: str
    over_g: float
    factor: float
    factor_shown: str
    total_g: float
    accepting: Accepting
    share_asked: float | None
    share_then: float | None
    undo: Weighing | None

    @property
    def slip(self) -> bool:
        """So much too much is a slip of the pen more often than of the hand."""
        return self.factor >= LIKELY_A_SLIP

    @property
    def too_much(self) -> bool:
        """More than rescaling takes."""
        return self.factor > LARGEST_RESCALE


@dataclass(frozen=True, kw_only=True)
class Bowl:
    """What the batch is mixed in. `shows_total`: the scale is read with bowl and all, as it was last time.

    `under_g`: what a scale under the bowl shows now; None without a tare.
    """

    picked: Instrument | None
    others: Sequence[Instrument]
    tare_g: float | None
    under_g: float | None
    shows_total: bool


@dataclass(frozen=True, kw_only=True)
class Card:
    """All steps in order, grams in the bowl and grams planned, and the overshoot nobody decided on yet.

    `undo`: the last pour that stands. `asked`: the step somebody wants to see; 0 is the one to do now.
    """

    steps: Sequence[Step]
    in_bowl_g: float
    planned_g: float
    over: Over | None
    bowl: Bowl
    undo: Weighing | None
    asked: int = 0

    @property
    def now(self) -> int:
        """The order number of the first step not done; 0 when all are."""
        return next((s.amount.order for s in self.steps if s.state in {"todo", "part"}), 0)

    @property
    def shown(self) -> int:
        """The one step in full."""
        orders = [s.amount.order for s in self.steps]
        return self.asked if self.asked in orders else self.now or (orders[-1] if orders else 0)

    @property
    def mixed(self) -> bool:
        """Everything is in but what is held back."""
        return all(s.state in {"done", "over"} for s in self.steps if not s.amount.held_back)

    @property
    def folded(self) -> bool:
        """All is weighed: the card is one line until somebody asks for a step."""
        return self.mixed and self.over is None and not self.asked

    @property
    def held_left_g(self) -> float:
        """Water held back that is still beside the bowl."""
        return max(sum(step.left_g for step in self.steps if step.amount.held_back), 0.0)

    @property
    def done(self) -> int:
        return sum(s.state in {"done", "over"} for s in self.steps)


def name_of(amount: Amount) -> str:
    if amount.lot is not None:
        return amount.lot.name
    return HELD_NAME if amount.held_back else WATER_NAME


def card_of(batch: Batch, asked: int = 0) -> Card:
    poured: dict[int | None, list[Weighing]] = {}
    pours = list(batch.weighings.filter(strike__isnull=True).select_related("lot", "amount").order_by("id"))
    for row in pours:
        poured.setdefault(row.amount_id, []).append(row)
    steps = _steps(list(batch.amounts.select_related("lot")), poured)
    planned = sum(step.amount.target_g for step in steps)
    return Card(
        steps=steps,
        in_bowl_g=sum(step.in_bowl_g for step in steps),
        planned_g=planned,
        over=_over(batch, planned, pours),
        bowl=_bowl(batch),
        undo=pours[-1] if pours else None,
        asked=asked,
    )


def _bowl(batch: Batch) -> Bowl:
    tare = batch.bowl_tare_g
    return Bowl(
        picked=batch.bowl,
        others=[row for row in instruments("bowl") if batch.bowl is None or row.pk != batch.bowl.pk],
        tare_g=tare,
        under_g=None if tare is None else tare + in_bowl_g(batch),
        shows_total=tare is not None and shows_last() == TOTAL,
    )


def _steps(amounts: Sequence[Amount], poured: Mapping[int | None, Sequence[Weighing]]) -> tuple[Step, ...]:
    """Each amount; of one that comes in portions the last takes what the others left."""
    portions: dict[int, list[Amount]] = {}
    for amount in amounts:
        if amount.lot_id is not None:
            portions.setdefault(amount.lot_id, []).append(amount)
    return tuple(_step(amount, portions.get(amount.lot_id or 0, [amount]), poured) for amount in amounts)


def _step(amount: Amount, portions: Sequence[Amount], poured: Mapping[int | None, Sequence[Weighing]]) -> Step:
    inside = {row.pk: sum(pour.grams for pour in poured.get(row.pk, ())) for row in portions}
    left = _left_g(amount, portions, inside)
    whole_left = sum(row.target_g - inside[row.pk] for row in portions)
    stock = stock_g(amount.lot) if amount.lot else None
    return Step(
        amount=amount,
        name=name_of(amount),
        target_g=max(inside[amount.pk] + left, 0.0) if len(portions) > 1 and whole_left >= 0 else amount.target_g,
        spare_g=max(whole_left - max(left, 0.0), 0.0) if len(portions) > 1 else 0.0,
        portion=len(portions) > 1,
        within_g=tolerance_g(amount.target_g),
        poured=poured.get(amount.pk, ()),
        in_bowl_g=inside[amount.pk],
        left_g=left,
        cautions=cautions_for([amount.lot]) if amount.lot else (),
        stock_after_g=None if stock is None else stock - max(left, 0.0),
    )


def _left_g(amount: Amount, portions: Sequence[Amount], inside: Mapping[int, float]) -> float:
    """Grams still to go in as this portion; below zero on the portion poured last where all of them are over."""
    own = amount.target_g - inside[amount.pk]
    if len(portions) == 1:
        return own
    whole = sum(row.target_g - inside[row.pk] for row in portions)
    last = [row for row in portions if inside[row.pk]][-1:] or portions[-1:]
    if whole < 0:
        return whole if amount == last[0] else min(own, 0.0)
    if amount != portions[-1]:
        return min(own, whole)
    return whole - sum(max(row.target_g - inside[row.pk], 0.0) for row in portions[:-1])


def _percent(recipe: Recipe, name: str) -> float | None:
    return 100 * recipe.parts[name] if name in recipe.parts else None


def _over(batch: Batch, planned_g: float, pours: Sequence[Weighing]) -> Over | None:
    found = overshoot_to_decide(batch)
    if found is None:
        return None
    return Over(
        name=found.key.replace("_", " "),
        over_g=found.over_g,
        factor=found.factor,
        factor_shown=factor_words(found),
        total_g=planned_g * found.factor,
        accepting=accepting(batch, found),
        share_asked=_percent(found.asked, found.key),
        share_then=_percent(found.accepted, found.key),
        undo=next((row for row in reversed(pours) if row.amount and key_of(row.amount) == found.key), None),
    )
