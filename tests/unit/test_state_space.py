"""The banded engine against plain dense algebra."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.models.smoothing.state_space import solve_weeks, sum_weeks
from pipeline.models.smoothing.week_prior import level_prior, trend_form_prior, trend_prior


def dense_trend(n: int, level_var: float, slope_var: float) -> np.ndarray:
    """(2n, 2n) precision of levels and slopes, week by week, written out."""
    precision = np.zeros((2 * n, 2 * n))
    for t in range(n - 1):
        step = np.zeros(2 * n)
        step[[2 * t, 2 * t + 1, 2 * t + 2]] = -1.0, -1.0, 1.0
        turn = np.zeros(2 * n)
        turn[[2 * t + 1, 2 * t + 3]] = -1.0, 1.0
        precision += np.outer(step, step) / level_var + np.outer(turn, turn) / slope_var
    return precision


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000))
def test_any_pattern_of_measurements_and_effects(seed: int) -> None:
    """Several measurements a week, weeks without any, effects shared by all weeks."""
    rng = np.random.default_rng(seed)
    n, m, b = 12, 30, 3
    week = rng.integers(0, n, m)
    y, v, x = rng.normal(size=m), rng.uniform(0.1, 2.0, m), rng.normal(size=(m, b))
    mean, sd = rng.normal(size=b), rng.uniform(0.5, 2.0, b)
    fit = solve_weeks(
        trend_prior(np.full(n - 1, 0.3), np.full(n - 1, 0.05)),
        sum_weeks(week, y, v, n, x),
        mean,
        sd**-2.0,
    )
    design = np.zeros((m, 2 * n + b))
    design[np.arange(m), 2 * week] = 1.0
    design[:, 2 * n :] = x
    precision = design.T @ (design / v[:, None])
    precision[: 2 * n, : 2 * n] += dense_trend(n, 0.3, 0.05)
    precision[2 * n :, 2 * n :] += np.diag(sd**-2.0)
    right = design.T @ (y / v)
    right[2 * n :] += mean / sd**2
    covariance = np.linalg.inv(precision)
    expected = covariance @ right
    levels = np.arange(0, 2 * n, 2)
    np.testing.assert_allclose(fit.level, expected[levels], atol=1e-7)
    np.testing.assert_allclose(fit.border, expected[2 * n :], atol=1e-7)
    np.testing.assert_allclose(
        fit.level_covariance(np.arange(n)), covariance[np.ix_(levels, levels)], atol=1e-7
    )
    np.testing.assert_allclose(fit.level_variance(), covariance[levels, levels], atol=1e-7)
    np.testing.assert_allclose(fit.border_covariance, covariance[2 * n :, 2 * n :], atol=1e-7)


@pytest.mark.parametrize("has_form", [False, True])
def test_moments_of_the_steps(has_form: bool) -> None:
    """Mean square of each week's innovation, from the dense covariance of all states."""
    n, rng = 9, np.random.default_rng(4)
    week = np.array([0, 1, 1, 4, 5, 8])
    sums = sum_weeks(week, rng.normal(size=6), np.full(6, 0.5), n)
    steps = rng.uniform(0.1, 0.5, n - 1), rng.uniform(0.01, 0.1, n - 1)
    prior = trend_form_prior(*steps, 0.3, 0.8, 0.2) if has_form else trend_prior(*steps)
    fit, k = solve_weeks(prior, sums), prior.states
    precision = np.zeros((n * k, n * k))
    for d in range(k + 1):
        for j in range(n * k - d):
            precision[j + d, j] = precision[j, j + d] = fit.bands[d, j]
    covariance = np.linalg.inv(precision)
    moments = fit.step_moments(prior.transition)
    for t in range(n - 1):
        pick = np.zeros((k, n * k))
        pick[:, k * t : k * (t + 1)] = -prior.transition
        pick[:, k * (t + 1) : k * (t + 2)] = np.eye(k)
        expected = np.diag(pick @ (covariance + np.outer(fit.mean, fit.mean)) @ pick.T)
        np.testing.assert_allclose(moments[:, t], expected, rtol=1e-8)
        own = slice(k * t, k * (t + 1))
        np.testing.assert_allclose(fit.state_covariance[..., t], covariance[own, own], rtol=1e-8)


def test_changes_come_from_the_joint_posterior() -> None:
    """Neighbouring weeks share their error: the change is surer than two separate levels."""
    n = 40
    sums = sum_weeks(np.arange(n), np.linspace(0, 1, n), np.full(n, 0.5), n)
    fit = solve_weeks(trend_prior(np.full(n - 1, 1e-4), np.full(n - 1, 1e-6)), sums)
    estimate, se = fit.changes([10, 12])
    assert estimate[0, 1] == pytest.approx(fit.level[12] - fit.level[10])
    assert estimate[1, 0] == pytest.approx(-estimate[0, 1])
    assert se[0, 0] == pytest.approx(0.0)
    assert se[0, 1] < 0.2 * np.sqrt(2.0 * fit.level_variance()[10])


def test_course_and_height_split_the_variance() -> None:
    n = 30
    seen = np.arange(n)
    sums = sum_weeks(seen, np.zeros(n), np.full(n, 0.5), n, np.ones((n, 1)))
    fit = solve_weeks(level_prior(np.full(n - 1, 0.01)), sums, np.zeros(1), np.ones(1))
    course, height = fit.around_mean(seen)
    covariance = fit.level_covariance(seen)
    centre = np.eye(n) - 1.0 / n
    np.testing.assert_allclose(course, np.diag(centre @ covariance @ centre), atol=1e-9)
    assert height == pytest.approx(covariance.mean())
    assert height > 0.9  # the constant effect is known no better than its prior
