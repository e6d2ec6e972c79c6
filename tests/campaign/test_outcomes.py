import pytest

from slake.campaign.outcomes import Ending, read_outcome
from slake.ground.problems import Problem


@pytest.mark.parametrize(
    ("typed", "endings", "layer"),
    [
        ("too runny", {Ending.TOO_RUNNY}, None),
        ("PUDDLED", {Ending.PUDDLED}, None),
        ("would not extrude", {Ending.WOULD_NOT_EXTRUDE}, None),
        ("Fell at layer 9", {Ending.FELL}, 9),
        ("fell at layer 12, foot bulged", {Ending.FELL, Ending.FOOT_BULGED}, 12),
        ("good but cracked", {Ending.GOOD, Ending.CRACKED}, None),
        ("printed well", {Ending.PRINTED_WELL}, None),
        ("kept oozing and cracked", {Ending.KEPT_OOZING, Ending.CRACKED}, None),
        ("clogged", {Ending.CLOGGED}, None),
        ("tore", {Ending.TORE}, None),
        ("good; still drying", {Ending.GOOD, Ending.DRYING}, None),
        ("still wet", {Ending.DRYING}, None),
        ("", set(), None),
    ],
)
def test_words_are_read(typed, endings, layer):
    found = read_outcome(typed)
    assert set(found.endings) == endings
    assert found.fell_at == layer


@pytest.mark.parametrize(
    "typed", ["so-so", "goood", "stalled and good", "puddled, stalled", "fell at layer 0", "x" * 400]
)
def test_anything_else_is_one_sentence(typed):
    with pytest.raises(Problem) as said:
        read_outcome(typed)
    assert "\n" not in str(said.value)


@pytest.mark.parametrize(
    ("typed", "endings", "layer"),
    [
        ("soup", {"too runny"}, None),
        ("too soft", {"too runny"}, None),
        ("printed ok", {"printed well"}, None),
        ("fine, cracks", {"good", "cracked"}, None),
        ("leaned over at layer 14", {"fell at layer n", "leaned"}, 14),
        ("collapsed at layer 9", {"fell at layer n"}, 9),
        ("nozzle blocked", {"clogged"}, None),
        ("too stiff", {"would not extrude"}, None),
    ],
)
def test_what_people_also_say(typed, endings, layer):
    said = read_outcome(typed)
    assert ({ending.value for ending in said.endings}, said.fell_at) == (endings, layer)
