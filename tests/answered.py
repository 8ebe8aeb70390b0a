"""A simulated career answered as a refresh answers one lifter: events, lifts, indexes, the rest."""

from dataclasses import dataclass, replace
from datetime import date

import polars as pl

from pipeline.core.settings import default_settings
from pipeline.findings import (
    LiftAnswers,
    LifterAnswers,
    Record,
    answer_indexes,
    answer_lifts,
    answer_questions,
    check_lifter,
    estimate_reserve,
    find_events,
    finding_frame,
)
from pipeline.models.simulate import Career
from pipeline.reference import load_balance, load_facts, load_variants
from tests.day_signal import day_signals
from tests.simulated_record import muscles_of, record_of, signals_of, until, weeks_of

THRESHOLDS = default_settings().thresholds
# Day of the checks, invented.
CHECKED_ON = date(2026, 1, 5)


@dataclass(frozen=True)
class Answered:
    """One career with everything the findings say of it, but what needs other lifters or forecasts.

    Attributes
    ----------
    told, record : the record as kept, and with reserve estimated and events found.
    lifts, answers : what lifts say, and all other questions.
    tables : what was read and what was fitted, by name, with all findings.
    """

    career: Career
    told: Record
    record: Record
    lifts: LiftAnswers
    answers: LifterAnswers
    tables: dict[str, pl.DataFrame]

    def check(self) -> pl.DataFrame:
        """Table ``model_check``."""
        return check_lifter(self.record, self.tables, self.lifts.rep_slopes, THRESHOLDS, CHECKED_ON)


def answer_career(career: Career, prior: pl.DataFrame, end: date | None = None) -> Answered:
    """Everything that the record says before ``end`` (None: the whole of it).

    ``prior`` is table ``ref_prior``.
    """
    told, signals = record_of(career), signals_of(career)
    if end is not None:
        told, signals = until(told, end), signals.filter(pl.col("date") < end)
    lifts = answer_lifts(told, THRESHOLDS)
    record = replace(
        told,
        sets=estimate_reserve(told, lifts),
        events=find_events(told, lifts.levels, THRESHOLDS["layoff_longest_days"]),
    )
    read = {
        "ref_muscle": muscles_of(career),
        "ref_prior": prior,
        "ref_fact": load_facts(),
        "ref_balance": load_balance(),
        "ref_variant": load_variants(),
        "tidy_signal": signals,
        "mart_day_signal": day_signals(signals),
        "mart_week_lifter": weeks_of(record),
        "model_lift_level": lifts.levels,
    }
    indexes = answer_indexes(record, read["ref_muscle"], THRESHOLDS)
    questions = answer_questions(record, read | indexes.tables, lifts.rep_slopes, THRESHOLDS)
    answers = LifterAnswers(
        indexes.tables | questions.tables, pl.concat([indexes.findings, questions.findings])
    )
    findings = pl.concat([finding_frame(lifts.findings), answers.findings])
    fitted = {**answers.tables, "model_lift_level": lifts.levels, "finding": findings}
    return Answered(career, told, record, lifts, answers, read | fitted)
