"""Injuries in a hand-made log: what was out, what rose, the way back, what is still ruled out."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import polars as pl
import pytest

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.errors import Refusal
from pipeline.core.page_book import LifterInfo
from pipeline.findings import Record
from pipeline.findings.index_weeks import IndexWeeks
from pipeline.findings.injuries import InjuryAnswers, answer_injuries
from pipeline.findings.injuries.say import CAUTION
from pipeline.models.injury.course import Change, measure_change, weeks_to_level
from pipeline.reference import load_reference

REFERENCE = load_reference()
START = date(2024, 1, 1)
HURT, HEALED = START + timedelta(weeks=20), START + timedelta(weeks=29, days=6)
# Sets a week before, during and after ten weeks of a sore knee, and load by those times.
LOG = {
    "back_squat": ((6, 100.0), (0, 0.0), (12, 90.0)),
    "leg_press": ((2, 200.0), (5, 200.0), (2, 200.0)),
    "leg_extension": ((4, 50.0), (4, 50.0), (4, 50.0)),
    "bench_press": ((4, 80.0), (4, 80.0), (4, 80.0)),
}


def log(until: int = 45) -> pl.DataFrame:
    """Table ``tidy_set``: one session each Monday."""
    rows = []
    for week in range(until):
        part = 0 if week < 20 else 1 if week < 30 else 2
        day = START + timedelta(weeks=week)
        for lift, times in LOG.items():
            sets, load = times[part]
            # Three weeks after its return the squat is back where it was.
            load = 100.0 if lift == "back_squat" and week >= 33 else load
            rows += [(day, lift, number + 1, load) for number in range(sets)]
    frame = pl.DataFrame(
        rows, schema=["session_date", "exercise_id", "set_no", "load"], orient="row"
    )
    frame = frame.with_columns(
        lifter_id=pl.lit("ash"),
        session_id=pl.col("session_date").cast(pl.String),
        exercise_as_written="exercise_id",
        exercise_order=pl.lit(1),
        segment_no=pl.lit(1),
        is_warmup=pl.lit(False),
        load_kg="load",
        load_basis=pl.lit("total"),
        load_moved_kg="load",
        reps=pl.lit(5),
        rir_source=pl.lit("none"),
        is_doubted=pl.lit(False),
        file_id=pl.lit("f"),
        row_no=pl.int_range(1, pl.len() + 1),
    )
    return conform("tidy_set", frame.drop("load"))


def record(end: date | None, lifts_out: str | None, regions: str | None, until: int = 45) -> Record:
    """The log with one injury in the journal."""
    event = {
        "event_id": "e1",
        "lifter_id": "ash",
        "kind": "injury",
        "start": HURT,
        "end": end,
        "evidence": "told",
        "lifts_out": lifts_out,
        "regions": regions,
    }
    return Record(
        lifter=LifterInfo("ash", "Ash (invented)", date(2020, 1, 1)),
        sets=log(until),
        events=conform("tidy_event", pl.DataFrame([event])),
        exercises=REFERENCE.exercises,
        contributions=REFERENCE.contributions,
    )


def levels(told: Record) -> pl.DataFrame:
    """Table ``model_lift_level`` of the squat: its load as its level, known to one per cent."""
    sets = told.counted.filter(pl.col("exercise_id") == "back_squat")
    weeks = sets.group_by("week").agg(pl.col("load_kg").max()).sort("week")
    frame = weeks.select(
        week_start=pl.col("week").map_elements(told.week_start, return_dtype=pl.Date),
        level_log=pl.col("load_kg").log(),
    ).with_columns(
        lifter_id=pl.lit("ash"),
        exercise_id=pl.lit("back_squat"),
        se=pl.lit(0.01),
        is_trained=pl.lit(True),
    )
    return conform("model_lift_level", frame)


def answer(told: Record) -> InjuryAnswers:
    """All answers, with a quads index that fell by four per cent through the injury."""
    course = np.interp(np.arange(told.n_weeks), [19, 29, 35], [0.0, -0.04, 0.0])
    known = np.ones(told.n_weeks, dtype=bool)
    quads = IndexWeeks(course, np.full(told.n_weeks, 0.005), known)
    return answer_injuries(told, levels(told), {"quads": quads}, REFERENCE.muscles)


@pytest.fixture(scope="module")
def healed() -> InjuryAnswers:
    return answer(record(HEALED, "back_squat", "knee"))


def test_what_was_out_is_counted_with_its_share_of_the_sets_before(healed):
    (row,) = healed.tables["model_injury"].to_dicts()
    assert (row["lifts_out"], row["substitutes"], row["weeks"]) == (1, 1, 10)
    assert row["sets_out"] == pytest.approx(6)
    assert row["share_out_pct"] == pytest.approx(100 * 6 / 16)


def test_the_lift_that_rose_and_trains_the_same_is_the_substitute(healed):
    lifts = healed.tables["model_injury_lift"]
    rose = lifts.filter(role="substitute").to_dicts()
    # Leg extensions train the same muscle but stayed; bench presses train others.
    assert [(one["exercise_id"], one["sets_before"], one["sets_during"]) for one in rose] == [
        ("leg_press", 2.0, 5.0)
    ]


def test_the_way_back_tells_weeks_sets_and_load(healed):
    (squat,) = healed.tables["model_injury_lift"].filter(role="out").to_dicts()
    assert squat["weeks_away"] == 0
    assert squat["return_pct"] == pytest.approx(100 * np.log(0.9))
    assert squat["return_low"] < squat["return_pct"] < squat["return_high"]
    assert squat["weeks_to_level"] == 3
    assert squat["sets_back_ratio"] == pytest.approx(2.0)
    assert squat["load_back_ratio"] == pytest.approx(0.9)


def test_the_muscle_that_lost_its_sets_is_followed(healed):
    (quads,) = healed.tables["model_injury_muscle"].to_dicts()
    assert quads["share_out_pct"] == pytest.approx(50)
    assert quads["through_low"] < quads["through_pct"] < -2 < 0
    assert abs(quads["after_pct"]) < 1


def test_findings_say_their_numbers_and_the_caution(healed):
    said = {one.subject: one for one in healed.findings}
    assert set(said) == {"event:e1", "muscle:quads", "lift:back_squat"}
    event = said["event:e1"]
    assert event.support == "firm"
    assert "38 % of the sets" in event.sentence
    assert event.sentence.endswith(CAUTION)
    assert {said["muscle:quads"].support, said["lift:back_squat"].support} == {"thin"}
    assert "its old level was reached 3 weeks after" in said["lift:back_squat"].sentence
    assert len({one.finding_id for one in healed.findings}) == 3


def test_an_injury_that_ended_constrains_nothing(healed):
    assert healed.tables["model_constraint"].is_empty()


def test_an_open_injury_rules_out_what_is_named_and_what_strains_the_region():
    told = record(None, "back_squat", "knee", until=28)
    answers = answer(told)
    assert answers.findings[0].sentence.startswith(
        "Knee complaint since 20 May 2024, still going on: back squat is out, 38 % of the sets"
    )
    ruled = dict(answers.tables["model_constraint"].select("exercise_id", "reason").rows())
    assert ruled["back_squat"] == "named in the journal as out"
    assert "loads the knee much" in ruled["hack_squat"]
    # Done since the injury began: the lifter's own word that it goes.
    assert "leg_extension" not in ruled
    assert "bench_press" not in ruled


def test_without_named_lifts_those_that_stopped_and_strain_the_region_are_found():
    found = answer(record(HEALED, None, "knee")).tables["model_injury_lift"].filter(role="out")
    assert found.select("exercise_id", "how").rows() == [("back_squat", "found")]


def test_a_short_record_before_it_is_refused():
    told = record(HEALED, "back_squat", "knee")
    late = replace(told, sets=told.sets.filter(pl.col("session_date") >= HURT - timedelta(weeks=2)))
    findings = answer_injuries(late, levels(late), {}, REFERENCE.muscles).findings
    (event,) = [one for one in findings if one.subject == "event:e1"]
    assert event.support == "not enough"
    assert event.sentence.startswith("Not enough: 2 trained weeks in the 13 before this injury")


def test_no_injury_gives_empty_tables(two_years):
    told = replace(two_years.record, events=empty_frame("tidy_event"))
    found = answer_injuries(told, two_years.lifts.levels, {}, REFERENCE.muscles)
    assert found.findings == ()
    assert all(frame.is_empty() for frame in found.tables.values())


def test_a_change_is_that_of_the_means_with_both_errors():
    level, se = np.array([0.0, 0.02, 0.05, 0.07]), np.full(4, 0.01)
    first, later = np.array([True, True, False, False]), np.array([False, False, True, True])
    change = measure_change(level, se, first, later, 0.95)
    assert isinstance(change, Change)
    assert change.pct == pytest.approx(5.0)
    assert change.high - change.low == pytest.approx(2 * 1.96 * np.sqrt(2), rel=1e-3)
    assert isinstance(measure_change(level, se, first & False, later, 0.95), Refusal)


def test_the_old_level_is_reached_within_one_per_cent_and_only_in_trained_weeks():
    level = np.array([0.0, -0.05, 0.0, -0.005])
    assert weeks_to_level(level, np.array([True, True, False, True]), 0.0, 1) == 2
    assert weeks_to_level(level, np.zeros(4, dtype=bool), 0.0, 1) is None
