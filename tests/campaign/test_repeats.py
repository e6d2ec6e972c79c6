"""Several readings of one test and batch, each with its age and instrument; and readings a lab declares as data."""

from __future__ import annotations

import math

import numpy as np
import pytest

from slake.bench.own import OwnReading, declared
from slake.bench.shelf import all_tests, lend
from slake.campaign import Lot, Notebook
from slake.campaign.belief import forecast, weights
from slake.campaign.gauges import fitting, gauge, known_names
from slake.campaign.layout import Look, table
from slake.ground.problems import Problem

LOTS = {"shell": Lot("mussel shell"), "guar": Lot("guar gum"), "alginate": Lot("sodium alginate")}
BRIEF = {"cone_depth_mm": (11, 17), "shrinkage_percent": (None, 6)}
MIX = {"shell": 0.64, "guar": 0.006, "alginate": 0.014, "water": 0.34}


def book(brief=None, *, times=None):
    made = Notebook(lots=LOTS, brief=brief or BRIEF)
    made.scatter_times.update(times or {})
    return made


def sd_of(notebook, channel, calibrations=()):
    belief = notebook.belief()
    row = np.array([[MIX[key] for key in notebook.keys]])
    look = Look(channel=channel, row=0, batch=-1, machine="this printer", calibrations=calibrations)
    return float(np.sqrt(forecast(belief, table(belief.layout, row), [look]).cov[0, 0, 0]))


def test_repeats_of_one_batch_teach_more_than_one_reading_and_less_than_as_many_batches():
    once, twice, apart = book(), book(), book()
    once.add(MIX, readings={"shrinkage_percent": 4.0})
    twice.add(MIX, readings={"shrinkage_percent": [(4.0, None), (4.1, None), (3.9, None)]})
    for value in (4.0, 4.1, 3.9):
        apart.add(MIX, readings={"shrinkage_percent": value})
    assert sd_of(apart, "shrinkage") < sd_of(twice, "shrinkage") < sd_of(once, "shrinkage")


def test_every_reading_keeps_its_own_age_and_teaches_how_the_paste_ages():
    steady, stiffens = book(), book()
    steady.add(MIX, readings={"cone_depth_mm": [(15.0, 10), (15.0, 90)]})
    stiffens.add(MIX, readings={"cone_depth_mm": [(15.0, 10), (9.0, 90)]})
    ages = [[s.look.log_age for s in b.belief().sites] for b in (steady, stiffens)]
    assert ages[0] == ages[1] == [pytest.approx(math.log(10 / 60)), pytest.approx(math.log(90 / 60))]
    learned = []
    for notebook in (steady, stiffens):
        belief = notebook.belief()
        learned.append(weights(belief)[0][belief.layout.places["age yield stress"]])
    assert learned[1] > learned[0] + 0.05


def test_what_is_explained_is_the_reading_nearest_to_an_hour():
    notebook = book()
    notebook.add(MIX, readings={"cone_depth_mm": [(25.0, 5), (15.0, 55), (8.0, 240)]})
    assert next(v for v in notebook.explain(0) if v.name == "cone_depth_mm").why == "read 15 mm"


def test_two_cones_share_the_factor_but_not_their_own_part():
    """After many readings with one cone its own error is known with the common one; another cone's own part is not."""
    notebook = book()
    for depth in (14.0, 15.0, 14.5, 15.5, 14.2, 15.1):
        notebook.add(MIX, readings={"cone_depth_mm": (depth, 60, "black cone")})
    notebook.add(MIX, readings={"cone_depth_mm": (15.0, 60, "new cone")})
    gauge = notebook.brief.line("cone_depth_mm").gauge
    same, other, none = (gauge.shared(name) for name in ("black cone", "new cone", ""))
    assert len(same) == len(other) == len(none) + 1
    assert set(none) == set(same) & set(other)
    assert math.hypot(*same.values()) == pytest.approx(math.hypot(*none.values()))
    known, less = (sd_of(notebook, "yield stress", tuple(one.items())) for one in (same, other))
    assert known < less


def test_readings_of_the_next_batch_are_foretold_with_the_instrument_in_use():
    notebook = book()
    notebook.add(MIX, readings={"cone_depth_mm": (15.0, 60, "black cone")})
    line = notebook.aim().looks[[one.name for one in notebook.brief.lines].index("cone_depth_mm")]
    assert "cone:black cone" in dict(line.calibrations)


def test_own_scatter_widens_and_narrows_what_a_reading_says():
    found = []
    for times in (0.5, 1.0, 3.0):
        notebook = book(times={"shrinkage_percent": times})
        notebook.add(MIX, readings={"shrinkage_percent": [4.0, 4.2]})
        notebook.add(MIX, readings={"shrinkage_percent": [(4.0, None), (4.2, None)]})
        found.append(sd_of(notebook, "shrinkage"))
        assert len(notebook.belief().sites) == 3
    assert found[0] < found[1] < found[2]


@pytest.mark.parametrize(
    "given", [(4.0, 60, "a", "b"), (4.0, 60, 7), [(4.0, 60), (float("nan"), 60)], [(4.0, -1)], [()], ("many", 60)]
)
def test_readings_given_badly_are_one_sentence_and_add_nothing(given):
    notebook = book()
    with pytest.raises(Problem) as said:
        notebook.add(MIX, readings={"shrinkage_percent": given})
    assert "\n" not in str(said.value) and not notebook.batches


OWN = (
    OwnReading(key="flow_cm", title="Flow", unit="cm", floor=20.0, ceiling=100.0),
    OwnReading(key="taste", title="Taste", unit="points", floor=-5.0, ceiling=5.0, scatter=0.5),
    OwnReading(key="holes", title="Holes", unit="per dm2", floor=0.0),
    OwnReading(key="smell", title="Smell", unit="", scatter=1.0),
)


@pytest.fixture
def own():
    lend(lambda: {one.key: declared(one) for one in OWN})
    yield
    lend(None)


@pytest.mark.parametrize(
    ("name", "value", "sides"),
    [
        ("flow_cm", 20.0, (False, True)),
        ("flow_cm", 100.0, (True, False)),
        ("flow_cm", 45.0, (True, True)),
        ("taste", -5.0, (False, True)),
        ("taste", 5.0, (True, False)),
        ("taste", 0.0, (True, True)),
        ("holes", 0.0, (False, True)),
        ("smell", -3.0, (True, True)),
    ],
)
def test_the_end_of_a_declared_scale_only_says_at_most_or_at_least(own, name, value, sides):
    low, high, soft = fitting(name, [value, 1.0 if name != "flow_cm" else 30.0]).latent(value)
    assert (math.isfinite(low), math.isfinite(high)) == sides
    assert 0 < soft < 10


@pytest.mark.parametrize("one", OWN, ids=lambda one: one.key)
def test_a_lab_s_own_number_is_learned_foretold_and_proposed_for(own, one):
    low = -5.0 if one.floor is None else one.floor
    notebook = book(brief={one.key: (low + 1, low + 6), "shrinkage_percent": (None, 6)})
    for step, value in enumerate((low, low + 2, low + 4, low + 5)):
        water = 0.32 + 0.02 * step
        mix = {**MIX, "water": water, "shell": 1 - water - 0.02}
        notebook.add(mix, readings={one.key: [(value, 30), (value, 40)]})
    proposal = notebook.propose()
    span = proposal.predictions[one.key]
    assert all(math.isfinite(x) for x in (span.low, span.mid, span.high)) and span.low < span.high
    assert 0 < proposal.chance.mid < 1


def test_every_declared_reading_of_a_batch_can_be_told(own):
    """A usual value of each test, whatever it informs, and the same again: belief and a proposal come out."""
    notebook = book()
    for test in all_tests().values():
        if test.read_of("batch"):
            top = test.ceiling if math.isfinite(test.ceiling) else 100.0
            notebook.add(MIX, readings={test.notebook_name: [(usual_of(test, top), 60)] * 2})
    assert len(notebook.batches) > 8
    assert all(math.isfinite(x) for x in notebook.belief().fit.mean)
    assert 0 <= notebook.propose().chance.mid <= 1


def usual_of(test, top):
    """A value the test takes: the first of some between its ends."""
    low = max(test.floor, -100.0)
    for share in (0.1, 0.03, 0.3, 0.01, 0.5, 0.003, 0.7):
        value = low + share * (top - low)
        try:
            fitting(test.notebook_name, [value])
        except Problem:
            continue
        return value
    raise AssertionError(f"{test.id} takes no value between {low} and {top}")


def test_every_name_a_brief_may_use_has_a_gauge_without_a_value():
    for name in known_names():
        found = gauge(name)
        assert found.name == name and found.channel.misfit > 0
        assert all(sd > 0 for sd in found.shared("this one").values())


def test_many_added_at_once_are_the_same_as_one_by_one():
    lots = {"shell": "mussel shell", "gum": "guar"}
    rows = [
        {
            "fractions": {"shell": 0.99 - water, "gum": 0.01, "water": water},
            "outcome": "good",
            "readings": {"cone_depth_mm": [(20 - 30 * (0.34 - water), 60), (19 - 30 * (0.34 - water), 90)]},
        }
        for water in (0.28, 0.30, 0.32, 0.34)
    ]
    one_by_one, at_once = (Notebook(lots, {"cone_depth_mm": (10, 16)}) for _ in range(2))
    for row in rows:
        one_by_one.add(row["fractions"], row["outcome"], row["readings"])
    at_once.add_all(rows)
    assert len(at_once.batches) == 4
    first, second = one_by_one.propose(), at_once.propose()
    assert first.fractions == second.fractions and first.chance == second.chance
