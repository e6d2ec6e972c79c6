"""Lots: a sieve said in mm, and a stock nobody counted is not put right without a word."""

from __future__ import annotations

import pytest

from slake.actions.lots import describe_lot, move_stock, stock_g, stocks_g, take_lots
from slake.ground.problems import DoesNotFit, OutsideRange
from slake.records.models import Lot, StockMove


def test_a_sieve_may_be_said_in_mm(first_day, entry):
    (grain,) = take_lots(entry(), [{"ingredient": "spent grain", "sieve_um": "0,5 mm"}])
    assert grain.sieve_um == 500
    assert describe_lot(entry(), grain.pk, {"sieve_um": "0.25 mm"}).sieve_um == 250
    with pytest.raises(OutsideRange, match="sieve opening"):
        describe_lot(entry(), grain.pk, {"sieve_um": "500 mm"})


def test_a_lot_nobody_counted_is_not_put_right_without_a_word(first_day, entry):
    _, guar, _ = first_day
    move_stock(entry(), guar.pk, "12", "spilled")
    with pytest.raises(DoesNotFit, match=r"not counted yet.*plus the 12 g already taken"):
        move_stock(entry(), guar.pk, "-5", "put right")
    assert stock_g(guar) is None and StockMove.objects.filter(lot=guar).count() == 1
    move_stock(entry(), guar.pk, "112", "came in")
    assert stock_g(guar) == 100
    move_stock(entry(), guar.pk, "-5", "put right")
    assert stock_g(guar) == 95


def test_the_stock_of_a_lot_is_the_same_however_it_is_asked_for(first_day, entry):
    shell, guar, _ = first_day
    for lot, grams, why in ((shell, "100", "spilled"), (shell, "-0.5", "put right"), (guar, "3", "spilled")):
        move_stock(entry(), lot.pk, grams, why)
    together = {lot.pk: stock_g(lot) for lot in Lot.objects.prefetch_related("moves")}
    assert together == {lot.pk: stock_g(lot) for lot in Lot.objects.all()}
    assert stocks_g() == {number: left for number, left in together.items() if left is not None}
    assert together[shell.pk] == 1899.5 and together[guar.pk] is None
