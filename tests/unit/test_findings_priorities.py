"""Findings about priority phases: each and all, placebos beside them, shares, proposals."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import polars as pl
import pytest

from pipeline.core.calendar import WEEKDAYS
from pipeline.core.dictionary import columns_of, conform, empty_frame
from pipeline.findings import propose_phases
from pipeline.findings.index_weeks import IndexWeeks
from pipeline.findings.priorities.phases import find_phases
from pipeline.findings.priorities.say import LEAST_SAID
from pipeline.findings.priorities.shares import share_rows
from pipeline.findings.support import support_phases
from tests.simulated_record import muscles_of

QUESTIONS = ["priority_gain", "priority_cost"]


@pytest.fixture(scope="module")
def findings(decade):
    return decade.answers.findings.filter(pl.col("question").is_in(QUESTIONS))


@pytest.fixture(scope="module")
def muscle_rows(decade):
    return decade.answers.tables["model_priority"]


def test_every_told_phase_has_its_two_rows_and_the_lifter_two(decade, findings):
    told = decade.record.events.filter(kind="priority")
    for question in QUESTIONS:
        own = findings.filter(question=question)
        events = own.filter(pl.col("subject").str.starts_with("event:"))
        assert sorted(events["subject"]) == sorted("event:" + told["event_id"])
        assert own.filter(pl.col("subject").str.starts_with("lifter:")).height == 1
    answered = findings.filter(pl.col("support") != "not enough")
    assert answered.height >= told.height
    assert set(answered["support"]) <= {"fair", "thin"}


def test_a_phase_s_gain_is_the_mean_of_its_chosen_muscles(findings, muscle_rows):
    for question, role in zip(QUESTIONS, ("chosen", "other"), strict=True):
        own = muscle_rows.filter((pl.col("role") == role) & ~pl.col("is_placebo"))
        means = own.group_by("event_id").agg(pl.col("gain_pct").mean())
        assert means.height > 5
        for event_id, mean in means.rows():
            (found,) = findings.filter(question=question, subject=f"event:{event_id}")["estimate"]
            assert found == pytest.approx(mean, abs=1e-9)


def test_sentences_say_the_numbers_and_whether_it_may_be_either_way(findings):
    answered = findings.filter(pl.col("support") != "not enough")
    for row in answered.iter_rows(named=True):
        if abs(row["estimate"]) < LEAST_SAID:
            assert "within 0.05 % (" in row["sentence"]
        else:
            side = "higher" if row["estimate"] > 0 else "lower"
            assert f"{abs(row['estimate']):.1f} % {side} (" in row["sentence"]
        holds_zero = row["low"] <= 0 <= row["high"]
        assert ("either way" in row["sentence"]) == holds_zero


def test_placebo_stretches_stand_beside_the_phases_without_an_event(muscle_rows):
    placebos = muscle_rows.filter("is_placebo")
    assert placebos.height > 0
    assert placebos["event_id"].is_null().all()
    phases = muscle_rows.filter(~pl.col("is_placebo"))
    chosen = [rows.filter(role="chosen") for rows in (phases, placebos)]
    more, even = ((rows["phase_share"] / rows["usual_share"]).median() for rows in chosen)
    assert more > 1.2
    assert 0.8 < even < 1.2


def test_a_journal_of_other_things_leaves_the_lifter_refused(two_years):
    findings = two_years.answers.findings.filter(pl.col("question").is_in(QUESTIONS))
    assert set(findings["support"]) == {"not enough"}
    assert two_years.answers.tables["model_priority"].is_empty()


def test_shares_add_up_and_are_clear_only_outside_the_interval(decade):
    table = decade.answers.tables["model_share"]
    assert set(table["span"]) == {"all", "three_years", "year"}
    for _, rows in table.group_by("span"):
        assert rows["sets_share"].sum() == pytest.approx(1.0)
    whole = table.filter(span="all")
    assert whole["progress_share"].sum() == pytest.approx(1.0)
    inside = whole["sets_share"].is_between(whole["low"], whole["high"])
    assert (whole["is_clear"] == ~inside).all()


def test_no_share_of_progress_where_there_is_none(decade):
    record = decade.record
    flat = IndexWeeks(
        np.zeros(record.n_weeks), np.full(record.n_weeks, 0.02), np.ones(record.n_weeks, bool)
    )
    rows = share_rows(record, {"chest": flat, "lats": flat})
    assert rows
    assert all(row["progress_share"] is None and not row["is_clear"] for row in rows)


def test_proposals_are_of_untold_weeks_only(decade):
    record, muscles = decade.record, muscles_of(decade.career)
    proposed = propose_phases(record, muscles)
    for start, end in proposed.select("start", "end").rows():
        assert all(end < one.start or start > one.end for one in find_phases(record))
    assert proposed.columns == [column.name for column in columns_of("tidy_proposal")]


@pytest.mark.parametrize("starts", WEEKDAYS)
def test_a_phase_is_as_many_weeks_long_wherever_weeks_start(decade, starts):
    moved = replace(decade.told, lifter=replace(decade.told.lifter, week_starts=starts))
    phases, told = list(find_phases(moved)), list(find_phases(decade.told))
    assert phases
    assert [one.phase.n_weeks for one in phases] == [one.phase.n_weeks for one in told]
    for one in phases:
        ends = moved.week_start(one.phase.first), moved.week_start(one.phase.last + 1)
        assert abs((ends[0] - one.start).days) <= 3
        assert abs((ends[1] - one.end).days - 1) <= 3


@pytest.mark.parametrize(
    ("first", "days", "weeks"),
    [
        (3, 14, (50, 51)),  # Thursday to Wednesday: the first week whole but three days
        (4, 14, (51, 52)),  # Friday to Thursday
        (2, 3, (50, 50)),  # some days keep their week
        (5, 4, (50, 50)),
        (0, 9999, (50, 9999)),  # still going on
    ],
)
def test_a_phase_has_the_weeks_that_lie_in_it_with_most_of_their_days(decade, first, days, weeks):
    record = decade.told
    start = record.week_start(50) + timedelta(days=first)
    event = {"event_id": "e", "lifter_id": "larch", "kind": "priority", "evidence": "told"}
    span = {"start": start, "end": start + timedelta(days=days - 1), "subject": "chest"}
    told = replace(record, events=conform("tidy_event", pl.DataFrame([event | span])))
    (found,) = find_phases(told)
    last = min(weeks[1], record.n_weeks - 1)
    assert (found.phase.first, found.phase.last) == (weeks[0], last)


def test_without_a_journal_a_clear_phase_is_proposed(decade):
    """A muscle trebled and two halved for ten weeks of even sets, with nothing told."""
    record, muscles = decade.record, muscles_of(decade.career)
    silent = type(record)(
        record.lifter,
        record.sets,
        empty_frame("tidy_event"),
        record.exercises,
        record.contributions,
    )
    lifts = muscles["muscle_id"].to_list()
    plan = pl.DataFrame({"week": np.arange(silent.n_weeks)}).join(
        pl.DataFrame({"exercise_id": lifts}), how="cross"
    )
    is_phase = pl.col("week").is_between(100, 109)
    sets = (
        pl.when(is_phase & (pl.col("exercise_id") == "calves"))
        .then(30)
        .when(is_phase & pl.col("exercise_id").is_in(["chest", "lats"]))
        .then(5)
        .otherwise(10)
    )
    silent.__dict__["counted"] = plan.select(pl.all().repeat_by(sets).explode())
    silent.__dict__["muscles_of"] = {lift: ((lift,), ()) for lift in lifts}
    (row,) = propose_phases(silent, muscles).iter_rows(named=True)
    assert row["subject"] == "calves"
    assert row["start"] == silent.week_start(100)
    assert row["end"] == silent.week_start(110) - timedelta(days=1)
    assert row["command"] == f"liftstrata accept {row['proposal_id']}"
    assert "calves got 2.8 times their usual share" in row["sentence"]


def test_the_support_rule():
    known = {"is_sided": True, "separated": True, "placebos_called": 0.1}
    assert support_phases(1, **known).word == "fair"
    for worse in ({"is_sided": False}, {"separated": False}, {"placebos_called": 0.2}):
        assert support_phases(9, **(known | worse)).word == "thin"
    assert support_phases(9, **(known | {"placebos_called": None})).word == "thin"
