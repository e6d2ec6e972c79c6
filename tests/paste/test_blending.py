"""What a blend is from its parents: water adds up, demand goes by dry mass, cautions are never lost."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit, OutsideRange
from slake.paste.blending import (
    blended,
    blended_ingredient,
    blended_moisture,
    blended_water_demand,
    coarsest_m,
)
from slake.paste.ingredients import HowKnown, Role, find


def exactly(value: float) -> Range:
    return Range(low=value, mid=value, high=value)


def test_water_of_a_blend_is_the_water_of_its_parents() -> None:
    """100 g at 10 % and 300 g at 2 %: 10 g + 6 g of water in 400 g = 4 % (by hand: coding only)."""
    found = blended_moisture([(0.1, exactly(0.10)), (0.3, exactly(0.02))])
    assert found.value.mid == pytest.approx(0.04) and found.how is HowKnown.PARENTS


def test_demand_goes_by_dry_mass() -> None:
    """90 g dry at 2.0 and 10 g dry at 0.4: 1.84 g/g (by hand: coding only)."""
    assert blended_water_demand([(0.09, exactly(2.0)), (0.01, exactly(0.4))]).value.mid == pytest.approx(1.84)


ranges = (
    st.lists(st.floats(0, 0.98), min_size=3, max_size=3).map(sorted).map(lambda v: Range(low=v[0], mid=v[1], high=v[2]))
)
parts = st.lists(st.tuples(st.floats(1e-3, 100), ranges), min_size=1, max_size=6)


@given(parts)
def test_a_blend_lies_between_its_parents(found: list[tuple[float, Range]]) -> None:
    mixed = blended(found)
    for side in ("low", "mid", "high"):
        values = [getattr(r, side) for _, r in found]
        assert min(values) <= getattr(mixed, side) <= max(values)


@given(parts, ranges)
def test_blending_like_with_like_changes_nothing(found: list[tuple[float, Range]], same: Range) -> None:
    mixed = blended([(kg, same) for kg, _ in found])
    assert mixed.mid == pytest.approx(same.mid) and mixed.low == pytest.approx(same.low)


@pytest.mark.parametrize("kg", [0.0, -1.0, float("nan"), float("inf")])
def test_no_mass_is_no_part(kg: float) -> None:
    with pytest.raises(OutsideRange):
        blended([(kg, exactly(0.1))])


def test_no_parent_is_no_blend() -> None:
    with pytest.raises(DoesNotFit):
        blended([])


def test_the_sieve_is_the_worst_of_both_and_unknown_where_one_is() -> None:
    assert coarsest_m([125e-6, 250e-6]) == 250e-6
    assert coarsest_m([125e-6, None]) is None and coarsest_m([]) is None


def test_cautions_of_every_parent_stay_with_the_blend() -> None:
    shell, grain = find("mussel shell"), find("spent grain")
    mixed = blended_ingredient("pot mix", Role.FILLER, [(0.5, shell), (0.5, grain)])
    assert mixed.raw_food_waste and set(mixed.allergens) == {"molluscs", "gluten"}
    assert shell.hazards["heating"] in mixed.hazards["heating"]
    for sentence in (shell.hazards["weighing"], grain.hazards["weighing"]):
        for part in sentence.split(". "):
            assert part in mixed.hazards["weighing"]
    assert mixed.hazards["weighing"].count("Wear a dust mask while the dry powder is handled.") == 1


def test_volumes_add_so_the_density_is_the_harmonic_mean() -> None:
    shell, grain = find("mussel shell"), find("spent grain")
    mixed = blended_ingredient("pot mix", Role.FILLER, [(1.0, shell), (1.0, grain)])
    expected = 2 / (1 / shell.density_kg_m3.value.mid + 1 / grain.density_kg_m3.value.mid)
    assert mixed.density_kg_m3.value.mid == pytest.approx(expected)
    assert blended_ingredient("x", Role.FILLER, []).allergens == ()
