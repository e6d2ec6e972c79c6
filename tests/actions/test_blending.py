"""Blends: a new lot with all its parents, booked both ways in one transaction, or not at all."""

from __future__ import annotations

import pytest

from slake.actions.blending import blend_lots
from slake.actions.campaign import campaign_lot
from slake.actions.heating import log_heat
from slake.actions.keeping import is_raw
from slake.actions.lots import describe_lot, move_stock, stock_g, take_lots
from slake.ground.problems import Problem
from slake.paste.ingredients import HowKnown
from slake.records.models import Action, Blend, Lot, StockMove
from slake.records.values import ingredient_of, moisture_of, water_demand_of


@pytest.fixture
def shells(databases, entry) -> tuple[Lot, Lot]:
    rows = [
        {"ingredient": "mussel shell", "name": "old", "grams": "300", "moisture_percent": "2", "sieve_um": "125"},
        {"ingredient": "mussel shell", "name": "new", "grams": "1000", "moisture_percent": "6", "sieve_um": "250"},
    ]
    old, new = take_lots(entry(), [row | {"dried": "yes"} for row in rows])
    describe_lot(entry(), old.pk, {"water_demand": "0.3"})
    describe_lot(entry(), new.pk, {"water_demand": "0.5"})
    return Lot.objects.get(pk=old.pk), Lot.objects.get(pk=new.pk)


def rows(*pairs: tuple[Lot, str]) -> list[dict[str, str]]:
    return [{"lot": str(lot.pk), "grams": grams} for lot, grams in pairs]


def test_a_blend_is_a_new_lot_with_both_parents_and_the_stock_is_kept(shells, entry):
    old, new = shells
    child = blend_lots(entry(), rows((old, "300"), (new, "100")), {})
    assert child.name == "old + new" and child.ingredient == "mussel_shell" and child.sieve_um == 250 and child.dried
    assert {(row.parent.name, row.grams) for row in child.parents.all()} == {("old", 300.0), ("new", 100.0)}
    assert (stock_g(old), stock_g(new), stock_g(child)) == (0, 900, 400)
    assert {move.why for move in StockMove.objects.filter(grams__lt=0)} == {"blended"}
    assert [row.child for row in old.children.all()] == [child]


def test_what_it_is_comes_from_its_parents_with_their_range(shells, entry):
    """Water 6 + 6 of 400 g = 3 %; demand by dry mass (294 x 0.3 + 94 x 0.5) / 388 (by hand: coding only)."""
    old, new = shells
    child = blend_lots(entry(), rows((old, "300"), (new, "100")), {})
    moisture, demand = moisture_of(child), water_demand_of(child)
    assert moisture.how is demand.how is HowKnown.PARENTS
    assert moisture.value.mid == pytest.approx(0.03)
    assert moisture.value.low < 0.03 < moisture.value.high
    assert demand.value.mid == pytest.approx((294 * 0.3 + 94 * 0.5) / 388)
    stated = describe_lot(entry(), child.pk, {"moisture_percent": "5"})
    assert moisture_of(stated).how is HowKnown.MEASURED


def test_a_blend_of_a_blend_goes_back_to_the_first_lots(shells, entry):
    old, new = shells
    child = blend_lots(entry(), rows((old, "100"), (new, "100")), {"name": "one"})
    again = blend_lots(entry(), rows((child, "200"), (new, "200")), {"name": "two"})
    assert moisture_of(again).value.mid == pytest.approx((100 * 0.02 + 300 * 0.06) / 400)


def test_more_than_there_is_and_a_lot_with_itself_are_refused_whole(shells, entry):
    old, new = shells
    before = Action.objects.count()
    for bad, words in (
        (rows((new, "100"), (old, "300,1")), "300 g left"),
        (rows((old, "10"), (old, "20")), "itself"),
        (rows((old, "10")), "2 to 12"),
        (rows((old, "0"), (new, "1")), "grams of old"),
        (rows((old, "-5"), (new, "1")), "grams of old"),
        (rows((old, ""), (new, "1")), "grams of old"),
        ([{"lot": "999", "grams": "1"}, {"lot": str(old.pk), "grams": "1"}], "no lot of this bench"),
        ([{"lot": "x", "grams": "1"}, {"lot": str(old.pk), "grams": "1"}], "no lot of this bench"),
        ([], "2 to 12"),
    ):
        with pytest.raises(Problem, match=words):
            blend_lots(entry(), bad, {})
    assert not Blend.objects.exists() and Lot.objects.count() == 2 and Action.objects.count() == before
    assert (stock_g(old), stock_g(new)) == (300, 1000)


def test_unlike_ingredients_need_a_name_of_their_own_and_keep_every_caution(shells, entry):
    old, _ = shells
    (grain,) = take_lots(entry(), [{"ingredient": "spent grain", "grams": "500"}])
    mixed = rows((old, "100"), (grain, "100"))
    with pytest.raises(Problem, match="called as an ingredient"):
        blend_lots(entry(), mixed, {})
    with pytest.raises(Problem, match="name of its own"):
        blend_lots(entry(), mixed, {"ingredient": "kaolin"})
    child = blend_lots(entry(), mixed, {"ingredient": "shell and grain mix"})
    assert set(ingredient_of(child).allergens) == {"molluscs", "gluten"} and is_raw(child)
    assert child.role == "filler" and child.sieve_um is None


def test_unlike_roles_need_one(shells, entry):
    old, _ = shells
    (guar,) = take_lots(entry(), [{"ingredient": "guar", "grams": "50"}])
    both = rows((old, "100"), (guar, "5"))
    with pytest.raises(Problem, match="different roles"):
        blend_lots(entry(), both, {"ingredient": "premix"})
    assert blend_lots(entry(), both, {"ingredient": "premix", "role": "filler"}).role == "filler"


def test_a_blend_counts_as_raw_while_one_parent_does(shells, entry):
    old, new = shells
    log_heat(entry(), old.pk, [{"minutes": "40", "temperature_c": "75", "state": "before"}])
    assert is_raw(blend_lots(entry(), rows((old, "10"), (new, "10")), {}))
    log_heat(entry(), new.pk, [{"minutes": "40", "temperature_c": "75", "state": "before"}])
    clean = blend_lots(entry(), rows((old, "10"), (new, "10")), {})
    assert not is_raw(clean)
    log_heat(entry(), clean.pk, [{"minutes": "40", "temperature_c": "75", "state": "dry"}])
    clean.refresh_from_db()
    assert not is_raw(clean), "drying a clean blend makes nothing raw"


def test_heating_a_blend_as_powder_lifts_nothing(shells, entry):
    blend = blend_lots(entry(), rows((shells[0], "10"), (shells[1], "10")), {})
    for state in ("dry", "powder wetted again"):
        log_heat(entry(), blend.pk, [{"minutes": "40", "temperature_c": "75", "state": state}])
        blend.refresh_from_db()
        assert is_raw(blend)


def test_a_lot_nobody_counted_may_go_in_and_stays_uncounted(shells, entry):
    old, _ = shells
    (more,) = take_lots(entry(), [{"ingredient": "mussel shell", "name": "jar"}])
    child = blend_lots(entry(), rows((old, "10"), (more, "10")), {})
    assert stock_g(more) is None and stock_g(child) == 20
    move_stock(entry(), child.pk, "5", "spilled")
    assert stock_g(child) == 15


def test_the_same_entry_twice_is_one_blend(shells, entry):
    old, new = shells
    once = entry(id="blend")
    assert blend_lots(once, rows((old, "10"), (new, "10")), {}) == blend_lots(once, rows((old, "10"), (new, "10")), {})
    assert Blend.objects.count() == 2


def test_a_line_of_blends_without_end_is_refused(shells, entry):
    old, new = shells
    child = blend_lots(entry(), rows((old, "1"), (new, "1")), {"name": "b"})
    for _ in range(39):
        child = blend_lots(entry(), rows((child, "1"), (new, "1")), {"name": "b"})
    assert 0.02 < moisture_of(child).value.mid < 0.06
    with pytest.raises(Problem, match="40 blends"):
        blend_lots(entry(), rows((child, "1"), (new, "1")), {})


def test_the_next_batch_reckons_with_what_the_parents_of_a_blend_drink(shells, entry):
    """Stated 0.3 and 0.5 g/g, 294 and 94 g dry: 0.348; an unlike blend drinks as its parents, not as a usual filler."""
    old, new = shells
    like = blend_lots(entry(), rows((old, "300"), (new, "100")), {})
    value, sd_log = campaign_lot(like).water_demand
    assert value == pytest.approx((294 * 0.3 + 94 * 0.5) / 388, rel=1e-6) and sd_log == pytest.approx(0.05)
    (grain,) = take_lots(entry(), [{"ingredient": "spent grain", "grams": "500", "dried": "yes"}])
    mix = blend_lots(entry(), rows((new, "200"), (grain, "100")), {"ingredient": "shore mix", "role": "filler"})
    value, sd_log = campaign_lot(mix).water_demand
    assert value == water_demand_of(mix).value.mid > 0.5 and sd_log > 0.05


def test_a_blend_of_lots_nobody_weighed_the_thirst_of_stays_as_the_list_has_it(databases, entry):
    one, two = take_lots(entry(), [{"ingredient": "mussel shell", "name": n, "grams": "100"} for n in ("a", "b")])
    child = blend_lots(entry(), rows((one, "50"), (two, "50")), {})
    assert campaign_lot(child).water_demand is None and campaign_lot(one).water_demand is None
