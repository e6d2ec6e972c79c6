"""Long lists come a page at a time: every row is reached by the links, none twice."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest

from slake.records.models import Lot

NOW = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)


@pytest.fixture
def many_lots(databases):
    names = [f"shell {n:03}" for n in range(120)]
    Lot.objects.bulk_create(Lot(name=name, ingredient="mussel_shell", role="filler", since=NOW) for name in names)
    return set(names)


def followed(client, link: str) -> list[str]:
    """Names in the order seen, following the links called `link`, from the newest page on."""
    url, seen = "/lots/" if link == "Older" else "/lots/?before=0", []
    for _ in range(5):
        page = client.get(url).content.decode()
        seen += re.findall(r">(shell \d{3})</a>", page)
        found = re.search(rf'href="(\?[a-z]+=\d+)">{link}<', page)
        if found is None:
            return seen
        url = f"/lots/{found[1]}"
    raise AssertionError("the links never end")


def test_every_row_is_reached_once(client, many_lots):
    seen = followed(client, "Older")
    assert len(seen) == 120 and set(seen) == many_lots
    assert seen == sorted(seen, reverse=True)


def test_a_newer_page_is_the_one_come_from(client, many_lots):
    first = client.get("/lots/").content.decode()
    older = re.search(r'href="(\?before=\d+)">Older<', first)[1]
    back = re.search(r'href="(\?after=\d+)">Newer<', client.get(f"/lots/{older}").content.decode())[1]
    assert re.findall(r">(shell \d{3})</a>", client.get(f"/lots/{back}").content.decode()) == re.findall(
        r">(shell \d{3})</a>", first
    )


@pytest.mark.parametrize("typed", ["before=", "before=x", "before=-1", "before=9999999999999", "after=x", "before=0"])
def test_an_address_typed_wrong_shows_the_newest(client, many_lots, typed):
    assert "shell 119" in client.get(f"/lots/?{typed}").content.decode()
