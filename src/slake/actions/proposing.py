"""The next batch: worked out outside any transaction, kept as given, asked again only when the evidence moved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db import transaction

from slake import __version__
from slake.campaign import Proposal
from slake.campaign.lots import MOST_INGREDIENTS
from slake.campaign.notebook import Notebook
from slake.campaign.pending import pending
from slake.campaign.several import propose_several
from slake.campaign.within import Today
from slake.ground.evidence import Range
from slake.paste.bases import recipe_from_paste
from slake.paste.ingredients import Role
from slake.paste.recipe import WATER, Recipe, composition, facts_of
from slake.records.models import Batch, Lot, ProposalGiven
from slake.records.values import ingredient_of, moisture_of
from slake.records.which import current_bench

from .bounds import WASTES
from .campaign import MOST_TOLD, READ_AT_MIN, Campaign, tell
from .entry import Entry
from .standing import called, stands_for

SEED = 1
CONE = "cone_depth_mm"
SPECK = 2e-4
"""Of the wet paste: 0.1 g in 500 g, the smallest step of a kitchen scale. Less of a lot is left out, and said."""


def propose_next(entry: Entry) -> ProposalGiven:
    """The next batch from everything this bench knows. The same evidence gives the proposal already given."""
    told = tell()
    given = standing_proposal(told)
    if given is not None:
        return given
    new = told.book.propose(seed=SEED) if not pending(told.book) else _beside_pending(told.book)
    stands = stands_for(told, list(new.fractions.values()), SEED)
    return keep_proposal(entry, told, (told.seen, {}), {**answer_of(told, new), "stands": stands})


def _beside_pending(book: Notebook) -> Proposal:
    """The next batch where others still dry: not the same bet again, nor the same lesson."""
    return propose_several(book, Today(), SEED).chosen[0].proposal


def keep_proposal(
    entry: Entry, told: Campaign, asked: tuple[str, Mapping[str, object]], answer: Mapping[str, object]
) -> ProposalGiven:
    """Keep what was worked out, under the checksum of what it was worked out from and what was asked besides."""
    seen, more = asked
    inputs = {"lots": [lot.name for lot in told.lots_now], "batches": [b.number for b in told.batches], "seed": SEED}
    with transaction.atomic(using=current_bench.get()):
        return ProposalGiven.objects.create(
            at=entry.at, seen=seen, inputs={**inputs, **more}, answer=dict(answer), version=__version__
        )


def standing_proposal(told: Campaign | None = None) -> ProposalGiven | None:
    """The proposal that still answers today's evidence, if it was already worked out."""
    told = told or tell()
    return ProposalGiven.objects.filter(seen=told.seen, version=__version__).last()


def answer_of(told: Campaign, given: Proposal) -> dict[str, object]:
    """A proposal as it is kept: plain data, amounts a scale can show."""
    fractions, specks = _weighable(_of_lots_now(told, given))
    lines = told.book.brief.lines
    moisture = {lot.name: moisture_of(lot).value.mid for lot in told.lots_now if lot.name in fractions}
    recipe = recipe_from_paste(fractions, moisture)
    return {
        "fractions": fractions,
        "parts": dict(recipe.parts),
        "water_per_dry": recipe.water_per_dry,
        "thickener_per_100_water": thickener(recipe, told.lots_now),
        "predictions": {name: _three(value) for name, value in given.predictions.items()},
        "windows": {line.name: [line.low, line.high] for line in lines},
        "line_words": {line.name: line.words for line in lines},
        "typical_brief": told.book.brief.typical,
        "chance": _three(given.chance),
        "line_chances": dict(given.line_chances),
        "least_known": given.least_known.sentence if given.least_known else "",
        "why": [*given.why, *_kept_in(told), *specks, *_left_out(told)],
        "phase": given.phase,
        "outside": list(given.outside),
        "read_at_min": READ_AT_MIN,
        "read_with": {name: dict(told.book.instruments.get(name, {})) for name in given.predictions},
        "after": [batch.number for batch in told.batches],
        "pending": [called(told, number) for number in pending(told.book)],
    }


def _of_lots_now(told: Campaign, given: Proposal) -> dict[str, float]:
    names = {lot.name for lot in told.lots_now}
    return {key: value for key, value in given.fractions.items() if key == WATER or (key in names and value > 0)}


def _kept_in(told: Campaign) -> list[str]:
    """Which wastes the proposal was not free to leave out, said."""
    wastes = [lot.name for lot in told.lots_now if Role(lot.role) in WASTES]
    if len(wastes) < 2 or not told.batches:
        return []
    return [f"Kept between half of the least and twice the most you mixed: {', '.join(wastes)}."]


def _left_out(told: Campaign) -> list[str]:
    """What was not used, said."""
    most = f"slake uses the last {MOST_TOLD} batches and tells {MOST_INGREDIENTS} lots apart"
    return [f"Left out: {told.left_out} older batches ({most})."] if told.left_out else []


def _weighable(asked: Mapping[str, float]) -> tuple[dict[str, float], list[str]]:
    """Without the lots of which there is less than a scale can show, and one sentence for each of them."""
    kept = {key: value for key, value in asked.items() if key == WATER or value >= SPECK}
    whole = sum(asked.values()) / sum(kept.values())
    words = [f"{key} is left out: it would be under 0.1 g in 500 g of paste." for key in asked if key not in kept]
    return {key: value * whole for key, value in kept.items()}, words


def _three(value: Range) -> list[float]:
    return [value.low, value.mid, value.high]


@dataclass(frozen=True, kw_only=True)
class Tried:
    """One past batch on the map: where it lies, how it ended, and each line of the brief held, broke or not read."""

    batch: Batch
    water_per_dry: float
    thickener_per_100_water: float
    outcome: str
    lines: tuple[tuple[str, bool | None, str], ...]


def tried(told: Campaign | None = None) -> list[Tried]:
    """Every batch with an outcome or a reading, in the order mixed."""
    told = told or tell()
    lots = list(Lot.objects.filter(name__in=told.book.keys).prefetch_related("readings__strike"))
    moisture = {lot.name: moisture_of(lot).value.mid for lot in lots}
    return [_tried(told.book, number, batch, lots, moisture) for number, batch in enumerate(told.batches)]


def _tried(book: Notebook, number: int, batch: Batch, lots: list[Lot], moisture: Mapping[str, float]) -> Tried:
    mixed = book.batches[number]
    fractions = {key: part for key, part in zip(book.keys, mixed.fractions, strict=True) if part > 0 or key == WATER}
    recipe = recipe_from_paste(fractions, {key: moisture[key] for key in fractions if key != WATER})
    return Tried(
        batch=batch,
        water_per_dry=recipe.water_per_dry,
        thickener_per_100_water=thickener(recipe, lots),
        outcome=mixed.mixed.outcome.text,
        lines=tuple((v.line, v.held, v.why) for v in book.explain(number)),
    )


def thickener(recipe: Recipe, lots: Sequence[Lot]) -> float:
    """Thickeners, g per 100 g of all the water in the paste, on dry mass; binders are not counted."""
    named = {lot.name: ingredient_of(lot) for lot in lots if lot.name in recipe.parts}
    facts = facts_of(named.values())
    by_name = {name: facts[item.key] for name, item in named.items()}
    return composition(recipe, by_name).thickener_per_100_water
