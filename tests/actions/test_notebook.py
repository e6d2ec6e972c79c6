import pytest

from slake.actions.lots import take_lots
from slake.actions.notebook import NotRead, look_at, take_in
from slake.actions.proposing import propose_next, tried
from slake.actions.setting_up import describe_machine, set_brief
from slake.ground.problems import Problem
from slake.records.models import Action, Batch, Reading
from slake.records.values import evidence_of

FIVE = """shell 300, guar 2, alginate 4, water 190 - too runny
shell 300, guar 4, alginate 6, water 110 - stalled
shell 300, guar 3, alginate 4, water 150 - fell at layer 9; cone 21 mm at 60 min
shell 300, guar 3, alginate 5, water 135 - good but cracked
shell 300, guar 3, alginate 5, water 142 - good; cone 17,5 mm at 60 min
"""


def test_five_lines_become_five_batches_drawn_over_water_and_gum(first_day, entry):
    describe_machine(entry(), {"nozzle_mm": "2", "barrel_mm": "60"})
    set_brief(entry(), {"cone_depth_mm": ("14", "20"), "layers_stood": ("30", ""), "crack_grade": ("", "1")})
    taken = take_in(entry(id="five"), FIVE)
    assert [b.number for b in taken.batches] == [1, 2, 3, 4, 5]
    drawn = tried()
    assert [t.outcome for t in drawn] == ["too runny", "stalled", "fell at layer 9", "good but cracked", "good"]
    assert drawn[0].water_per_dry > drawn[4].water_per_dry > drawn[1].water_per_dry
    assert all(0 < t.thickener_per_100_water < 5 for t in drawn)
    broke = [{line for line, held, _ in t.lines if held is False} for t in drawn]
    assert any("layers" in line for line in broke[2]) and any("crack" in line for line in broke[3])
    assert broke[4] == set()
    answer = propose_next(entry()).answer
    assert answer["chance"][0] <= answer["chance"][1] <= answer["chance"][2]
    assert drawn[1].water_per_dry < answer["water_per_dry"] < drawn[0].water_per_dry


def test_the_same_text_twice_is_taken_in_once(first_day, entry):
    once = entry(id="five")
    take_in(once, FIVE)
    take_in(once, FIVE)
    assert Batch.objects.count() == 5
    assert Reading.objects.count() == 2


def test_one_bad_line_and_nothing_is_kept(first_day, entry):
    with pytest.raises(NotRead) as caught:
        take_in(entry(), FIVE + "shell 300, guar nan, water 140 - good\n")
    assert [t.number for t in caught.value.preview.troubles] == [6]
    assert not Batch.objects.exists()
    assert not Action.objects.filter(name="take in notebook").exists()


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("shell 300, guar 3 - good", "water"),
        ("shell 300, water 100 - purple", "not understood"),
        ("shell 300, water 100 - good and stalled", "cannot both be"),
        ("shell 300, water 100 - good; cone 990 mm", "cone"),
        ("shell 300, water 100 - good; cone 2 kg", "mm"),
        ("shell -300, water 100 - good", ""),
        ("shell 300, shell 200, water 100 - good", "twice"),
        ("shell 300, moonlight 3, water 100 - good", "moonlight"),
        ("water 100 - good", "nothing but water"),
        ("just some words", ""),
    ],
)
def test_what_cannot_be_read_says_why_in_one_sentence(first_day, line, why):
    seen = look_at(line)
    assert len(seen.problems) == 1
    assert why in seen.problems[0] and "\n" not in seen.problems[0]


def test_a_word_is_told_which_lot_it_means(first_day, entry):
    text = "house powder 300, guar 3, water 140 - good"
    assert look_at(text).words_unknown == ("house powder",)
    taken = take_in(entry(), text, {"house powder": first_day[0].pk})
    assert taken.batches[0].amounts.first().lot == first_day[0]


def test_text_beyond_the_limit_is_refused_in_one_sentence(first_day):
    with pytest.raises(Problem, match="200001 characters"):
        look_at("x" * 200_001)
    with pytest.raises(Problem, match="no line yet"):
        look_at("  \n ")


def test_a_table_of_another_trade_goes_through_the_same_door(databases, entry):
    """Headings with units, kg per m3, slump in cm; slump 0 is kept as 0 and read as "above"."""
    names = ["cement", "slag", "sand"]
    take_lots(entry(), [{"ingredient": n, "role": "filler", "moisture_percent": "0"} for n in names])
    text = (
        "No\tcement (kg/m3)\tslag (kg/m3)\tsand (kg/m3)\twater (kg/m3)\tslump (cm)\tflow (cm)\n"
        "1\t273\t82\t680\t210\t23\t62\n2\t163\t149\t716\t180\t0\t20\n"
    )
    assert look_at(text).ignored == ("flow",)
    taken = take_in(entry(), text)
    kinds = [evidence_of(b.readings.get()).kind.value for b in taken.batches]
    assert kinds == ["exact", "above"]
