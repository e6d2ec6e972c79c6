"""What the cone should read, and when: from the proposal a batch was begun from, as it was given."""

from __future__ import annotations

from dataclasses import dataclass

from slake.records.models import Batch

from ..next.words import Prediction, cone_of, prediction_rows, read_with


@dataclass(frozen=True, kw_only=True)
class Expected:
    """The cone line of a proposal, the paste age it is meant for, and the cone, such as "30 g, 30 deg"."""

    at_min: int
    line: Prediction
    read_with: str


def expected_cone(batch: Batch) -> Expected | None:
    """None for a batch that came from no proposal, or whose brief had no cone line."""
    if batch.proposal is None:
        return None
    answer = batch.proposal.answer
    line = cone_of(prediction_rows(answer))
    return None if line is None else Expected(at_min=answer["read_at_min"], line=line, read_with=read_with(answer))
