"""Trend examples of the EPA's Unified Guidance (2009), as printed by EnvStats 3.1.0 (read)."""

import numpy as np
import pytest

from pipeline.models.trend import KendallTrend, SeasonalTrend, fit_seasonal_trend, fit_trend

# Example 17-6: sulfate, 23 samples.
SULFATE_DATE = """89.6 89.8 90.1 90.3 90.6 90.8 91.1 91.3 91.6 91.8 92.1 92.6 93.1 93.6 94.1 94.6
95.1 95.6 95.8 96.1 96.3 96.6 96.8"""
SULFATE_PPM = """480 450 490 520 485 510 510 530 510 560 560 540 590 550 600 700 570 610 650 620
830 720 590"""

# Example 14-10: 36 months from January 1983, unadjusted.
MONTHLY = """1.99 2.10 2.12 2.12 2.11 2.15 2.19 2.18 2.16 2.08 2.05 2.08
2.01 2.10 2.17 2.13 2.13 2.18 2.25 2.24 2.22 2.13 2.08 2.16
2.15 2.17 2.27 2.23 2.24 2.26 2.31 2.32 2.28 2.22 2.19 2.22"""


def numbers(text: str) -> np.ndarray:
    return np.array(text.split(), dtype=float)


def test_example_17_6() -> None:
    trend = fit_trend(numbers(SULFATE_DATE), numbers(SULFATE_PPM))
    assert isinstance(trend, KendallTrend)
    assert (trend.s, trend.variance) == (194.0, 1428.0)  # computed
    assert trend.z == pytest.approx(5.107322, abs=1e-6)  # read and computed
    assert trend.p_value == pytest.approx(3.267574e-07, rel=1e-6)  # read and computed
    assert trend.tau == pytest.approx(0.7667984, abs=1e-7)  # read and computed
    assert trend.slope == pytest.approx(26.6666667)  # read and computed: a year, not an index
    assert trend.intercept == pytest.approx(-1909.3333, abs=1e-4)  # read and computed
    assert trend.low == pytest.approx(20.0)  # read: Gilbert's limits
    assert trend.high == pytest.approx(35.71182, abs=1e-5)  # read: Gilbert's limits


def test_example_14_10() -> None:
    month = np.arange(36)
    trend = fit_seasonal_trend(1983 + month // 12, numbers(MONTHLY), month % 12)
    assert isinstance(trend, SeasonalTrend)
    assert (trend.s, trend.variance) == (35.0, pytest.approx(43.0))  # computed
    assert trend.tau == pytest.approx(0.9722222, abs=1e-7)  # read and computed
    assert trend.slope == pytest.approx(0.06)  # read and computed
    assert trend.z == pytest.approx(5.1849514, abs=1e-7)  # read and computed
    assert trend.p_value == pytest.approx(2.160712e-07, rel=1e-6)  # read and computed
    assert trend.low == pytest.approx(0.05786914, abs=1e-8)  # read
    assert trend.high == pytest.approx(0.07213086, abs=1e-8)  # read
    assert trend.heterogeneity_chi2 == pytest.approx(0.1071882, abs=1e-7)  # read
    assert trend.heterogeneity_p == pytest.approx(1.0, abs=1e-6)  # read
    assert trend.intercept == pytest.approx(-131.735, abs=1e-3)  # read: median of seasons
