"""Does the trend of a tape measure hang on the tapings of one year?"""

from collections.abc import Iterator
from datetime import timedelta

import polars as pl

from pipeline.core.calendar import DAYS_PER_YEAR
from pipeline.core.errors import Refusal
from pipeline.findings.arrays import column
from pipeline.findings.stability_rows import Check, Row, check_choice
from pipeline.models.trend import fit_trend


def check_measures(signals: pl.DataFrame, rows: list[Row], years: float) -> Iterator[Check]:
    """Every girth of ``rows`` without each calendar year of its last ``years``.

    ``signals`` is ``tidy_signal`` of the lifter.
    """
    for row in rows:
        name = row["subject"].split(":", 1)[1].rsplit("@", 1)[0]
        first = row["to_date"] - timedelta(days=round(years * DAYS_PER_YEAR))
        tapings = signals.filter(
            (pl.col("signal") == name) & pl.col("date").is_between(first, row["to_date"])
        ).sort("date")
        for year in tapings["date"].dt.year().unique().sort():
            left = tapings.filter(pl.col("date").dt.year() != year)
            day = (left["date"] - row["from_date"]).dt.total_days().to_numpy()
            trend = fit_trend(day / DAYS_PER_YEAR, column(left, "value"), row["coverage"])
            if not isinstance(trend, Refusal):
                found = (trend.slope, trend.low, trend.high)
                yield check_choice(row, "left_out_year", str(year), found)
