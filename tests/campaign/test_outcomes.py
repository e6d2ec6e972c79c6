import pytest

from slake.bench.comparing import Ends
from slake.campaign import Lot, Notebook
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


def test_a_grade_at_the_end_of_its_window_holds_though_it_was_given_as_a_step():
    book = Notebook(lots={"shell": Lot("mussel shell")}, brief={"crack_grade": (None, 1)})
    for grade, ends in ((1, Ends(low=0.5, high=1.5)), (2, Ends(low=1.5, high=2.5))):
        book.add({"shell": 0.7, "water": 0.3}, readings={"crack_grade": (grade, 4320, None, ends)})
    assert [book.explain(n)[0].held for n in (0, 1)] == [True, False]
