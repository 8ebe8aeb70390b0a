"""Simulated records answered once for the whole session."""

from dataclasses import replace
from datetime import date

import polars as pl
import pytest

from pipeline.core.settings import default_settings
from pipeline.findings import (
    Record,
    answer_lifter,
    answer_lifts,
    check_lifter,
    estimate_reserve,
    find_events,
    finding_frame,
)
from pipeline.models.simulate import CareerOptions, simulate_career
from pipeline.reference import load_facts
from tests.day_signal import day_signals
from tests.simulated_record import any_prior, muscles_of, record_of, signals_of, weeks_of

THRESHOLDS = default_settings().thresholds


class Answered:
    """One career with everything the findings say of it."""

    def __init__(self, seed: int, options: CareerOptions) -> None:
        self.career = simulate_career(seed, options)
        told = record_of(self.career)
        self.lifts = answer_lifts(told, THRESHOLDS)
        self.told = told
        self.record: Record = replace(
            told,
            sets=estimate_reserve(told, self.lifts),
            events=find_events(told, self.lifts.levels, THRESHOLDS["layoff_longest_days"]),
        )
        read = {
            "ref_muscle": muscles_of(self.career),
            "ref_prior": any_prior(),
            "ref_fact": load_facts(),
            "tidy_signal": signals_of(self.career),
            "mart_day_signal": day_signals(signals_of(self.career)),
            "mart_week_lifter": weeks_of(self.record),
        }
        self.answers = answer_lifter(self.record, read, self.lifts.rep_slopes, THRESHOLDS)
        findings = pl.concat([finding_frame(self.lifts.findings), self.answers.findings])
        fitted = {**self.answers.tables, "model_lift_level": self.lifts.levels}
        self.tables = {**read, **fitted, "finding": findings}

    def check(self) -> pl.DataFrame:
        """Table ``model_check``, of an invented day."""
        day, slopes = date(2026, 1, 5), self.lifts.rep_slopes
        return check_lifter(self.record, self.tables, slopes, THRESHOLDS, day)


@pytest.fixture(scope="session")
def decade() -> Answered:
    """Ten logged years, reserve recorded from the fifth."""
    return Answered(11, CareerOptions(years=10, rir_recorded_from=0.5, n_gym_changes=1))


@pytest.fixture(scope="session")
def two_years() -> Answered:
    """Two short years: most questions are not enough."""
    return Answered(12, CareerOptions(years=1.6, sessions_per_week=3, n_layoffs=0, n_injuries=0))
