"""Will this paste run and stand on this machine: asked, answered, and kept as it was given."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from slake import __version__
from slake.campaign.verdict import Question, Verdict, judge
from slake.campaign.verdict.smallest import Mends, mends
from slake.campaign.verdict.spread import Spread
from slake.campaign.verdict.suggestion import Suggestion
from slake.ground.units import from_si
from slake.records.models import Action, Batch, VerdictGiven

from .entry import Entry, recorded
from .verdict_asked import Asked, asked_of


@dataclass(frozen=True, kw_only=True)
class Answer:
    """A verdict with what it was asked of, and the smallest changes that would mend it."""

    asked: Asked
    verdict: Verdict
    mends: Mends

    @property
    def question(self) -> Question:
        return self.asked.question


def verdict(typed: Mapping[str, str], batch: Batch | None = None, now: datetime | None = None) -> Answer:
    """Judge a batch's paste, or one of a stiffness typed by hand. Raises Problem for numbers no press has."""
    asked = asked_of(typed, batch, now)
    return Answer(asked=asked, verdict=judge(asked.question), mends=mends(asked.question))


def typed_with(one: Suggestion, typed: Mapping[str, str]) -> dict[str, str]:
    """What to type to ask the same with a suggested change made."""
    return {name: text for name, text in typed.items() if text} | {
        step.change.field: step.written for step in one.steps
    }


def keep_verdict(entry: Entry, batch_id: int, typed: Mapping[str, str]) -> VerdictGiven:
    """The verdict of a batch as it stands now, kept as given with the version that gave it.

    It is worked out before anything is written, so that nobody waits for it at the bench.
    """
    kept = None
    if not Action.objects.filter(entry=entry.id).exists():
        batch = Batch.objects.select_related("machine", "recipe").get(pk=batch_id)
        kept = _as_kept(verdict(typed, batch, entry.at), entry.at)
    with recorded(entry, "keep verdict", {"batch": batch_id, **typed}) as log:
        if log.before is not None:
            return VerdictGiven.objects.get(pk=log.before["verdict"])
        row = VerdictGiven.objects.create(
            at=entry.at, batch_id=batch_id, inputs=dict(typed), answer=kept, version=__version__
        )
        log.answer = {"verdict": row.pk}
        return row


def _as_kept(answer: Answer, at: datetime) -> dict[str, object]:
    found = answer.verdict
    return {
        "word": found.word,
        "chance": round(found.chance, 4),
        "limiting": found.limiting.name,
        "law": answer.question.law.title,
        "lines": {
            line.name: {
                "value": [_shown(side, line.unit) for side in (line.value.low, line.value.mid, line.value.high)],
                "limit": [_shown(side, line.unit) for side in (line.limit.low, line.limit.mid, line.limit.high)],
                "unit": line.unit,
                "chance": line.chance,
            }
            for line in found.lines
        },
        "rests_on": _rests_on(answer.question),
        "changes": [[step.words(answer.question) for step in one.steps] for one in answer.mends.whole],
        "helps": [[step.words(answer.question) for step in one.steps] for one in answer.mends.part],
    }


def _rests_on(question: Question) -> dict[str, object]:
    """What it was worked out from: every number of the paste and the press as median, sd of its log, and basis."""
    spreads = {**vars(question.paste), **vars(question.press.lengths), "force_n": question.press.force_n}
    numbers = {n: [s.mid, s.sd_log, s.basis] for n, s in spreads.items() if isinstance(s, Spread)}
    law = {"title": question.law.title, "mean": list(question.law.mean), "why": question.law.why}
    return {
        "numbers": numbers,
        "law": law,
        "barrel": vars(question.press.barrel),
        "wait_s": question.plan.wait_s + question.plan.aged_s,
    }


def _shown(value: float, unit: str) -> float:
    return float(f"{from_si(value, unit):.4g}")
