"""Rank trends: dates, ties, seasons, refusals, false alarms."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import kendalltau, theilslopes

from pipeline.core.errors import Refusal
from pipeline.models.trend import KendallTrend, fit_seasonal_trend, fit_trend


def fitted(t: np.ndarray, y: np.ndarray) -> KendallTrend:
    trend = fit_trend(t, y)
    assert isinstance(trend, KendallTrend)
    return trend


def test_slope_is_per_year_whatever_the_gaps() -> None:
    t = np.array([2010.0, 2010.1, 2013.0, 2013.1, 2019.0])
    assert fitted(t, 3.0 * t).slope == pytest.approx(3.0)


@given(st.lists(st.integers(0, 20), min_size=4, max_size=30))
def test_slope_and_order_agree_with_scipy(values: list[int]) -> None:
    t, y = np.arange(len(values), dtype=float), np.array(values, dtype=float)
    trend = fitted(t, y)
    assert trend.slope == pytest.approx(theilslopes(y, t).slope)
    assert trend.low <= trend.slope <= trend.high
    tau_b = kendalltau(t, y).statistic
    assert np.isnan(tau_b) or np.sign(tau_b) == np.sign(trend.s)


def test_unsorted_and_missing_values() -> None:
    t, y = np.array([3.0, 1.0, 2.0, np.nan, 4.0, 5.0]), np.array([3.0, 1.0, 2.0, 9.0, np.nan, 5.0])
    assert fitted(t, y).n == 4
    assert fitted(t, y).slope == pytest.approx(1.0)


def test_equal_values_have_no_trend() -> None:
    trend = fitted(np.arange(5.0), np.ones(5))
    assert (trend.s, trend.p_value) == (0.0, 1.0)


def test_season_is_no_trend() -> None:
    """Ups and downs within a year: no slope by season."""
    month = np.arange(60)
    swing = np.round(np.sin(month * np.pi / 6.0), 6)
    trend = fit_seasonal_trend(2000 + month // 12, swing, month % 12)
    assert trend.slope == pytest.approx(0.0)
    assert trend.p_value == pytest.approx(1.0)


def test_too_few_values_are_refused() -> None:
    refusal = fit_trend([1, 2, 3], [1, 2, 3])
    assert isinstance(refusal, Refusal)
    assert (refusal.has, refusal.needs) == (3, 4)
    assert isinstance(fit_seasonal_trend([1, 2], [1, 2], [0, 0]), Refusal)


def test_noise_is_rarely_called_a_trend() -> None:
    rng = np.random.default_rng(7)
    calls = [fitted(np.arange(20.0), rng.normal(size=20)).p_value < 0.05 for _ in range(400)]
    assert 0.02 <= np.mean(calls) <= 0.08
