"""One reading as another instrument would have shown it: what is laid side by side was read alike."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from slake.ground.evidence import Evidence, Kind
from slake.ground.problems import Problem

from .declaration import BenchTest, Context, Input, Raw

NOT_INSTRUMENT = {
    "how",
    "ended",
    "layer_height_mm",
    "push_speed_mm_s",
    "push_nozzle_mm",
    "push_land_mm",
    "push_fill_mm",
    "tare_g",
    "scale_step_g",
    "bone_dry_g",
    "slug_count",
    "slug_least_g",
    "slug_most_g",
    "squeeze_across_mm",
    "spread_across_mm",
    "steady_kg",
}
"""How it was printed or ended, or a further number of the reading; not what it was read with."""
Instrument = Mapping[str, float | str]


def instrument_inputs(test: BenchTest) -> tuple[Input, ...]:
    """What a reading is taken with: every input but the reading itself and how it ended.

    None where the headline is worked out from several inputs: those are then the reading, not the instrument.
    """
    if all(item.name != test.notebook_name for item in test.inputs):
        return ()
    return tuple(item for item in test.inputs if item.name not in {test.notebook_name, *NOT_INSTRUMENT})


def instrument_of(test: BenchTest, fields: Mapping[str, str]) -> Instrument:
    """The instrument as typed, in SI; what was left open is the typical one. Raises Problem as the test does."""
    return {item.name: item.read(str(fields.get(item.name, ""))) for item in instrument_inputs(test)}


@dataclass(frozen=True, kw_only=True)
class Ends:
    """Between which headline values (bench unit) a reading lies that is no one number; an open side is None."""

    low: float | None
    high: float | None


def ends_of(test: BenchTest, evidence: Evidence, context: Context) -> Ends | None:
    """One-sided evidence, or an interval, as headline values of the instrument in the context; None where exact."""
    if evidence.kind is Kind.EXACT:
        return None
    sides = [None if side is None else test.forward(side, context) for side in (evidence.low, evidence.high)]
    low, high = reversed(sides) if _falls(test, evidence, context) else sides
    return Ends(low=low, high=high)


def _falls(test: BenchTest, evidence: Evidence, context: Context) -> bool:
    """Whether the headline falls as the property rises."""
    at = evidence.low if evidence.low is not None else evidence.high
    assert at is not None
    less, more = (at - 1.0, at + 1.0) if at <= 0 else (0.5 * at, 2 * at)
    return test.forward(less, context) > test.forward(more, context)


def as_read_with(
    test: BenchTest, evidence: Evidence, fields: Mapping[str, str], context: Context | None = None
) -> float | None:
    """The headline (bench unit) the instrument typed as `fields` shows where a paste gave this evidence.

    context: of the reading, for its density and layer; what is typical where none is given.
    None where that instrument cannot show it: the value lies outside what the test can give, or the evidence is
    one-sided and the end of the other instrument's scale would claim more than was seen.
    """
    with_it = replace(context or Context(), instrument=instrument_of(test, fields))
    if evidence.kind is Kind.ABOVE and evidence.low is not None:
        return _end_of_scale(test, evidence.low, fields, with_it)
    if evidence.kind is not Kind.EXACT or evidence.low is None:
        return None
    value = test.forward(evidence.low, with_it)
    return value if test.floor < value < test.ceiling else None


def shows_all(test: BenchTest, fields: Mapping[str, str], values: Iterable[float | None]) -> bool:
    """Whether the instrument typed as `fields` can show each of these headline values; None is an open side."""
    if not instrument_inputs(test):
        return True
    try:
        for value in values:
            if value is not None:
                read_alike(test, fields, value)
    except Problem:
        return False
    return True


def read_alike(test: BenchTest, fields: Mapping[str, str], value: float) -> Raw:
    """A headline value (bench unit) as read with the instrument typed as `fields`. Raises Problem where it cannot."""
    if not instrument_inputs(test):
        return test.quick(value)
    own = {item.name: str(fields.get(item.name, "")) for item in test.inputs}
    return test.read({**own, test.notebook_name: repr(float(value))})


def _end_of_scale(test: BenchTest, seen_above: float, fields: Mapping[str, str], context: Context) -> float | None:
    try:
        says = test.inverse(read_alike(test, fields, test.floor), context)
    except Problem:
        return None
    claims_less = says.kind is Kind.ABOVE and says.low is not None and says.low <= seen_above
    return test.floor if claims_less else None
