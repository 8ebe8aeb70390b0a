"""What of a record may speak of strength, and which weeks its events touch."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import polars as pl
import pytest

from pipeline.core.calendar import WEEKDAYS
from pipeline.core.dictionary import conform
from pipeline.findings.arrays import Record, strength_arrays
from pipeline.findings.volume_record import weeks_left_out


def with_event(record: Record, **fields: object) -> Record:
    """The record with one told event only."""
    told = {"event_id": "e", "lifter_id": "larch", "evidence": "told", "end": None}
    return replace(record, events=conform("tidy_event", pl.DataFrame([{**told, **fields}])))


def starting_on(record: Record, starts: str) -> Record:
    """The record with weeks that start on another day."""
    return replace(record, lifter=replace(record.lifter, week_starts=starts))


def test_an_estimated_reserve_is_never_handed_to_a_strength_model(decade):
    sets = decade.record.strength_sets
    is_estimated = (sets["rir_source"] == "estimated").to_numpy()
    is_recorded = (sets["rir_source"] == "recorded").to_numpy()
    rir = strength_arrays(decade.record, sets)["rir"]
    assert is_estimated.sum() > 1000
    assert np.isnan(rir[is_estimated]).all()
    assert np.array_equal(rir[is_recorded], sets["rir"].to_numpy()[is_recorded])


def test_the_index_is_the_same_before_and_after_reserve_is_estimated(decade):
    before = strength_arrays(decade.told, decade.told.strength_sets)
    after = strength_arrays(decade.record, decade.record.strength_sets)
    for name, values in before.items():
        assert np.array_equal(values, after[name], equal_nan=values.dtype.kind == "f"), name


def test_a_deload_without_an_end_lasts_a_week(decade):
    monday = decade.told.week_start(100)
    record = with_event(decade.told, kind="deload", start=monday)
    assert np.flatnonzero(record.weeks_within("deload")).tolist() == [100]


@pytest.mark.parametrize("starts", WEEKDAYS)
def test_a_deload_takes_the_weeks_that_it_makes_light(decade, starts):
    """From Monday to Sunday it touches two weeks unless they start on Monday; each is light only
    where one of its training days, here Monday to Friday, lies in the deload."""
    record = starting_on(decade.told, starts)
    start = decade.told.week_start(100)
    days = record.working["session_date"].unique().sort()
    week = days.filter(days.is_between(start, start + timedelta(days=6)))
    assert (week.dt.weekday().min(), week.dt.weekday().max()) == (1, 5)
    light = {record.week_of(day) for day in week}
    told = with_event(record, kind="deload", start=start)
    assert set(np.flatnonzero(told.weeks_within("deload"))) == light
    assert len(light) == (1 if starts in ("saturday", "sunday", "monday") else 2)


@pytest.mark.parametrize("starts", WEEKDAYS)
def test_a_deload_without_training_takes_all_weeks_that_it_touches(decade, starts):
    start = decade.told.week_start(100)
    kept = ~pl.col("session_date").is_between(start, start + timedelta(days=6))
    record = replace(starting_on(decade.told, starts), sets=decade.told.sets.filter(kept))
    told = with_event(record, kind="deload", start=start)
    last = start + timedelta(days=6)
    touched = {record.week_of(start), record.week_of(last)}
    assert set(np.flatnonzero(told.weeks_within("deload"))) == touched


def test_a_layoff_without_an_end_lasts_to_the_next_training_day(decade):
    days = decade.told.working["session_date"].unique().sort().to_list()
    gap = max(range(len(days) - 1), key=lambda at: days[at + 1] - days[at])
    record = with_event(decade.told, kind="layoff", start=days[gap] + timedelta(days=1))
    last = days[gap + 1] - timedelta(days=1)
    assert record.last_day_of("layoff", days[gap] + timedelta(days=1), None) == last
    assert np.flatnonzero(record.weeks_within("layoff"))[-1] == record.week_of(last)


def test_an_injury_without_an_end_goes_on(decade):
    record = with_event(decade.told, kind="injury", start=decade.told.week_start(400))
    assert record.weeks_within("injury")[400:].all()
    assert not record.weeks_within("injury")[:400].any()


@pytest.mark.parametrize(("lifts_out", "n_muscles_hit"), [("one", "some"), (None, "all")])
def test_an_old_complaint_takes_only_the_muscles_of_its_lifts(decade, lifts_out, n_muscles_hit):
    muscles = [one for one in decade.career.muscles if one in decade.record.weekly_sets]
    lift = decade.career.exercises[0]
    record = with_event(
        decade.told,
        kind="injury",
        start=date(1990, 1, 1),
        lifts_out=lift.exercise_id if lifts_out else None,
    )
    hit = {one for one in muscles if weeks_left_out(record, one).all()}
    assert hit == (set(lift.direct) if n_muscles_hit == "some" else set(muscles))


@pytest.mark.parametrize(("n_weeks", "left_out"), [(1, [200]), (2, [200, 201, 202, 203, 204, 205])])
def test_after_one_week_of_rest_no_level_is_left_out(decade, n_weeks, left_out):
    start = decade.told.week_start(200)
    end = start + timedelta(days=7 * n_weeks - 1)
    trained = replace(
        decade.told, sets=decade.told.sets.filter(~pl.col("session_date").is_between(start, end))
    )
    record = with_event(trained, kind="layoff", start=start, end=end)
    near = np.arange(190, 215)
    assert decade.told.trained[near].all()
    assert near[weeks_left_out(record, "chest")[near]].tolist() == left_out
