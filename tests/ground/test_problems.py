import pickle

import pytest

from slake.ground.problems import DoesNotFit, NotANumber, NotEnoughEvidence, OutsideRange, Problem


@pytest.mark.parametrize(
    "problem",
    [
        Problem("a sentence"),
        NotANumber("water", typed="wet", do="type a number"),
        OutsideRange("water", got=3, low=0, high=2, do="weigh again"),
        NotEnoughEvidence("a range", have=1, need=2, do="read twice"),
        DoesNotFit("parts do not sum"),
    ],
)
def test_a_problem_comes_whole_through_another_process(problem):
    back = pickle.loads(pickle.dumps(problem))
    assert type(back) is type(problem) and str(back) == str(problem) and vars(back) == vars(problem)
