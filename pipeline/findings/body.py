"""Questions that need counting or one plain trend: tape measures, pulling against pushing."""

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
from pipeline.findings.say import say_change, say_interval, say_number
from pipeline.findings.support import COUNTED, support_measure
from pipeline.models.arrays import Floats
from pipeline.models.trend import KendallTrend, fit_seasonal_trend, fit_trend

COVERAGE = 0.95
BALANCE_WEEKS = 12
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


def answer_balance(record: Record, week_lifter: pl.DataFrame) -> Finding:
    """Pulling sets for each pushing set over the last twelve weeks: a count, no norm."""
    weeks = week_lifter.sort("week_start").tail(BALANCE_WEEKS)
    weeks = weeks.drop_nulls(["pushing_sets", "pulling_sets"])  # unlogged weeks tell nothing
    asked = min(week_lifter.height, BALANCE_WEEKS)
    push, pull = float(weeks["pushing_sets"].sum()), float(weeks["pulling_sets"].sum())
    common: dict[str, Any] = {
        "lifter_id": record.lifter.lifter_id,
        "question": "balance",
        "subject": f"lifter:{record.lifter.lifter_id}",
        "unit": "ratio",
        "method": "count of direct sets",
        "window": "last",
    }
    if push == 0 or pull == 0:
        refusal = Refusal(
            min(push, pull), 1, "sets of the rarer direction in twelve weeks", "train both"
        )
        return find_refused(refusal, **common)
    gap = "" if weeks.height == asked else f" ({weeks.height} of them logged)"
    return find_answered(
        COUNTED,
        **common,
        estimate=pull / push,
        n=round(push + pull),
        n_of="sets",
        from_date=earliest(weeks["week_start"]),
        to_date=latest(weeks["week_start"]) + timedelta(days=6),
        sentence=(
            f"{pull:.0f} pulling sets and {push:.0f} pushing sets in the last "
            f"{asked} weeks{gap}: {say_number(pull / push, 2)} to one. At least as much pulling "
            "as pushing is common practice; no published norm exists."
        ),
    )
