"""Forecasts for chosen dates, one subject at a time and for the sum of several lifts."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import numpy as np
import polars as pl

from pipeline.core.calendar import DAYS_PER_YEAR
from pipeline.core.errors import Refusal
from pipeline.findings.forecast import COVERAGE, Subject, learn_groups, list_subjects
from pipeline.models.forecast.predict import Forecast, GroupDrift, forecast, sum_forecasts

SUM = "sum"
SCHEMA: dict[str, Any] = {
    "subject": pl.String,
    "date": pl.Date,
    "estimate": pl.Float64,
    "low": pl.Float64,
    "high": pl.Float64,
    "unchanged": pl.Float64,
    "unit": pl.String,
    "coverage": pl.Float64,
    "why_not": pl.String,
}


def forecast_dates(
    tables: Mapping[str, pl.DataFrame],
    lifter_id: str,
    subjects: Sequence[str],
    dates: Sequence[date],
) -> pl.DataFrame:
    """One row a subject and date, and a row ``sum`` a date where two lifts or more are asked for.

    Parameters
    ----------
    tables : as ``answer_forecasts`` takes them.
    subjects : ``lift:<id>`` (kg) or ``muscle:<id>`` (change of the index in %).
    dates : days after the last training of each subject.

    Returns
    -------
    subject, date, estimate, low, high, unchanged ("no change"), unit, coverage, why_not (the
    refusal in words; then the numbers are null).
    """
    every = list(list_subjects(tables))
    group = learn_groups(every).get(lifter_id)
    known = {one.subject: one for one in every if one.lifter_id == lifter_id}
    rows: list[dict[str, Any]] = []
    for day in dates:
        made: list[Forecast | Refusal] = []
        for subject in subjects:
            one = known.get(subject)
            found = _none(subject) if one is None else _ahead(one, day, group)
            made.append(found)
            rows.append(_row(subject, day, found))
        lifts = [one for one, name in zip(made, subjects, strict=True) if name.startswith("lift:")]
        if len(lifts) > 1:
            rows.append(_row(SUM, day, _sum(lifts)))
    return pl.DataFrame(rows, schema=SCHEMA)


def _ahead(one: Subject, day: date, group: GroupDrift | None) -> Forecast | Refusal:
    days = (day - one.last).days
    if days < 1:
        return Refusal(days, 1, "days after the last training", "ask for a later date")
    made = forecast(one.history, days / DAYS_PER_YEAR, group, COVERAGE)
    return made if isinstance(made, Refusal) else made.widened(one.height_se)


def _none(subject: str) -> Refusal:
    return Refusal(0, 1, f"levels of {subject} in the last half year", "train it, and log it")


def _sum(lifts: Sequence[Forecast | Refusal]) -> Forecast | Refusal:
    answered = [one for one in lifts if isinstance(one, Forecast)]
    if len(answered) < len(lifts):
        return Refusal(
            len(answered), len(lifts), "lifts with a forecast", "ask for those that have"
        )
    return sum_forecasts(answered)


def _row(subject: str, day: date, made: Forecast | Refusal) -> dict[str, Any]:
    is_muscle = subject.startswith("muscle:")
    row = {"subject": subject, "date": day, "unit": "%" if is_muscle else "kg"}
    if isinstance(made, Refusal):
        return {**dict.fromkeys(SCHEMA), **row, "why_not": made.sentence()}
    ends = np.array([made.value, made.low, made.high, made.last])
    told = 100.0 * (ends / made.last - 1.0) if is_muscle else ends
    numbers = dict(zip(("estimate", "low", "high", "unchanged"), map(float, told), strict=True))
    return {**row, **numbers, "coverage": made.coverage, "why_not": None}
