"""The Nile's yearly flow 1871-1970, the textbook series of level models.

Data: statsmodels' packaged copy. Values computed with statsmodels' exact diffuse start, agreeing
with Durbin & Koopman (2001/2012, ch. 2: memory) unless marked otherwise.
"""

import numpy as np
import pytest
import statsmodels.api as sm
from numpy.typing import NDArray
from scipy.optimize import minimize
from statsmodels.tsa.statespace.initialization import Initialization
from statsmodels.tsa.statespace.mlemodel import MLEModel

from pipeline.models.smoothing.state_space import WeekPosterior, solve_weeks, sum_weeks
from pipeline.models.smoothing.week_prior import level_prior, trend_form_prior, trend_prior
from pipeline.models.trend import KendallTrend, fit_trend
from tests.smoothers import draw_series, smooth_here, smooth_there


@pytest.fixture(scope="module")
def flow() -> NDArray[np.float64]:
    return sm.datasets.nile.load_pandas().data["volume"].to_numpy(float)


def fit_level(flow: NDArray, irregular: float, level: float) -> WeekPosterior:
    sums = sum_weeks(np.arange(flow.size), flow, np.full(flow.size, irregular), flow.size)
    return solve_weeks(level_prior(np.full(flow.size - 1, level)), sums)


def test_data_spot_check(flow: NDArray) -> None:
    """Computed from the packaged data."""
    assert flow.size == 100
    assert flow.mean() == pytest.approx(919.35)
    assert list(flow[[27, 28]]) == [1100.0, 774.0]


def test_exact_diffuse_likelihood_and_its_maximum(flow: NDArray) -> None:
    """15098.52, 1469.17, log-likelihood -633.46456: computed, agrees with the book."""

    def loss(log_variance: NDArray) -> float:
        return -fit_level(flow, *np.exp(log_variance)).log_likelihood

    best = minimize(loss, np.log([10_000.0, 1_000.0]), method="Nelder-Mead", tol=1e-9)
    np.testing.assert_allclose(np.exp(best.x), [15098.52, 1469.17], rtol=2e-4)
    assert -best.fun == pytest.approx(-633.46456, abs=1e-5)


def test_smoothed_level_at_the_published_variances(flow: NDArray) -> None:
    """Computed at 15099 and 1469.1."""
    fit = fit_level(flow, 15099.0, 1469.1)
    seen = fit.level[[0, 1, 27, 28, 99]]
    expected = [1111.66832, 1110.85766, 999.58522, 950.93009, 798.37029]
    np.testing.assert_allclose(seen, expected, atol=1e-5)
    np.testing.assert_allclose(fit.level_variance()[[0, -1]], 4032.15794, atol=1e-5)


def test_filtered_level_at_the_published_variances(flow: NDArray) -> None:
    """Prediction for year t + 1 from years up to t: a2 1120 (by hand), a3, a4, P2 to P4."""
    for years, a, p in (
        (1, 1120.0, 16568.1),
        (2, 1140.92784, 9368.83638),
        (3, 1072.79853, 7250.56994),
        (100, 798.37029, 5501.25794),
    ):
        fit = fit_level(flow[:years], 15099.0, 1469.1)
        assert fit.level[-1] == pytest.approx(a, abs=1e-5)
        assert fit.level_variance()[-1] + 1469.1 == pytest.approx(p, abs=1e-5)


def test_trend_equals_the_kalman_smoother_through_gaps(flow: NDArray) -> None:
    """Smoothed level, slope, variance and likelihood of statsmodels, 20 years missing."""
    y = flow.copy()
    y[[*range(20, 35), *range(70, 75)]] = np.nan
    model = sm.tsa.UnobservedComponents(y, "lltrend", use_exact_diffuse=True)
    other = model.smooth([15099.0, 1469.1, 30.0])
    seen = np.flatnonzero(np.isfinite(y))
    sums = sum_weeks(seen, y[seen], np.full(seen.size, 15099.0), y.size)
    fit = solve_weeks(trend_prior(np.full(99, 1469.1), np.full(99, 30.0)), sums)
    np.testing.assert_allclose(fit.level, other.smoothed_state[0], atol=1e-6)
    np.testing.assert_allclose(fit.slope, other.smoothed_state[1], atol=1e-6)
    np.testing.assert_allclose(fit.level_variance(), other.smoothed_state_cov[0, 0], rtol=1e-8)
    assert fit.log_likelihood == pytest.approx(other.llf, abs=1e-6)


def test_trend_equals_the_kalman_smoother_over_600_weeks() -> None:
    """The series whose time ``make bench`` compares: states and covariances of every week."""
    y = draw_series()
    (here, here_var), (there, there_var) = smooth_here(y)(), smooth_there(y)()
    np.testing.assert_allclose(here, there, atol=1e-6)
    np.testing.assert_allclose(here_var, there_var, atol=1e-6)


def test_trend_with_form_equals_the_kalman_smoother(flow: NDArray) -> None:
    """The model under lift level and muscle index, against statsmodels' general smoother."""
    y, carry, form, first_slope = flow / 100.0, 0.8, 0.4, 0.5
    other = MLEModel(y, k_states=3, k_posdef=3)
    other["design"] = np.array([[1.0, 0.0, 1.0]])
    other["transition"] = np.array([[1.0, 1.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, carry]])
    other["selection"] = np.eye(3)
    other["obs_cov", 0, 0] = 1.5
    other["state_cov"] = np.diag([0.1, 0.01, form * (1.0 - carry**2)])
    start = Initialization(3)
    start.set((0, 1), "diffuse")
    start.set((1, 2), "known", constant=[0.0], stationary_cov=[[first_slope]])
    start.set((2, 3), "stationary")
    other.ssm.initialization = start
    expected = other.ssm.smooth()
    sums = sum_weeks(np.arange(y.size), y, np.full(y.size, 1.5), y.size)
    steps = np.full(y.size - 1, 0.1), np.full(y.size - 1, 0.01)
    fit = solve_weeks(trend_form_prior(*steps, form, carry, first_slope), sums)
    np.testing.assert_allclose(fit.level, expected.smoothed_state[0], atol=1e-6)
    np.testing.assert_allclose(fit.level_variance(), expected.smoothed_state_cov[0, 0], rtol=1e-8)
    assert fit.log_likelihood == pytest.approx(expected.llf, abs=1e-6)


def test_mann_kendall_calls_the_level_shift_a_trend(flow: NDArray) -> None:
    """S, variance, z, p and slope: computed."""
    trend = fit_trend(np.arange(1871, 1971), flow)
    assert isinstance(trend, KendallTrend)
    assert trend.s == -1387.0
    assert trend.variance == pytest.approx(112728.333, abs=1e-3)
    assert trend.z == pytest.approx(-4.128067, abs=1e-6)
    assert trend.p_value == pytest.approx(3.6583e-05, rel=1e-4)
    assert trend.slope == pytest.approx(-2.6)
