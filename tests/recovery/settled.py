"""A simulated career answered whole, as a nightly refresh does it: forecasts and checks too."""

from dataclasses import dataclass, replace
from datetime import timedelta

import polars as pl

from pipeline.findings import Record, answer_forecasts, finding_frame, settle_findings
from pipeline.models.simulate import Career
from tests.answered import answer_career
from tests.simulated_record import population_prior


@dataclass(frozen=True)
class Settled:
    """The record that was read, its model tables, checks and settled findings."""

    record: Record
    tables: dict[str, pl.DataFrame]
    checks: pl.DataFrame
    findings: pl.DataFrame


def settle_career(career: Career, weeks_kept_back: int) -> Settled:
    """Everything the findings say of the record without its last weeks.

    The prior of weekly sets is the simulated population's own.
    """
    end = career.start + timedelta(weeks=career.n_weeks - weeks_kept_back)
    told = answer_career(career, population_prior(), end)
    tables = told.tables
    forecasts = finding_frame(answer_forecasts(tables | _reference(told.record, tables)))
    findings = pl.concat([tables["finding"], forecasts])
    whole = replace(told, tables=tables | {"finding": findings})
    checks = whole.check()
    return Settled(told.record, whole.tables, checks, settle_findings(findings, checks))


def _reference(record: Record, tables: dict[str, pl.DataFrame]) -> dict[str, pl.DataFrame]:
    """What the forecasts read of the whole folder, here of one lifter."""
    one = pl.lit(record.lifter.lifter_id)
    began = {"training_began": [record.lifter.training_began]}
    return {
        "ref_lifter": pl.DataFrame(began).with_columns(lifter_id=one),
        "ref_exercise": record.exercises,
        "mart_week_lifter": tables["mart_week_lifter"].with_columns(lifter_id=one),
    }
