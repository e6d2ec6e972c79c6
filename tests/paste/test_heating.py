"""The stated time-temperature rule: what meets it, what does not, what it cannot be asked."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import OutsideRange
from slake.ground.units import to_si
from slake.paste.heating import HeatStep, HeatVerdict, heat_verdict, needed_time_s

CLAIMS = ("safe to", "is safe", "sterile", "compostable", "biodegradable", "non-toxic", "food-safe")


def step(celsius: float, minutes: float) -> HeatStep:
    return HeatStep(temperature_k=to_si(celsius, "C"), duration_s=60 * minutes)


def wet(*steps: HeatStep) -> HeatVerdict:
    return heat_verdict(steps, 0.25, False)


def test_without_a_log_it_is_raw() -> None:
    found = wet()
    assert not found.meets and not found.refused and found.text.startswith("Treat as raw")


@pytest.mark.parametrize(("minutes", "meets"), [(29, False), (31, True)])
def test_half_an_hour_at_seventy(minutes: float, meets: bool) -> None:
    """30.06 min by the equation as read."""
    assert wet(step(70, minutes)).meets is meets


@pytest.mark.parametrize(("minutes", "meets"), [(2, False), (19.9, False), (20, True)])
def test_boiling_still_needs_its_twenty_minutes(minutes: float, meets: bool) -> None:
    assert wet(step(98, minutes)).meets is meets


def test_thin_waste_may_be_short_and_hot() -> None:
    assert needed_time_s(to_si(80, "C"), 0.05) == pytest.approx(71.8, abs=0.05)
    assert needed_time_s(to_si(95, "C"), 0.05) == 15
    assert heat_verdict([step(80, 1.3)], 0.05, False).meets
    assert not heat_verdict([step(80, 1.3)], 0.25, False).meets


def test_thin_waste_over_half_an_hour_never_needs_less_than_half_an_hour_unless_short() -> None:
    assert needed_time_s(to_si(69, "C"), 0.05) == 30 * 60


@given(st.floats(50, 99), st.floats(0, 1), st.sampled_from([0.02, 0.25]))
def test_hotter_never_needs_longer(celsius: float, more: float, solids: float) -> None:
    assert needed_time_s(to_si(celsius + more, "C"), solids) <= needed_time_s(to_si(celsius, "C"), solids) * (1 + 1e-9)


@pytest.mark.parametrize("celsius", [45, 49.9, 100.5, 180, -10])
def test_temperatures_the_rule_does_not_cover_are_refused(celsius: float) -> None:
    with pytest.raises(OutsideRange):
        needed_time_s(to_si(celsius, "C"), 0.25)
    found = wet(step(celsius, 10_000))
    assert found.refused and not found.meets and found.text.startswith("Treat as raw")


@pytest.mark.parametrize(("solids", "dry"), [(0.25, True), (0.95, False), (0.95, True)])
def test_dry_powder_is_refused_however_hot(solids: float, dry: bool) -> None:
    found = heat_verdict([step(75, 10_000)], solids, dry)
    assert found.refused and not found.meets and "dry powder" in found.text


@pytest.mark.parametrize(("solids", "refused"), [(0.69, False), (0.71, True)])
def test_seven_tenths_solids_count_as_dry(solids: float, refused: bool) -> None:
    """Cautious practice, no source."""
    assert heat_verdict([step(75, 10_000)], solids, False).refused is refused


@pytest.mark.parametrize("celsius", [50.0, 100.0])
def test_the_ends_of_the_rule_belong_to_it(celsius: float) -> None:
    assert wet(step(celsius, 400 * 60)).meets


def test_stretches_apart_are_not_added_up() -> None:
    assert not wet(step(70, 20), step(40, 5), step(70, 20)).meets
    assert wet(step(70, 20), step(72, 20)).meets


def test_a_hotter_step_in_the_middle_counts_for_the_cooler_rule() -> None:
    together = wet(step(60, 400), step(61, 400))
    assert together.meets and together.credit == pytest.approx(800 / 755, abs=0.005)


def test_an_oven_temperature_breaks_the_run() -> None:
    assert not wet(step(70, 20), step(160, 60), step(70, 20)).meets


def test_warming_up_earns_nothing_and_costs_nothing() -> None:
    assert wet(step(30, 10), step(45, 10), step(70, 31)).meets


@given(st.lists(st.tuples(st.floats(20, 110), st.floats(0, 3000)), max_size=6))
def test_credit_and_verdict_agree_and_nothing_is_claimed(steps: list[tuple[float, float]]) -> None:
    found = wet(*(step(c, m) for c, m in steps))
    assert found.meets == (found.credit >= 1)
    assert found.meets or found.text.startswith("Treat as raw")
    assert not any(claim in found.text.lower() for claim in CLAIMS)


@given(st.floats(50, 100), st.floats(0, 5000), st.floats(0, 500))
def test_longer_heat_never_undoes_a_verdict(celsius: float, minutes: float, more: float) -> None:
    assert wet(step(celsius, minutes + more)).credit >= wet(step(celsius, minutes)).credit


@pytest.mark.parametrize(
    ("celsius", "minutes"), [(float("nan"), 1), (70, float("nan")), (70, -1), (70, float("inf")), (5000, 1)]
)
def test_impossible_steps_are_refused(celsius: float, minutes: float) -> None:
    with pytest.raises(OutsideRange):
        step(celsius, minutes)


@pytest.mark.parametrize("solids", [0.0, -0.1, 1.1, float("nan")])
def test_impossible_solids_are_refused(solids: float) -> None:
    with pytest.raises(OutsideRange):
        needed_time_s(to_si(70, "C"), solids)
