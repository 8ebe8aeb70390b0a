"""Which deloads and layoffs are read, and what is said of coming back."""

from dataclasses import replace
from datetime import timedelta
from types import SimpleNamespace

import numpy as np
import polars as pl
import pytest

from dashboards.prepare.easing import count_easing
from pipeline.core.dictionary import conform
from pipeline.core.errors import Refusal
from pipeline.findings import find_events
from pipeline.findings.easing_layoffs import find_regain
from pipeline.findings.easing_pace import answer_pace, weeks_between
from pipeline.findings.easing_rows import index_facts
from pipeline.findings.easing_weekly import (
    _layoff_weeks,
    _main_week,
    deload_arguments,
    find_rest_weeks,
    long_layoffs,
    read_weekly,
)
from pipeline.models.pauses.layoff import Layoff, LayoffResponse, fit_layoffs
from pipeline.models.pauses.layoff_regain import RegainByLength
from pipeline.reference import load_facts

COMMON = {"lifter_id": "larch", "subject": "lifter:larch", "method": "m", "evidence": "told"}


@pytest.mark.parametrize(
    ("first", "days", "week"),
    [(0, 7, 50), (0, 14, 51), (3, 7, 50), (4, 3, 50), (0, 1, 50), (5, 1, 50)],
)
def test_strength_is_read_after_the_last_week_of_a_deload(decade, first, days, week):
    start = decade.told.week_start(50) + timedelta(days=first)
    event = {"start": start, "end": start + timedelta(days=days - 1)}
    assert _main_week(decade.told, event) == week


def test_a_layoff_is_two_known_weeks_or_more(decade):
    record, sets = decade.told, decade.told.sets
    gone = {200: 1, 300: 3, 400: 3}  # weeks off; the last with one of its weeks not told
    for week, length in gone.items():
        start, end = record.week_start(week), record.week_start(week + length) - timedelta(days=1)
        sets = sets.filter(~pl.col("session_date").is_between(start, end))
    rows = [
        {
            "event_id": f"e{week}",
            "lifter_id": "larch",
            "kind": "layoff",
            "evidence": "told",
            "start": record.week_start(week),
            "end": record.week_start(week + (length if week < 400 else 2)) - timedelta(days=1),
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


FACTS = index_facts(load_facts())


def regain(low: float, high: float):
    rule = RegainByLength(0.6, low, high, 3, 5.0)
    return find_regain(LayoffResponse((), 3, None, rule), COMMON, FACTS)


def test_weeks_to_regain_stand_beside_the_published_share():
    """Half the weeks off: ten weeks off regained in five (Halonen et al. 2024; computed)."""
    found = regain(0.3, 1.2)
    assert (found.estimate, found.low, found.high) == pytest.approx((3.0, 1.5, 6.0))
    assert found.prior_estimate == pytest.approx(2.5)
    assert "After 5 weeks off" in found.sentence
    assert "3.0 weeks (1.5 to 6.0)" in found.sentence


def test_a_return_not_seen_leaves_the_upper_end_open():
    found = regain(0.3, np.inf)
    assert found.high is None
    assert "its upper end not within the weeks read" in found.sentence


def test_a_rule_over_too_few_returns_is_refused():
    refusal = Refusal(1, 2, "layoffs with a loss", "more of them")
    found = find_regain(LayoffResponse((), 1, None, refusal), COMMON, FACTS)
    assert found.support == "not enough"
    assert found.estimate is None


def drop_weeks(record, *weeks: int):
    """The record without the sets of these weeks."""
    sets = record.sets
    for week in weeks:
        start, end = record.week_start(week), record.week_start(week) + timedelta(days=6)
        sets = sets.filter(~pl.col("session_date").is_between(start, end))
    return replace(record, sets=sets)


def told(record, kind: str, week: int, weeks: int = 1) -> pl.DataFrame:
    row = {
        "event_id": f"{kind}{week}",
        "lifter_id": "larch",
        "kind": kind,
        "evidence": "told",
        "start": record.week_start(week),
        "end": record.week_start(week + weeks) - timedelta(days=1),
    }
    return conform("tidy_event", pl.DataFrame([row]))


def test_three_kinds_of_pause_are_kept_apart(decade):
    """A deload told but not trained is a week of rest, like one week of a told layoff."""
    record = drop_weeks(decade.told, 200, 260, 320, 321)
    events = [
        told(record, "deload", 200),
        told(record, "layoff", 260),
        told(record, "layoff", 320, 2),
        told(record, "deload", 400),
    ]
    record = replace(record, events=pl.concat(events))
    weekly = read_weekly(record, {})
    assert weekly.rests.tolist() == [200, 260]
    assert sorted(weekly.deloads) == [400]
    assert sorted(weekly.layoffs) == [320]
    away = np.flatnonzero(long_layoffs(record))
    assert {320, 321} <= set(away.tolist())
    assert not {200, 260} & set(away.tolist())


def test_the_weeks_after_a_single_week_of_rest_are_read(decade):
    record = drop_weeks(decade.told, 300)
    record = replace(record, events=told(record, "layoff", 300))
    *_, left_out, rests = deload_arguments(record, read_weekly(record, {}))
    assert 300 in rests
    assert not left_out[298:305].any()


def test_a_week_of_rest_found_by_rule_says_so_and_leaves_its_neighbours_alone(decade):
    record = drop_weeks(decade.told, 290)
    found = find_events(record, decade.lifts.levels, 84)
    off = found.filter((pl.col("kind") == "layoff") & (pl.col("evidence") == "rule"))
    monday = record.week_start(290)
    (one,) = off.filter((pl.col("start") <= monday) & (pl.col("end") >= monday)).rows(named=True)
    assert one["note"] == "one week of rest"
    record = replace(record, events=found)
    *_, left_out, rests = deload_arguments(record, read_weekly(record, {}))
    assert 290 in rests
    assert not (left_out & ~record.weeks_within("deload"))[286:296].any()


def test_pace_is_counted_and_stands_beside_the_survey(decade):
    """Survey of 246 athletes: every 5.8 weeks, one standard deviation 3.4 (Bell et al.; read)."""
    pace, length = answer_pace(decade.record, FACTS)
    assert (pace.question, length.question) == ("deload_pace", "deload_length")
    assert (pace.prior_estimate, pace.prior_low, pace.prior_high) == (5.8, 2.4, 9.2)
    assert (length.prior_estimate, length.unit) == (6.4, "days")
    starts = decade.record.events.filter(pl.col("kind") == "deload").sort("start")["start"]
    gaps = weeks_between(decade.record, starts.to_list())
    assert pace.estimate == pytest.approx(np.mean(gaps))
    assert pace.n == len(gaps) < len(starts)
    assert pace.support == "firm"


def test_a_layoff_parts_two_deloads_and_a_week_of_rest_does_not(decade):
    record = drop_weeks(decade.told, 104, 152, 153)
    events = [told(record, "layoff", 104), told(record, "layoff", 152, 2)]
    record = replace(record, events=pl.concat(events))
    starts = [record.week_start(week) for week in (100, 108, 150, 158)]
    assert 8.0 in weeks_between(record, starts)[:1]
    assert weeks_between(record, starts[2:]) == []


def test_answers_say_how_the_deloads_are_known(decade):
    rows = {row["question"]: row for row in decade.answers.findings.iter_rows(named=True)}
    sentence = rows["deload_effect"]["sentence"]
    assert "in the journal" in sentence
    assert rows["rest_effect"]["support"] in ("thin", "not enough")
    assert {"deload_pace", "deload_length"} <= set(rows)


def test_the_outline_is_as_high_as_the_course_and_not_fitted(decade):
    paths = decade.answers.tables["model_deload_path"]
    outline = paths.filter(pl.col("series") == "textbook")
    course = paths.filter((pl.col("series") == "after_deloads") & (pl.col("week_offset") > 0))
    assert outline["value_pct"].abs().max() == pytest.approx(course["value_pct"].abs().max())
    assert outline.filter(pl.col("week_offset") < 0)["value_pct"].abs().max() < 1e-6
    assert outline["n"].to_list() == [0] * outline.height


def test_page_and_finding_count_the_same_pace(decade):
    """The page counts from events and statuses of weeks, the finding from the record."""
    record = drop_weeks(decade.told, 104, 152, 153)
    events = [record.events, told(record, "layoff", 104), told(record, "layoff", 152, 2)]
    record = replace(record, events=pl.concat(events))
    status = np.where(record.trained, "trained", "unlogged").astype(object)
    status[~record.trained & record.weeks_within("layoff")] = "layoff"
    status[record.trained & record.weeks_within("deload")] = "deload"
    weeks = pl.DataFrame(
        {
            "lifter_id": ["larch"] * record.n_weeks,
            "week_start": [record.week_start(week) for week in range(record.n_weeks)],
            "week_status": status.tolist(),
        }
    )
    tables = {"tidy_event": record.events, "mart_week_lifter": weeks}
    counts = count_easing(SimpleNamespace(tables=tables), "larch")
    pace, length = answer_pace(record, FACTS)
    assert counts.every.mean == pytest.approx(pace.estimate)
    assert len(counts.every.values) == pace.n
    assert counts.length.mean == pytest.approx(length.estimate)
    assert counts.rests["start"].to_list() == [record.week_start(104)]
    assert counts.rests.height == len(find_rest_weeks(record))
