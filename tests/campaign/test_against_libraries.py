"""The posterior against libraries that know nothing of slake: scikit-learn where every reading is exact, the ensemble
sampler emcee where bounds and doubtful causes leave no closed form.

In the first the prior is put together by hand from features and expectations, by other code than the layout's.
"""

from __future__ import annotations

import warnings
from dataclasses import replace

import numpy as np
import pytest
from scipy.special import ndtr

from slake.campaign import Lot, Machine, Notebook
from slake.campaign.belief import forecast
from slake.campaign.features import features, log_usual_shrinkage
from slake.campaign.layout import LOCAL, SHARE_LENGTH, SMOOTH_LENGTH, Look, design, table
from slake.campaign.priors import SHRINKAGE
from slake.campaign.remainder import expected_cov

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import emcee
    from sklearn.gaussian_process import GaussianProcessRegressor
    from sklearn.gaussian_process.kernels import RBF, ConstantKernel, DotProduct

LOTS = {
    "shell": Lot("mussel shell", moisture=(0.02, 0.0), water_demand=(0.35, 0.0)),
    "guar": Lot("guar gum", moisture=(0.1, 0.0)),
    "alginate": Lot("sodium alginate", moisture=(0.1, 0.0)),
}
TRIED = (
    {"shell": 0.63, "guar": 0.007, "alginate": 0.010, "water": 0.353},
    {"shell": 0.70, "guar": 0.006, "alginate": 0.014, "water": 0.280},
    {"shell": 0.58, "guar": 0.011, "alginate": 0.009, "water": 0.400},
    {"shell": 0.66, "guar": 0.004, "alginate": 0.012, "water": 0.324},
    {"shell": 0.61, "guar": 0.009, "alginate": 0.016, "water": 0.365},
)
NEW = (
    {"shell": 0.64, "guar": 0.008, "alginate": 0.011, "water": 0.341},
    {"shell": 0.69, "guar": 0.005, "alginate": 0.010, "water": 0.295},
    {"shell": 0.55, "guar": 0.010, "alginate": 0.014, "water": 0.426},
)
FAR = 1e8
WALKERS, BURNT, STEPS = 64, 500, 3000


def told(brief, batches):
    book = Notebook(lots=LOTS, brief=brief, machine=Machine(nozzle_mm=2, barrel_mm=60))
    for mix, more in zip(TRIED, batches, strict=True):
        book.add(mix, **more)
    return book


def rows_of(book, mixes):
    return np.array([[mix[key] for key in book.keys] for mix in mixes])


def test_exact_readings_of_one_property_against_a_gaussian_process():
    """Closed form on both sides: equal to a millionth."""
    read = (4.1, 2.2, 7.9, 3.3, 5.0)
    book = told({"shrinkage_percent": (None, 7)}, [{"readings": {"shrinkage_percent": x}} for x in read])
    belief, space = book.belief(), book.space
    tried, new = rows_of(book, TRIED), rows_of(book, NEW)
    mean, sd = np.array([SHRINKAGE.weight(name) for name in space.names]).T
    smooth, own = (
        size * times
        for size, times in zip((SHRINKAGE.smooth, SHRINKAGE.misfit), belief.scale.of("shrinkage"), strict=True)
    )
    lengths = [FAR if n in LOCAL else sd[i] * SMOOTH_LENGTH.get(n, SHARE_LENGTH) for i, n in enumerate(space.names)]
    moves = sd > 0
    scatter = np.array([site.soft for site in belief.sites])
    noise = own**2 + scatter**2 + own_water(book, belief, tried) ** 2
    kernel = DotProduct(1e-9, "fixed") + ConstantKernel(smooth**2, "fixed") * RBF(np.array(lengths)[moves], "fixed")
    process = GaussianProcessRegressor(kernel, alpha=noise, optimizer=None)
    before = features(space, tried) @ mean + log_usual_shrinkage(space, tried)
    process.fit((features(space, tried) * sd)[:, moves], np.log(read) - before)
    found, spread = process.predict((features(space, new) * sd)[:, moves], return_std=True)
    found = found + features(space, new) @ mean + log_usual_shrinkage(space, new)
    view = forecast(belief, table(belief.layout, new), [Look(channel="shrinkage", row=0, batch=-1)])
    assert view.mean[:, 0] == pytest.approx(found, rel=1e-6)
    assert np.sqrt(view.cov[:, 0, 0] - view.own_var[:, 0, 0]) == pytest.approx(spread, rel=1e-6)


def own_water(book, belief, rows):
    """sd of what an error of 0.8 % in one batch's water does, by a difference of the features."""
    slopes = belief.layout.slopes[belief.layout.weights_of("shrinkage")]
    up, down = rows * np.array([1, 1, 1, 1.005]), rows * np.array([1, 1, 1, 0.995])
    return 0.008 * ((features(book.space, up) - features(book.space, down)) / 0.01) @ slopes


ENDED = (
    {"outcome": "good but cracked", "readings": {"cone_depth_mm": (15.0, 60)}},
    {"outcome": "stalled"},
    {"outcome": "too runny"},
    {"outcome": "would not extrude"},
    {"outcome": "fell at layer 9"},
)
LINES = {"cone_depth_mm": (11, 17), "layers_stood": (30, None), "crack_grade": (None, 1), "ram_force_n": (None, 250)}


def test_bounds_and_doubtful_causes_against_an_ensemble_sampler():
    """Means within a tenth of their own standard deviation, standard deviations within a tenth: some 2,000 independent
    draws leave 2 and 2 %, the rest is what a Gaussian in place of the true, lopsided posterior may cost.
    """
    book = told(LINES, ENDED)
    belief = book.belief()
    layout, sites = belief.layout, belief.sites
    assert sum(s.low != s.high for s in sites) >= 8 and {s.sure for s in sites} > {1.0}
    tab = table(layout, rows_of(book, (*TRIED, *NEW)))
    lines = [replace(look, row=5 + i, batch=100 + i) for i in range(len(NEW)) for look in book.aim().looks]
    looks = [site.look for site in sites] + lines
    seen, constant = design(layout, tab, looks)
    mean, cov = seen @ layout.mean + constant, expected_cov(layout, belief.scale, looks, (tab, seen))
    here = np.arange(len(sites))
    there = np.arange(len(sites), len(looks))
    drawn = sampled(mean[here], cov[np.ix_(here, here)], sites)
    turn = np.linalg.solve(cov[np.ix_(here, here)], cov[np.ix_(here, there)]).T
    left = np.diag(cov)[there] - np.einsum("ij,ji->i", turn, cov[np.ix_(here, there)])
    found = mean[there] + turn @ (drawn.mean(0) - mean[here])
    spread = np.sqrt(left + np.einsum("ij,jk,ik->i", turn, np.cov(drawn.T), turn))
    view = forecast(belief, table(layout, rows_of(book, NEW)), book.aim().looks)
    assert (
        np.abs(view.mean.ravel() - found).max() < 0.1 * spread.min()
        or (np.abs(view.mean.ravel() - found) / spread).max() < 0.1
    )
    assert np.sqrt(np.diagonal(view.cov, axis1=1, axis2=2)).ravel() == pytest.approx(spread, rel=0.1)
    moved = np.abs(found - mean[there]) / np.sqrt(np.diag(cov)[there])
    assert moved.max() > 0.3, "the evidence must say something for this to test anything"


def sampled(mean, cov, sites):
    """Draws of what the sites look at, prior times likelihoods written out."""
    root = np.linalg.cholesky(cov)
    low, high, soft, sure = (
        np.array([getattr(site, name) for site in sites]) for name in ("low", "high", "soft", "sure")
    )
    exact = low == high

    def log_posterior(z):
        f = mean + z @ root.T
        inside = ndtr((high - f) / soft) - ndtr((low - f) / soft)
        bound = np.log(np.maximum(sure * inside + 1 - sure, 1e-300))
        point = -0.5 * ((np.where(exact, low, 0.0) - f) / soft) ** 2
        return -0.5 * (z**2).sum(1) + np.where(exact, point, bound).sum(1)

    sampler = emcee.EnsembleSampler(WALKERS, len(mean), log_posterior, vectorize=True)
    sampler._random = np.random.RandomState(7)
    sampler.run_mcmc(np.random.default_rng(7).normal(size=(WALKERS, len(mean))) * 0.5, BURNT + STEPS)
    return mean + sampler.get_chain(discard=BURNT, thin=5, flat=True) @ root.T
