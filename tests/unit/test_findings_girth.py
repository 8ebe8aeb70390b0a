"""Girths: a yearly round of gaining and losing weight is no trend."""

from datetime import date, timedelta

import numpy as np
import polars as pl

from pipeline.core.finding import Finding
from pipeline.findings.body import answer_measures


def measured(record, months: int, swing_cm: float) -> Finding:
    """An arm taped every month from a winter on, thick in winter and thin in summer."""
    at = np.arange(months)
    days = [date(2020, 1, 15) + timedelta(days=round(30.44 * month)) for month in at]
    value = 38.0 + 0.5 * at / 12.0 + swing_cm * np.cos(2 * np.pi * at / 12.0)
    signals = pl.DataFrame({"date": days, "value": value, "signal": ["girth_arm_cm"] * months})
    return next(answer_measures(record, signals, 3.0))


def test_seasons_are_compared_with_themselves(two_years):
    """Half a centimetre a year planted; the last season of the record does not tip the slope."""
    for months in (27, 30, 33, 36):
        found = measured(two_years.record, months, 2.0)
        assert "within quarters" in found.method
        assert abs(found.estimate - 0.5) < 0.35
    assert abs(measured(two_years.record, 30, 0.0).estimate - 0.5) < 0.05


def test_a_short_record_has_no_seasons(two_years):
    assert measured(two_years.record, 11, 0.0).method == "Theil-Sen slope, Mann-Kendall limits"
