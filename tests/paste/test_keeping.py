"""Pot life and discard times: practice, said so, and never the other way round."""

from __future__ import annotations

from slake.paste.keeping import keeping_times


def test_cold_keeps_longer_than_warm_and_raw_no_longer_than_heated() -> None:
    """Common practice, no source: printed within hours, five days cold, mould from day two warm."""
    raw, heated = keeping_times(raw_food_waste=True), keeping_times(raw_food_waste=False)
    for found in (raw, heated):
        assert found.print_within.high < found.discard_warm_s < found.discard_cold_s == 5 * 86400
        assert "no source" in found.words and "mould" in found.words
    assert raw.discard_warm_s < heated.discard_warm_s
    assert "gloves" in raw.words
