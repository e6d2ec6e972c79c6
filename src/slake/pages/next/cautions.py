"""What to mind at the weigh card: hazards of what goes in, who must not be there, whether to treat it as raw."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slake.actions.heating import heat_words
from slake.actions.keeping import is_raw
from slake.paste.mix import sentences
from slake.records.models import Lot
from slake.records.values import ingredient_of

STAGES = ("weighing", "wetting", "handling")


@dataclass(frozen=True, kw_only=True)
class Caution:
    """One sentence and the lots it is about."""

    sentence: str
    lots: str


def cautions_for(lots: Sequence[Lot]) -> list[Caution]:
    """Each sentence once, in the order of the work, with the lots it is about."""
    said: dict[str, list[str]] = {}
    for lot in lots:
        if is_raw(lot):
            said.setdefault(_raw_sentence(lot), []).append(lot.name)
    for stage in STAGES:
        for lot in lots:
            for sentence in sentences(ingredient_of(lot).hazards.get(stage, "")):
                said.setdefault(sentence, []).append(lot.name)
    for lot in lots:
        for allergen in ingredient_of(lot).allergens:
            said.setdefault(f"Allergen: {allergen}. Ask everybody in the room before the powder is opened.", []).append(
                lot.name
            )
    return [Caution(sentence=sentence, lots=", ".join(dict.fromkeys(names))) for sentence, names in said.items()]


def _raw_sentence(lot: Lot) -> str:
    verdict = heat_words(lot)
    if verdict is None:
        return "Food waste whose heating is not logged: treat as raw, gloves on, wash hands and bench."
    return verdict.text
