"""Timed steps: in order, moved by what was really done, limits from the keeping law. Common practice, no source."""

from __future__ import annotations

import pytest

from slake.ground.problems import OutsideRange
from slake.paste.ingredients import Role
from slake.paste.keeping import keeping_times
from slake.paste.steps import blends_dry, due_times_s, next_step, timed_steps

KEPT = keeping_times(raw_food_waste=False)
GUM = {"mussel_shell": Role.FILLER, "guar": Role.THICKENER}
MIN = 60.0


def steps(kinds=GUM, cone_min: float = 60):
    return timed_steps(kinds, KEPT, cone_min * MIN)


def test_the_day_is_in_order_and_ends_with_the_keeping_law() -> None:
    due = due_times_s(steps(), {})
    assert list(due) == ["premix", "first_water", "knead", "first_reading", "cone", "load", "print", "discard"]
    times = [found for found in due.values() if found is not None]
    assert times == sorted(times) and due["premix"] is None and due["first_water"] == 0
    assert due["cone"] == 60 * MIN
    assert (due["print"], due["discard"]) == (KEPT.print_within.mid, KEPT.discard_warm_s)
    assert due["print"] - due["load"] == 60 * MIN


def test_raw_waste_is_thrown_away_sooner() -> None:
    raw = timed_steps(GUM, keeping_times(raw_food_waste=True), 60 * MIN)
    assert due_times_s(raw, {})["discard"] < due_times_s(steps(), {})["discard"]


@pytest.mark.parametrize(
    "kinds",
    [
        {"mussel_shell": Role.FILLER},
        {"guar": Role.THICKENER},
        {"mussel_shell": Role.FILLER, "alginate": Role.THICKENER},
    ],
)
def test_nothing_is_premixed_where_the_order_of_adding_blends_nothing(kinds) -> None:
    """Alginate goes into water before any shell: a dry blend with shell would set it."""
    assert not blends_dry(kinds) and "premix" not in due_times_s(steps(kinds), {})


def test_lateness_is_carried_on_to_what_follows_and_to_nothing_else() -> None:
    """Kneaded 12 min late: the first cone waits as long, the age of the cone that counts stays."""
    plain, late = due_times_s(steps(), {}), due_times_s(steps(), {"knead": 27 * MIN})
    assert plain["knead"] == 15 * MIN and plain["first_reading"] == 30 * MIN
    assert late["first_reading"] == plain["first_reading"] + 12 * MIN
    assert [late[key] for key in ("cone", "load", "print")] == [plain[key] for key in ("cone", "load", "print")]


def test_next_is_what_follows_the_last_done_and_nothing_at_the_end() -> None:
    assert next_step(steps(), ()).key == "premix"
    assert next_step(steps(), ("first_water",)).key == "knead"
    assert next_step(steps(), ("first_water", "cone")).key == "load"
    assert next_step(steps(), ("discard",)) is None


@pytest.mark.parametrize("age_s", [0.0, -60.0, 25 * 3600.0, float("nan")])
def test_an_age_of_no_working_paste_is_refused(age_s: float) -> None:
    with pytest.raises(OutsideRange, match="60 min is usual"):
        timed_steps(GUM, KEPT, age_s)
