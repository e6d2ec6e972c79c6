"""80 % ranges against the truth of made-up wastes whose forms are not the belief's (toys.py), all properties pooled."""

import numpy as np
import pytest

from slake.campaign.belief import forecast
from slake.campaign.layout import table
from slake.ground.evidence import Z80
from tests.campaign.toys import FAMILIES, first_hit, mixed_into, notebook, share_of, toy, truth, within


def distances(made, batches, rng):
    """How many sd the truth lies from the forecast, for random recipes of a shape that can be read."""
    book = notebook(made)
    for row in within(*made.limits(), batches, rng):
        mixed_into(book, made, row, rng)
    rows = within(*made.limits(), 80, rng)
    true = truth(made, rows)
    rows = rows[(true["cone_depth_mm"] > 6) & (true["layers_stood"] > 0)]  # what prints can be read
    true, belief, aim = truth(made, rows), book.belief(), book.aim()
    view = forecast(belief, table(belief.layout, rows), aim.looks)
    found = []
    for k, line in enumerate(book.brief.lines):
        if line.name != "crack_grade":
            latent = np.array([line.gauge.window(v, None)[line.gauge.falls] for v in true[line.name]])
            found.extend((latent - view.mean[:, k]) / np.sqrt(view.cov[:, k, k]))
    return found


def test_ranges_hold_the_truth_about_eight_times_in_ten():
    found = []
    for family in FAMILIES:
        for number in range(300, 306):
            found += distances(toy(family, number), 10, np.random.default_rng(number))
    assert len(found) > 1500
    assert 0.70 <= np.mean(np.abs(found) < Z80) <= 0.92


@pytest.mark.parametrize("family", FAMILIES)
def test_a_good_recipe_comes_in_far_fewer_batches_than_at_random(family):
    """At random, a share of about 2 % takes about 34 batches in the middle: ln 0.5 / ln(1 - share)."""
    wastes = [toy(family, number) for number in range(400, 405)]
    at_random = np.median([np.log(0.5) / np.log(1 - share_of(made)) for made in wastes])
    assert np.median([first_hit(made, 1, most=12) for made in wastes]) < 0.4 * at_random
