"""What heat a lot saw, logged by hand, and whether it meets the stated rule."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from slake.ground.numbers import Limits, read_number
from slake.ground.problems import Problem
from slake.ground.units import to_si
from slake.paste.heating import HOTTEST_C, HeatStep, HeatVerdict, heat_verdict
from slake.records.models import Lot
from slake.records.values import moisture_of

from .entry import Entry, recorded

WET, DRY, WETTED, BEFORE = "wet", "dry", "powder wetted again", "before"
"""States kept in the log are the first three; BEFORE is how a form says WET of a lot that is powder by now."""
MINUTES = Limits(low=0, high=100_000, unit="min")
COLDEST_C = -20
HOTTEST_DRY_C = 600
"""Above it shell turns to quicklime, and plant waste burned long before. Common practice, no source."""
WET_SOLIDS = 0.3


def is_powder(lot: Lot) -> bool:
    """Whether the lot is dried or sieved by now: heating it today is no heating of wet waste."""
    return bool(lot.dried) or lot.sieve_um is not None


def log_heat(entry: Entry, lot_id: int, rows: Sequence[Mapping[str, str]]) -> Lot:
    """What heat the waste saw: minutes at the lowest temperature of its coldest spot, and in which state it was."""
    with recorded(entry, "log heat", {"lot": lot_id, "rows": [dict(row) for row in rows]}) as log:
        lot = Lot.objects.get(pk=lot_id)
        if log.before is not None:
            return lot
        filled = [row for row in rows if any(str(text).strip() for text in row.values())]
        if not filled:
            raise Problem("the heat log is empty: give minutes and temperature of at least one stretch")
        lot.heat_log = [*lot.heat_log, *(_heat_row(lot, row) for row in filled)]
        lot.revision += 1
        lot.save()
        return lot


def _heat_row(lot: Lot, row: Mapping[str, str]) -> list[object]:
    state = _state(lot, str(row.get("state", "")).strip().lower())
    minutes = read_number(row.get("minutes", ""), "minutes", MINUTES)
    hottest, why = HOTTEST_C, "wet waste is never hotter than boiling: read it in the coldest spot, not of the oven"
    if state == DRY:
        hottest, why = HOTTEST_DRY_C, "hotter than this shell turns to quicklime and plant waste burns: read it again"
    limits = Limits(low=COLDEST_C, high=hottest, unit="C", do=why)
    return [minutes, read_number(row.get("temperature_c", ""), "temperature in the coldest spot", limits), state]


def _state(lot: Lot, said: str) -> str:
    """In which state it was heated; of a lot that is powder by now it must be said, for powder earns nothing."""
    if said in {DRY, WETTED}:
        return said
    if said == BEFORE or (said in {"", WET} and not is_powder(lot)):
        return WET
    if said in {"", WET}:
        raise Problem(
            f"{lot.name} is dried or sieved powder by now: say whether it was heated wet, before it was dried and "
            "milled, or as powder, dry or wetted again, which does not count"
        )
    raise Problem(f"the state is “{said[:20]}”: choose wet or dry powder")


def heat_words(lot: Lot) -> HeatVerdict | None:
    """Whether the logged heat meets the stated rule; None for what has no log. Heat of powder, dry or wetted again,
    earns nothing and breaks a stretch of wet heat.
    """
    if not lot.heat_log:
        return None
    wet = any(state == WET for _, _, state in lot.heat_log)
    solids = WET_SOLIDS if wet else 1 - moisture_of(lot).value.mid
    return heat_verdict([_step(*row) for row in lot.heat_log], solids, dry_powder=not wet)


def _step(minutes: float, celsius: float, state: str) -> HeatStep:
    """One stretch as the rule counts it: of powder as no heat at all, which also ends what went before."""
    counted = celsius if state == WET else 0.0
    return HeatStep(temperature_k=to_si(counted, "C"), duration_s=to_si(minutes, "min"))
