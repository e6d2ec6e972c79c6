"""How the next batch is chosen: the chance that all lines hold, correlated; what its readings would teach; and ranges
that widen away from what was mixed.
"""

from __future__ import annotations

import os
import subprocess
import sys

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from slake.campaign import Lot, Notebook
from slake.campaign.belief import forecast, sight
from slake.campaign.chances import all_hold, line_chances, of_the_recipe
from slake.campaign.layout import table
from slake.campaign.lookahead import Question, batches_to_expect
from slake.campaign.proposal import predicted
from tests.campaign.test_notebook import BRIEF, LOTS, MIX, wetter

CORRELATED = np.array([[1.0, 0.85, 0.1], [0.85, 1.2, 0.2], [0.1, 0.2, 0.5]])
WINDOWS = np.array([(0.4, 2.0), (0.5, np.inf), (-np.inf, 0.4)])


def told(batches: int = 3) -> Notebook:
    book = Notebook(lots=LOTS, brief=BRIEF)
    for n in range(batches):
        readings = {"cone_depth_mm": (14.0 + n, 60), "layers_stood": 28.0 - n, "shrinkage_percent": 4.0}
        book.add(wetter(0.01 * n), outcome="good", readings=readings)
    return book


def test_the_chance_that_all_lines_hold_is_that_of_the_correlated_lines():
    """Against the distribution function of scipy, by inclusion and exclusion over the corners of the box."""
    mean = np.array([0.2, 0.3, -0.1])
    cdf = multivariate_normal(mean, CORRELATED).cdf
    ends = [(max(low, -40.0), min(high, 40.0)) for low, high in WINDOWS]
    corners = [(a, b, c) for a in (0, 1) for b in (0, 1) for c in (0, 1)]
    exact = sum((-1) ** (3 - sum(at)) * cdf([ends[k][at[k]] for k in range(3)]) for at in corners)
    found = float(all_hold(mean[None, :], CORRELATED[None, :, :], WINDOWS, 4096)[0])
    assert found == pytest.approx(exact, abs=0.002)
    apart = all_hold(mean[None, :], np.diag(np.diag(CORRELATED))[None, :, :], WINDOWS, 4096)[0]
    assert abs(apart - exact) > 0.02, "lines taken apart would say something else"


def test_lines_that_hold_together_are_likelier_together_than_apart():
    """Layers and cone ask for the same stiffness: the chance of both is no product."""
    book = told()
    belief, aim = book.belief(), book.aim()
    rows = np.array([[m[k] for k in book.keys] for m in (MIX, wetter(0.03), wetter(-0.02))])
    view = of_the_recipe(forecast(belief, table(belief.layout, rows), aim.looks))
    together, each = all_hold(view.mean, view.cov, aim.windows, 1024), line_chances(view, aim.windows)
    assert (together <= each.min(1) + 0.01).all()
    assert np.abs(together - each.prod(1)).max() > 0.02


def expected(reading_sd: float, readable: float = 1.0) -> np.ndarray:
    """Batches to expect until all lines hold, for a handful of recipes, where readings scatter so much."""
    book = told()
    belief, aim = book.belief(), book.aim()
    rows = np.array([[wetter(by)[k] for k in book.keys] for by in np.linspace(-0.06, 0.08, 15)])
    sd = np.full(len(aim.looks), reading_sd)
    question = Question(looks=aim.looks, windows=aim.windows, reading_sd=sd)
    seen, ones = sight(belief, rows, aim.looks), np.ones(len(rows))
    return batches_to_expect(belief, question, (seen, seen), readable * ones, (ones, ones))


def test_a_batch_is_worth_more_the_more_its_readings_teach():
    sharp, blunt, silent = expected(0.05), expected(0.5), expected(1e3)
    assert (sharp <= blunt + 0.01).all() and (blunt <= silent + 0.01).all()
    assert (silent - sharp).max() > 0.1
    assert (expected(0.05, readable=0.0) >= sharp - 1e-9).all(), "what stalls or puddles teaches nothing here"


def test_of_two_with_one_chance_the_one_that_teaches_more_is_mixed():
    """Where nothing is read, only the chance counts; where it is, some recipe of less chance may be the better one."""
    blind, seeing = expected(1e3), expected(0.05)
    assert (seeing - blind).min() < 0 and not np.allclose(np.diff(seeing - blind), 0, atol=1e-3)


def width(book: Notebook, mix: dict[str, float], name: str) -> float:
    belief = book.belief()
    view = forecast(belief, table(belief.layout, np.array([[mix[k] for k in book.keys]])), book.aim().looks)
    around = predicted(book.brief, belief, view)[name]
    return float(np.log(around.high / around.low))


@pytest.mark.parametrize("name", ["cone_depth_mm", "layers_stood", "shrinkage_percent"])
def test_away_from_what_was_mixed_ranges_widen(name):
    book = told(6)
    near, far, farther = (width(book, mix, name) for mix in (wetter(0.02), wetter(0.15), wetter(0.25)))
    assert near < far < farther
    assert near < width(Notebook(lots=LOTS, brief=BRIEF), wetter(0.02), name), "and near it readings narrow them"


def test_what_was_never_mixed_with_that_much_of_it_is_named():
    lots = {**LOTS, "grain": Lot("spent grain")}
    book = Notebook(lots=lots, brief=BRIEF, bounds={"grain": (0.15, 0.25), "shell": (0.1, 0.4)})
    book.add({**MIX, "grain": 0.0}, readings={"cone_depth_mm": (14.0, 60)})
    book.add({**wetter(), "grain": 0.0}, readings={"cone_depth_mm": (17.0, 60)})
    given = book.propose()
    assert given.fractions["grain"] >= 0.15 and "grain" in given.outside
    assert any("grain" in sentence for sentence in given.why)


def test_it_runs_on_one_thread_and_asks_for_no_heavy_framework():
    """In a process of its own, as the command starts: one thread of linear algebra; numpy and scipy, no more."""
    program = (
        "import sys, slake.cli as c\n"
        "sys.argv = ['slake', '--version']\n"
        "try: c.main()\nexcept SystemExit: pass\n"
        "from slake.campaign import Notebook; Notebook(lots={'shell': 'mussel shell'}).propose()\n"
        "from threadpoolctl import threadpool_info\n"
        "print(max([p['num_threads'] for p in threadpool_info() if p['user_api'] == 'blas']))\n"
        "print(sorted({m.split('.')[0] for m in sys.modules} & {'torch', 'sklearn', 'jax', 'pandas', 'django'}))\n"
    )
    env = {key: value for key, value in os.environ.items() if not key.startswith(("OPENBLAS", "OMP", "DJANGO"))}
    said = subprocess.run([sys.executable, "-c", program], env=env, capture_output=True, text=True, check=True)
    assert said.stdout.split()[-2:] == ["1", "[]"], said.stdout
