"""Tape measures: one plain trend each."""

import re
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import polars as pl

from pipeline.core.calendar import DAYS_PER_YEAR
from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import (
    Record,
    column,
    earliest,
    latest,
)
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.say import say_change, say_interval
from pipeline.findings.support import support_measure
from pipeline.models.arrays import Floats
from pipeline.models.trend import KendallTrend, fit_seasonal_trend, fit_trend

COVERAGE = 0.95
QUARTERS = 4
GIRTH = re.compile(r"girth_(?P<site>.+)_cm")


def answer_measures(record: Record, signals: pl.DataFrame, years: float) -> Iterator[Finding]:
    """Yearly change of each taped girth over the last ``years``."""
    for name in sorted(set(signals["signal"])):
        site = GIRTH.fullmatch(name)
        if site is None:
            continue
        rows = signals.filter(pl.col("signal") == name).sort("date")
        last = latest(rows["date"])
        rows = rows.filter(pl.col("date") >= last - timedelta(days=round(years * DAYS_PER_YEAR)))
        yield _measure_slope(record, name, site["site"].replace("_", " "), rows)


def _measure_slope(record: Record, signal: str, site: str, rows: pl.DataFrame) -> Finding:
    began = earliest(rows["date"])
    years = (rows["date"] - began).dt.total_days().to_numpy() / DAYS_PER_YEAR
    trend, method = _fit_girth(years, rows)
    common: dict[str, Any] = {
        "lifter_id": record.lifter.lifter_id,
        "question": "measure_slope",
        "subject": f"signal:{signal}@0",
        "unit": "cm/year",
        "method": method,
        "window": "last",
        "from_date": began,
        "to_date": latest(rows["date"]),
    }
    if isinstance(trend, Refusal):
        return find_refused(trend, **common)
    return find_answered(
        support_measure(trend.n, trend.low > 0 or trend.high < 0),
        **common,
        estimate=trend.slope,
        low=trend.low,
        high=trend.high,
        coverage=COVERAGE,
        n=trend.n,
        n_of="tapings",
        sentence=(
            f"Girth of the {site}: {say_change(trend.slope)} cm a year "
            f"{say_interval(trend.low, trend.high)}, from {trend.n} tapings."
        ),
    )


def _fit_girth(years: Floats, rows: pl.DataFrame) -> tuple[KendallTrend | Refusal, str]:
    """Robust trend and its name: within quarters where each was taped in two years or more, so
    that a yearly round of gaining and losing weight is not taken for a trend."""
    value, quarter = column(rows, "value"), rows["date"].dt.quarter()
    taped = rows.select(quarter=pl.col("date").dt.quarter(), year=pl.col("date").dt.year())
    in_years = taped.group_by("quarter").agg(pl.col("year").n_unique())
    if in_years.height == QUARTERS and (in_years["year"] >= 2).all():
        trend = fit_seasonal_trend(years, value, quarter.to_numpy(), COVERAGE)
        return trend, "Theil-Sen slope within quarters, seasonal Kendall limits"
    return fit_trend(years, value, COVERAGE), "Theil-Sen slope, Mann-Kendall limits"
