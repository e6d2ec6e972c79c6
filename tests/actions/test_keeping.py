from slake.actions.heating import log_heat
from slake.actions.keeping import deadlines, is_raw
from slake.actions.lots import take_lots
from slake.actions.mixing import begin_batch, start_clock
from slake.actions.proposing import propose_next


def test_raw_food_waste_stays_raw_until_its_heat_meets_the_rule(first_day, entry):
    _, guar, _ = first_day
    (grain,) = take_lots(entry(), [{"ingredient": "spent grain", "dried": "no"}])
    assert is_raw(grain) and not is_raw(guar)
    log_heat(entry(), grain.pk, [{"minutes": "1", "temperature_c": "40", "state": "wet"}])
    grain.refresh_from_db()
    assert is_raw(grain)


def test_the_label_counts_from_first_water_and_cold_outlasts_warm(first_day, entry):
    batch = begin_batch(entry(), propose_next(entry()).pk, {"dry_g": "300"})
    assert deadlines(batch) is None
    batch = start_clock(entry(5), batch.pk)
    due = deadlines(batch)
    assert batch.first_water_at < due.print_by <= due.discard_warm_by < due.discard_by
