import pytest
from django.db import IntegrityError, connection, transaction
from django.db.utils import OperationalError

from slake.actions.entry import Entry
from slake.actions.lots import describe_lot, move_stock, stock_g, take_lots
from slake.actions.setting_up import add_person
from slake.ground.problems import DoesNotFit, MovedOn, Problem
from slake.records.models import Action, Lot, Person, StockMove
from slake.records.which import using


def test_the_same_entry_twice_happens_once(first_day, entry):
    shell = first_day[0]
    once = entry(id="stock-1")
    first, second = move_stock(once, shell.pk, "100", "came in"), move_stock(once, shell.pk, "100", "came in")
    assert first.pk == second.pk
    assert stock_g(shell) == 2100


def test_an_entry_id_used_for_something_else_is_refused(first_day, entry):
    used = entry(id="both")
    add_person(used, "first helper")
    with pytest.raises(Problem, match="already used"):
        move_stock(used, first_day[0].pk, "1", "came in")


def test_half_a_set_of_lots_is_never_written(databases, entry):
    with pytest.raises(Problem):
        take_lots(entry(), [{"ingredient": "guar"}, {"ingredient": "alginate", "sieve_um": "nan"}])
    assert not Lot.objects.exists()
    assert not Action.objects.exists()


def test_two_tabs_on_one_lot_the_second_is_told(first_day, entry):
    shell = first_day[0]
    describe_lot(entry(), shell.pk, {"moisture_percent": "1,5"}, revision=1)
    with pytest.raises(MovedOn):
        describe_lot(entry(), shell.pk, {"moisture_percent": "9"}, revision=1)
    assert Lot.objects.get(pk=shell.pk).moisture_percent == 1.5


def test_stock_is_never_silently_negative(first_day, entry):
    with pytest.raises(DoesNotFit, match="2000 g left and this takes 2001 g"):
        move_stock(entry(), first_day[0].pk, "2001", "spilled")
    assert stock_g(first_day[0]) == 2000
    assert stock_g(first_day[1]) is None


def test_the_file_itself_refuses_to_erase_or_change(first_day):
    move = StockMove.objects.first()
    for sql in (
        "DELETE FROM records_stockmove",
        "UPDATE records_stockmove SET grams = 1",
        "DELETE FROM records_action",
    ):
        with pytest.raises((IntegrityError, OperationalError)), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(sql)
    assert StockMove.objects.get(pk=move.pk).grams == 2000


def test_own_bench_and_sample_workshop_are_never_mixed(first_day, entry):
    with using("sample"):
        add_person(entry(), "second helper")
        assert not Lot.objects.exists()
    assert not Person.objects.exists()


def test_an_entry_needs_an_id_that_fits(entry):
    with pytest.raises(Problem):
        entry(id="x" * 65)
    assert len(Entry(id="x" * 64, at=entry().at).part("amount12")) == 64


@pytest.mark.parametrize("name", ["", "   ", "x" * 81])
def test_names_have_a_stated_limit(databases, entry, name):
    with pytest.raises(Problem):
        add_person(entry(), name)


@pytest.mark.parametrize("name", ["Ελένη", "安", "x" * 80, "'; DROP TABLE records_lot; --", "<b>bold</b>"])
def test_text_of_any_language_up_to_the_limit(databases, entry, name):
    assert add_person(entry(), name).name == name
