"""A simulated career answered whole, as a nightly refresh does it: findings, then checks."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

import polars as pl

from pipeline.core.settings import default_settings
from pipeline.findings import (
    Record,
    answer_lifter,
    answer_lifts,
    estimate_reserve,
    find_events,
    finding_frame,
)
from pipeline.findings.forecast import answer_forecasts
from pipeline.findings.stability import check_lifter, settle_findings
from pipeline.models.simulate import Career
from pipeline.reference import load_facts
from tests.day_signal import day_signals
from tests.simulated_record import (
    muscles_of,
    population_prior,
    record_of,
    signals_of,
    until,
    weeks_of,
)

THRESHOLDS = default_settings().thresholds


@dataclass(frozen=True)
class Answered:
    """The record that was read, its model tables, checks and settled findings."""

    record: Record
    tables: dict[str, pl.DataFrame]
    checks: pl.DataFrame
    findings: pl.DataFrame


def answer_career(career: Career, weeks_kept_back: int) -> Answered:
    """Everything the findings say of the record without its last weeks.

    The prior of weekly sets is the simulated population's own.
    """
    end = career.start + timedelta(weeks=career.n_weeks - weeks_kept_back)
    told = until(record_of(career), end)
    lifts = answer_lifts(told, THRESHOLDS)
    longest = THRESHOLDS["layoff_longest_days"]
    record = replace(
        told,
        sets=estimate_reserve(told, lifts),
        events=find_events(told, lifts.levels, longest),
    )
    signals = signals_of(career).filter(pl.col("date") < end)
    tables = {
        "ref_muscle": muscles_of(career),
        "ref_prior": population_prior(),
        "ref_fact": load_facts(),
        "tidy_signal": signals,
        "mart_day_signal": day_signals(signals),
        "mart_week_lifter": weeks_of(record),
    }
    answers = answer_lifter(record, tables, lifts.rep_slopes, THRESHOLDS)
    findings = pl.concat([finding_frame(lifts.findings), answers.findings])
    tables |= {**answers.tables, "model_lift_level": lifts.levels, "finding": findings}
    forecasts = finding_frame(answer_forecasts(tables | _reference(record, tables)))
    findings = pl.concat([findings, forecasts])
    tables["finding"] = findings
    checks = check_lifter(record, tables, lifts.rep_slopes, THRESHOLDS, date(2026, 1, 5))
    return Answered(record, tables, checks, settle_findings(findings, checks))


def _reference(record: Record, tables: dict[str, pl.DataFrame]) -> dict[str, pl.DataFrame]:
    """What the forecasts read of the whole folder, here of one lifter."""
    one = pl.lit(record.lifter.lifter_id)
    began = {"training_began": [record.lifter.training_began]}
    return {
        "ref_lifter": pl.DataFrame(began).with_columns(lifter_id=one),
        "ref_exercise": record.exercises,
        "mart_week_lifter": tables["mart_week_lifter"].with_columns(lifter_id=one),
    }
