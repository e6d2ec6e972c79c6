"""What is due on the first page: what a day at the bench forgets, and times that are past."""

from datetime import timedelta

import pytest
from django.utils import timezone

from slake.actions.keeping import deadlines
from slake.actions.setting_up import set_brief
from slake.pages.due import due, keeping_words
from slake.records.models import Batch


@pytest.fixture
def mixed(bench, entry):
    """A batch begun here, its first water so long ago."""

    def it(ago: timedelta) -> Batch:
        row = bench.runny
        Batch.objects.filter(pk=row.pk).update(from_notebook=False, first_water_at=timezone.now() - ago)
        row.refresh_from_db()
        return row

    return it


def addresses() -> list[str]:
    return [line.where for line in due()]


def test_bars_and_crack_grades_of_a_printed_batch_are_due_until_they_are_read_or_begun(mixed, fill, entry):
    batch = mixed(timedelta(days=1))
    set_brief(entry(), {"crack_grade": ("", "1"), "shrinkage_percent": ("", "7"), "mould_first_day": ("5", "")})
    wanted = {f"read/{test}/batch/{batch.pk}/" for test in ("crack_grade", "shrinkage_bar", "mould_watch")}
    assert wanted <= set(addresses())
    fill(f"/read/crack_grade/batch/{batch.pk}/", in_crack_grade="1")
    fill(f"/read/mould_watch/batch/{batch.pk}/", row1__day="1", row1__mould_grade="0")
    left = addresses()
    assert f"read/crack_grade/batch/{batch.pk}/" not in left and f"read/mould_watch/batch/{batch.pk}/" not in left
    assert any(where.endswith("/go-on/") for where in left)


def test_what_nobody_asks_for_and_pieces_of_long_ago_are_not_due(mixed, entry):
    batch = mixed(timedelta(days=1))
    set_brief(entry(), {"cone_depth_mm": ("11", "17")})
    assert not [where for where in addresses() if where.startswith("read/")]
    set_brief(entry(), {"crack_grade": ("", "1")})
    assert f"read/crack_grade/batch/{batch.pk}/" in addresses()
    mixed(timedelta(days=60))
    assert not [where for where in addresses() if where.startswith("read/")]


@pytest.mark.parametrize(
    ("hours", "said", "unsaid"),
    [
        (0.0, "at the latest", "past"),
        (4.1, "(past)", "stood warm"),
        (200.0, "past", "print by"),
    ],
)
def test_a_time_that_is_past_is_said_to_be_past(mixed, client, hours, said, unsaid):
    batch = mixed(timedelta(hours=hours))
    words = keeping_words(deadlines(batch), timezone.now())
    assert said in words and unsaid not in words


def test_a_warm_discard_time_past_is_said_while_the_cold_one_is_not(mixed):
    keeps = deadlines(mixed(timedelta(hours=0)))
    words = keeping_words(keeps, keeps.discard_warm_by + timedelta(minutes=1))
    assert "if it stood warm, discard it: past since" in words and "if cold and covered by" in words
    assert "its latest time is past" in keeping_words(keeps, keeps.discard_by)
