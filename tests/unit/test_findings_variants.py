"""Variants: which set is which, rests of one for another, and pooling against another library."""

from datetime import date, timedelta

import numpy as np
import polars as pl
import pytest
from statsmodels.stats.meta_analysis import combine_effects

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.errors import Refusal
from pipeline.core.page_book import LifterInfo
from pipeline.findings import Record
from pipeline.findings.index_weeks import IndexWeeks
from pipeline.findings.variants import answer_variants
from pipeline.findings.variants.units import find_rests, find_units
from pipeline.models.variants.carry import Carry, pool_rests
from pipeline.reference import load_reference

REFERENCE = load_reference()
START = date(2022, 1, 3)


def record(rows: list[tuple[int, str, float | None, str | None, float]]) -> Record:
    """One set each of (week, exercise, angle, position, load)."""
    frame = pl.DataFrame(
        {
            "session_date": [START + timedelta(weeks=one[0]) for one in rows],
            "exercise_id": [one[1] for one in rows],
            "angle_deg": [one[2] for one in rows],
            "position": [one[3] for one in rows],
            "load_kg": [one[4] for one in rows],
        },
        schema_overrides={"angle_deg": pl.Float64, "position": pl.String},
    ).with_columns(
        lifter_id=pl.lit("ash"),
        session_id=pl.col("session_date").cast(pl.String),
        exercise_as_written="exercise_id",
        exercise_order=pl.lit(1),
        set_no=pl.lit(1),
        segment_no=pl.lit(1),
        is_warmup=pl.lit(False),
        load_basis=pl.lit("total"),
        load_moved_kg="load_kg",
        reps=pl.lit(8),
        rir_source=pl.lit("none"),
        is_doubted=pl.lit(False),
        file_id=pl.lit("f"),
        row_no=pl.int_range(1, pl.len() + 1),
    )
    return Record(
        lifter=LifterInfo("ash", "Ash (invented)", date(2018, 1, 1)),
        sets=conform("tidy_set", frame),
        events=empty_frame("tidy_event"),
        exercises=REFERENCE.exercises,
        contributions=REFERENCE.contributions,
    )


def test_the_angle_or_position_of_a_set_wins_over_that_of_its_exercise():
    told = record(
        [
            (0, "incline_bench_press", None, None, 60.0),
            (0, "incline_bench_press", 45.0, None, 55.0),
            (0, "bench_press", None, None, 80.0),
            (0, "bench_press", -20.0, None, 85.0),
            (0, "overhead_press", None, None, 40.0),
            (0, "dumbbell_bench_press", 75.0, None, 40.0),
            (1, "cable_lateral_raise", None, "behind", 8.0),
            (1, "cable_lateral_raise", None, "leaning", 8.0),
            (1, "back_squat", None, None, 100.0),
        ]
    )
    units = {(one.exercise_id, one.variant_id) for one in find_units(told, REFERENCE.variants)}
    assert units == {
        ("incline_bench_press", "about_30"),
        ("incline_bench_press", "about_45"),
        ("bench_press", "flat"),
        ("bench_press", "decline"),
        ("overhead_press", "steep"),
        ("dumbbell_bench_press", "steep"),
        ("cable_lateral_raise", "behind"),
        ("cable_lateral_raise", "beside"),
    }


def course(trained: np.ndarray, level: np.ndarray) -> IndexWeeks:
    return IndexWeeks(level, np.full(level.size, 0.01), trained)


def test_a_rest_is_of_eight_weeks_with_the_other_trained_in_half_of_them():
    week = np.arange(60)
    own = course((week < 20) | (week >= 30), np.where(week < 25, 0.0, 0.03))
    other = course(week < 100, np.where(week < 25, 0.0, 0.05))
    (rest,) = find_rests(own, other)
    assert rest.weeks == 10
    assert (rest.own, rest.other) == (pytest.approx(0.03), pytest.approx(0.05))
    assert rest.se == pytest.approx(0.02)
    assert list(find_rests(own, course(week < 20, other.level_log))) == []
    short = course((week < 20) | (week >= 27), own.level_log)
    assert list(find_rests(short, other)) == []


def test_pooling_agrees_with_another_library():
    difference = np.array([0.05, -0.02, 0.09, 0.01, 0.12])
    se = np.array([0.02, 0.03, 0.025, 0.02, 0.04])
    theirs = combine_effects(difference, se**2, method_re="dl", use_t=True).summary_frame()
    ours = pool_rests(difference, se)
    assert isinstance(ours, Carry)
    row = theirs.loc["random effect wls"]  # Hartung and Knapp's scatter
    assert ours.pct / 100 == pytest.approx(row["eff"])
    assert ours.low / 100 == pytest.approx(row["ci_low"], rel=1e-6)
    assert ours.high / 100 == pytest.approx(row["ci_upp"], rel=1e-6)


def test_two_rests_are_refused():
    refusal = pool_rests(np.array([0.1, 0.2]), np.array([0.01, 0.01]))
    assert isinstance(refusal, Refusal)
    assert refusal.sentence().startswith("Not enough: 2 rests of one variant")


def swapped() -> Record:
    """Two years: the incline press comes late, then rests for ten weeks three times."""
    rows = []
    for week in range(104):
        growth = np.exp(0.0005 * week)
        rows.append((week, "bench_press", None, None, 80.0 * growth))
        if week % 24 >= 10:
            rows.append((week, "incline_bench_press", None, None, 60.0 * growth))
    return record(rows)


def levels(told: Record) -> pl.DataFrame:
    sets = told.counted.select(
        "lifter_id",
        "exercise_id",
        week_start=pl.col("session_date").dt.truncate("1w"),
        level_log=pl.col("load_kg").log(),
        se=pl.lit(0.01),
        is_trained=pl.lit(True),
    )
    return conform("model_lift_level", sets)


def test_a_variant_that_kept_pace_is_told_so_and_that_it_is_not_size():
    told = swapped()
    answers = answer_variants(told, levels(told), REFERENCE.variants)
    (found,) = answers.findings
    assert found.subject == "variant:incline_bench_press.about_30@bench_press.flat"
    assert found.low < 0 < found.high
    assert abs(found.estimate) < 0.1
    assert found.support == "thin"
    assert "no difference from the other's course that can be told" in found.sentence
    assert "says nothing of size" in found.sentence
    assert "near 45 degrees" in found.sentence
    assert "no published source" in found.sentence
    (row,) = answers.tables["model_variant"].to_dicts()
    assert (row["rests"], row["weeks_away"]) == (3, 10.0)
    assert row["own_pct"] == pytest.approx(row["other_pct"], abs=0.1)
    used = answers.tables["model_variant_use"]
    assert used.filter(exercise_id="bench_press")["sets"].item() == 104


def test_a_variant_that_never_rested_is_refused_and_one_alone_too():
    rows = [
        (week, lift, None, None, 60.0)
        for week in range(52)
        for lift in ("bench_press", "incline_bench_press", "dumbbell_fly")
    ]
    told = record(rows)
    found = {
        one.subject: one for one in answer_variants(told, levels(told), REFERENCE.variants).findings
    }
    assert set(found) == {"variant:press", "variant:fly"}
    assert {one.support for one in found.values()} == {"not enough"}
    assert "0 rests of one variant while the other was trained, 3 needed" in (
        found["variant:press"].sentence
    )
    assert "1 variant of the fly at another angle, 2 needed" in found["variant:fly"].sentence
