"""Which deloads and layoffs are read, and what is said of coming back."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import polars as pl
import pytest

from pipeline.core.dictionary import conform
from pipeline.findings.easing import _find_regain, _layoff_weeks, _main_week
from pipeline.models.layoff import Layoff, LayoffOutcome, LayoffResponse, fit_layoffs

COMMON = {"lifter_id": "larch", "subject": "lifter:larch", "method": "m", "evidence": "told"}


@pytest.mark.parametrize(
    ("first", "days", "week"),
    [(0, 7, 50), (0, 14, 51), (3, 7, 50), (4, 3, 50), (0, 1, 50), (5, 1, 50)],
)
def test_strength_is_read_after_the_last_week_of_a_deload(decade, first, days, week):
    start = decade.told.monday(50) + timedelta(days=first)
    event = {"start": start, "end": start + timedelta(days=days - 1)}
    assert _main_week(decade.told, event) == week


def test_a_layoff_is_two_known_weeks_or_more(decade):
    record, sets = decade.told, decade.told.sets
    gone = {200: 1, 300: 3, 400: 3}  # weeks off; the last with one of its weeks not told
    for week, length in gone.items():
        start, end = record.monday(week), record.monday(week + length) - timedelta(days=1)
        sets = sets.filter(~pl.col("session_date").is_between(start, end))
    rows = [
        {
            "event_id": f"e{week}",
            "lifter_id": "larch",
            "kind": "layoff",
            "evidence": "told",
            "start": record.monday(week),
            "end": record.monday(week + (length if week < 400 else 2)) - timedelta(days=1),
        }
        for week, length in gone.items()
    ]
    told = replace(record, sets=sets, events=conform("tidy_event", pl.DataFrame(rows)))
    found = {start: one for start, (one, _) in _layoff_weeks(told).items() if start in gone}
    assert found == {300: Layoff(300, 302)}


def test_a_return_beyond_the_weeks_read_is_not_extrapolated():
    rng = np.random.default_rng(3)
    strength = 0.003 * rng.standard_normal(60)
    strength[20:30] = np.nan
    strength[30:] += -0.10 * np.exp(-np.arange(30) / 40.0)
    response = fit_layoffs(strength, np.full(60, 4.0), (Layoff(20, 29),))
    (one,) = response.outcomes
    assert one.weeks_to_regain == np.inf


def outcome(weeks: float) -> LayoffOutcome:
    return LayoffOutcome(Layoff(0, 4), -6.0, -8.0, -4.0, 1.0, weeks, 1.0, np.inf)


def regain(*weeks: float):
    outcomes = tuple(outcome(one) for one in weeks)
    return _find_regain(LayoffResponse(outcomes, len(weeks), None), COMMON)


def test_a_return_not_seen_leaves_the_upper_end_open():
    found = regain(3.0, 4.0, np.inf)
    assert (found.estimate, found.low, found.high) == (4.0, 3.0, None)
    assert "one or more not within the weeks read" in found.sentence


def test_a_middle_that_was_not_seen_is_refused():
    found = regain(3.0, np.inf, np.inf)
    assert found.support == "not enough"
    assert found.estimate is None


def test_least_and_most_hold_the_middle_as_often_as_said():
    found = regain(2.0, 3.0, 4.0, 5.0, 6.0)
    rng = np.random.default_rng(1)
    draws = rng.exponential(5.0, (20_000, 5))
    middle = 5.0 * np.log(2.0)
    held = np.mean((draws.min(axis=1) <= middle) & (draws.max(axis=1) >= middle))
    assert held == pytest.approx(found.coverage, abs=0.01)
