"""Is a verdict told where strength turned, and none where it went on? Gross failures only.

``python -m tests.recovery.measure_news`` prints how often a verdict is told on steady careers.
"""

from dataclasses import replace
from datetime import timedelta
from functools import partial

import polars as pl
import pytest

from pipeline.findings import Record
from pipeline.models.simulate import Career, simulate_career
from tests.recovery.measure_news import STEADY, Asked, answer_slopes, tell_all
from tests.simulated_record import muscles_of, record_of

TURNS_AFTER, FALL_A_WEEK = 130, 0.004  # weeks; log load
EVERY = 10


@pytest.fixture(scope="module")
def career() -> Career:
    return simulate_career(1, replace(STEADY, with_nights=False))


def most_done(career: Career) -> Asked:
    """The lift with most sets."""
    sets = record_of(career).sets["exercise_id"].value_counts(sort=True)
    return Asked([sets["exercise_id"][0]], [])


def told_words(career: Career, record: Record) -> list[str]:
    """Words told of the lift from its third year on, a refresh every ten weeks."""
    weeks = range(TURNS_AFTER, career.n_weeks + 1, EVERY)
    days = [career.start + timedelta(weeks=week) for week in weeks]
    answer = partial(answer_slopes, muscles_of(career), most_done(career))
    return [one["word"] for one in tell_all(record, days, answer)]


def test_steady_growth_is_no_news(career: Career) -> None:
    assert told_words(career, record_of(career)) == []


def test_a_turn_is_told_once(career: Career) -> None:
    record = record_of(career)
    week = (pl.col("session_date") - career.start).dt.total_days() / 7
    less = (-FALL_A_WEEK * (week - TURNS_AFTER).clip(lower_bound=0)).exp()
    loads = [(pl.col(name) * less).alias(name) for name in ("load_kg", "load_moved_kg")]
    fallen = replace(record, sets=record.sets.with_columns(loads))
    words = told_words(career, fallen)
    assert words[-1] == "falling"
    assert words.count("falling") == 1
