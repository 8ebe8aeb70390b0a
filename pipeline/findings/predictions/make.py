"""Forecasts of all lifts and muscles, and the lines that a refresh may keep of them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import polars as pl

from pipeline.core.calendar import DAYS_PER_YEAR
from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.core.identity import hash_of
from pipeline.findings.build import MODEL_VERSION
from pipeline.findings.forecast import (
    COVERAGE,
    METHOD,
    TABLES,
    Subject,
    answer_subjects,
    learn_groups,
    list_series,
    list_subjects,
)
from pipeline.findings.predictions.kept import PREDICTION
from pipeline.models.forecast.predict import GroupDrift, forecast
from pipeline.models.forecast.refit import expect_fitted

READS = (*TABLES, "source_file")
HORIZONS = (26, 52)  # weeks: nearer ones hardly move, further ones are told again before they come
RESTED_WEEKS = 8  # a subject left for longer is not told ahead: it may never come back
LOG_DIGITS, DIGITS = 5, 3


@dataclass(frozen=True)
class Ahead:
    """Findings ``forecast``, and every prediction that could be kept of them (``PREDICTION``)."""

    findings: list[Finding]
    predictions: pl.DataFrame


def look_ahead(tables: Mapping[str, pl.DataFrame]) -> Ahead:
    """Forecast every lift and muscle; ``tables``: those of ``READS``, of all lifters.

    A prediction counts from the last day of the lifter's record, never from the clock, and its
    interval is that of the level as it will be fitted for the day (``models.forecast.refit``).
    """
    subjects = list(list_subjects(tables))
    groups = learn_groups(subjects)
    findings = answer_subjects(subjects, groups)
    ids = {
        (one.lifter_id, one.subject): one.finding_id for one in findings if one.estimate is not None
    }
    sources, zeros = read_sources(tables["source_file"]), _zeros(tables)
    rows = [
        row
        for one in subjects
        if (one.lifter_id, one.subject) in ids and one.lifter_id in sources
        for row in _predict(
            one,
            groups.get(one.lifter_id),
            ids[one.lifter_id, one.subject],
            sources[one.lifter_id],
            zeros[one.lifter_id, one.subject],
        )
    ]
    return Ahead(findings, pl.DataFrame(rows, schema=PREDICTION))


@dataclass(frozen=True)
class Source:
    """The last day that a lifter's files tell of, and the checksum of all of them."""

    last_day: date
    checksum: str


def read_sources(files: pl.DataFrame) -> dict[str, Source]:
    """By lifter, from table ``source_file``; lifters whose files hold no day are left out."""
    told = files.filter(pl.col("last_date").is_not_null()).sort("lifter_id", "sha256")
    last = dict(told.group_by("lifter_id").agg(pl.col("last_date").max()).iter_rows())
    sums = dict(told.group_by("lifter_id", maintain_order=True).agg("sha256").iter_rows())
    return {one: Source(last[one], hash_of(*sums[one])) for one in last}


def _zeros(tables: Mapping[str, pl.DataFrame]) -> dict[tuple[str, str], date]:
    """First week of every series: where a muscle's index is zero."""
    first = list_series(tables).group_by("lifter_id", "subject").agg(pl.col("week_start").min())
    return {(lifter_id, subject): day for lifter_id, subject, day in first.iter_rows()}


def _predict(
    one: Subject, group: GroupDrift | None, finding_id: str, source: Source, zero_on: date
) -> Sequence[dict[str, Any]]:
    """The subject at each of ``HORIZONS``; nothing of one that was left some weeks ago."""
    rested = (source.last_day - one.last).days // 7  # whole weeks, on whatever day they start
    if rested > RESTED_WEEKS:
        return ()
    rows = []
    for weeks in HORIZONS:
        target = one.last + timedelta(weeks=rested + weeks)
        made = forecast(one.history, (target - one.last).days / DAYS_PER_YEAR, group, COVERAGE)
        if isinstance(made, Refusal):
            raise AssertionError(f"{weeks} weeks are never refused")
        fitted = expect_fitted(made, one.course_se)
        ends = np.array([fitted.value, fitted.low, fitted.high, fitted.last])
        told = ends if one.is_lift else 100.0 * (ends / fitted.last - 1.0)
        value, low, high, unchanged = (round(float(end), DIGITS) for end in told)
        rows.append(
            {
                "predicted_on": source.last_day,
                "lifter_id": one.lifter_id,
                "question": "forecast",
                "subject": one.subject,
                "weeks_ahead": weeks,
                "from_date": one.last,
                "to_date": target,
                "estimate": value,
                "low80": low,
                "high80": high,
                "unchanged": unchanged,
                "level_log": round(float(np.log(fitted.last)), LOG_DIGITS),
                "zero_on": None if one.is_lift else zero_on,
                "unit": "kg" if one.is_lift else "%",
                "finding_id": finding_id,
                "method": METHOD,
                "model_version": MODEL_VERSION,
                "source": source.checksum,
            }
        )
    return rows
