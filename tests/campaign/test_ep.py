"""Expectation propagation against closed forms and numerical integration, computed here by other means."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import dblquad, quad
from scipy.stats import multivariate_normal, norm

from slake.campaign.ep import Sites, fit

INF = np.inf


def sites(*rows):
    low, high, soft, sure = (np.array(c, dtype=float) for c in zip(*rows, strict=True))
    return Sites(low=low, high=high, soft=soft, sure=sure)


def test_exact_readings_equal_the_closed_form():
    prior = np.array([[2.0, 0.6, 0.1], [0.6, 1.0, -0.2], [0.1, -0.2, 0.5]])
    mean, read, sd = np.array([0.3, -1.0, 2.0]), np.array([1.0, 0.2, 1.1]), np.array([0.4, 0.2, 0.7])
    found = fit(mean, prior, sites(*((y, y, s, 1.0) for y, s in zip(read, sd, strict=True))))
    gain = prior @ np.linalg.inv(prior + np.diag(sd**2))
    assert found.mean == pytest.approx(mean + gain @ (read - mean), abs=1e-9)
    assert found.cov == pytest.approx(prior - gain @ prior, abs=1e-9)
    evidence = multivariate_normal(mean, prior + np.diag(sd**2)).logpdf(read)
    assert found.log_evidence == pytest.approx(evidence, abs=1e-9)


@pytest.mark.parametrize(
    ("low", "high", "sure"), [(0.5, INF, 1.0), (-INF, -0.7, 1.0), (0.2, 0.9, 1.0), (1.0, INF, 0.6)]
)
def test_one_soft_bound_has_the_moments_of_numerical_integration(low, high, sure):
    m, v, soft = 0.1, 1.3, 0.3

    def weight(f):
        inside = norm.cdf((high - f) / soft) - norm.cdf((low - f) / soft)
        return norm.pdf(f, m, np.sqrt(v)) * (sure * inside + 1 - sure)

    total = quad(weight, -12, 12, points=[0, 1])[0]
    mean = quad(lambda f: f * weight(f), -12, 12, points=[0, 1])[0] / total
    var = quad(lambda f: (f - mean) ** 2 * weight(f), -12, 12, points=[0, 1])[0] / total
    found = fit(np.array([m]), np.array([[v]]), sites((low, high, soft, sure)))
    assert found.mean[0] == pytest.approx(mean, abs=2e-4)
    if sure == 1.0:
        assert found.cov[0, 0] == pytest.approx(var, abs=4e-4)
    else:
        assert found.cov[0, 0] <= v
    assert found.log_evidence == pytest.approx(np.log(total), abs=2e-4)


def test_two_correlated_bounds_are_close_to_numerical_integration():
    prior, mean = np.array([[1.0, 0.7], [0.7, 1.5]]), np.array([0.0, 0.4])
    density = multivariate_normal(mean, prior).pdf

    def weight(y, x):
        return density([x, y]) * norm.cdf((x - 0.3) / 0.2) * norm.cdf((0.5 - y) / 0.4)

    total = dblquad(weight, -6, 6, -6, 6, epsabs=1e-6)[0]
    want = dblquad(lambda y, x: x * weight(y, x), -6, 6, -6, 6, epsabs=1e-6)[0] / total
    found = fit(mean, prior, sites((0.3, INF, 0.2, 1.0), (-INF, 0.5, 0.4, 1.0)))
    assert found.settled
    assert found.mean[0] == pytest.approx(want, abs=0.02)
    assert found.log_evidence == pytest.approx(np.log(total), abs=0.02)


def test_no_sites_leave_the_prior():
    found = fit(
        np.zeros(0),
        np.zeros((0, 0)),
        sites((0, 0, 1, 1)).__class__(**dict.fromkeys(("low", "high", "soft", "sure"), np.zeros(0))),
    )
    assert found.mean.size == 0 and found.log_evidence == 0


bound = st.floats(-60, 60)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(bound, st.floats(0, 30), st.floats(1e-3, 2), st.sampled_from([0.5, 0.9, 1.0])), min_size=1, max_size=6
    )
)
def test_contradictions_never_give_nan(rows):
    n = len(rows)
    prior = 0.9 * np.ones((n, n)) + 0.1 * np.eye(n)
    given_sites = sites(*((low, low + wide, soft, sure) for low, wide, soft, sure in rows))
    found = fit(np.zeros(n), prior, given_sites)
    assert np.isfinite(found.mean).all() and np.isfinite(found.cov).all()
    assert (np.diag(found.cov) > -1e-9).all()
