"""Effort: counts by hand, who tells of failure, and the regression on a planted effect."""

from datetime import date

import numpy as np
import polars as pl
import pytest

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.errors import Refusal
from pipeline.core.page_book import LifterInfo
from pipeline.findings import Record
from pipeline.findings.effort import answer_effort
from pipeline.findings.effort.counts import EffortSets
from pipeline.findings.effort.say import say_drops
from pipeline.models.effort.blocks import EffortEffect, EffortWeeks, fit_effort
from pipeline.models.weeks import WEEKS_PER_YEAR
from pipeline.reference import load_reference

REFERENCE = load_reference()
START = date(2023, 1, 2)
N_WEEKS = 400


def record(rows: list[dict[str, object]]) -> Record:
    """Sets of one session a week; what a row leaves out is that of a plain set."""
    plain = {
        "week": 0,
        "exercise_id": "leg_press",
        "set_no": 1,
        "segment_no": 1,
        "cluster_id": None,
        "load_kg": 100.0,
        "reps": 10,
        "rir": None,
        "to_failure": None,
    }
    frame = pl.DataFrame(
        [plain | one for one in rows],
        schema_overrides={"cluster_id": pl.String, "rir": pl.Float64, "to_failure": pl.Boolean},
        infer_schema_length=None,
    )
    frame = frame.with_columns(
        lifter_id=pl.lit("ash"),
        session_date=pl.lit(START) + pl.duration(weeks="week"),
        exercise_as_written="exercise_id",
        exercise_order=pl.lit(1),
        is_warmup=pl.lit(False),
        load_basis=pl.lit("total"),
        load_moved_kg="load_kg",
        rir_source=pl.when(pl.col("rir").is_null())
        .then(pl.lit("none"))
        .otherwise(pl.lit("recorded")),
        is_doubted=pl.lit(False),
        file_id=pl.lit("f"),
        row_no=pl.int_range(1, pl.len() + 1),
    ).with_columns(session_id=pl.col("session_date").cast(pl.String))
    return Record(
        lifter=LifterInfo("ash", "Ash (invented)", date(2018, 1, 1)),
        sets=conform("tidy_set", frame.drop("week")),
        events=empty_frame("tidy_event"),
        exercises=REFERENCE.exercises,
        contributions=REFERENCE.contributions,
    )


@pytest.fixture(scope="module")
def told() -> Record:
    """A year with a failure set, a cluster whose drop failed, a zero in reserve, a bench press."""
    drop = {"cluster_id": "c", "set_no": 3}
    return record(
        [
            {"set_no": 1, "rir": 2.0},
            {"set_no": 2, "to_failure": True},
            {**drop, "segment_no": 1},
            {**drop, "segment_no": 2, "load_kg": 60.0, "reps": 8, "to_failure": True},
            {**drop, "segment_no": 3, "load_kg": 40.0, "reps": 5},
            {"week": 1, "rir": 0.0},
            {"week": 1, "exercise_id": "bench_press"},
            # Nothing of the next year tells of effort.
            {"week": 60},
        ]
    )


def test_sets_are_counted_by_year_and_lift(told):
    rows = EffortSets(told).by_year_and_lift().to_dicts()
    keys = ["year", "kind", "exercise_id", "sets", "told_sets", "failure_sets"]
    assert [[row[key] for key in keys] for row in rows] == [
        [2023, "free_weight", "bench_press", 1, 1, 0],
        [2023, "machine", "leg_press", 4, 4, 2],
        [2024, "machine", "leg_press", 1, 0, 0],
    ]
    legs = rows[1]
    assert (legs["zero_reserve_sets"], legs["drop_clusters"], legs["drop_segments"]) == (1, 1, 2)
    assert legs["drop_tonnage_kg"] == 60 * 8 + 40 * 5
    assert legs["tonnage_kg"] == 4 * 1000 + 680
    assert legs["drop_minutes"] == 1.0


def test_the_weekly_share_is_of_direct_sets_in_years_that_tell(told):
    share = EffortSets(told).weekly_share("quads", pl.col("is_failure"), pl.col("is_told"))
    assert share[0] == pytest.approx(2 / 3)
    assert share[1] == 0.0
    assert np.isnan(share[60])


def test_findings_say_the_last_year_and_refuse_what_it_does_not_tell(told):
    first = record(
        [
            {"week": week, "set_no": number, "to_failure": number == 3}
            for week in range(10)
            for number in (1, 2, 3)
        ]
    )
    found = {one.subject: one for one in answer_effort(first, {}).findings}
    machine = found["effort:machine"]
    assert machine.estimate == pytest.approx(100 / 3)
    assert machine.sentence == (
        "10 of 30 sets on machines in the last year were taken to failure, 33 %."
    )
    assert machine.support == "firm"
    assert found["effort:cable"].support == "not enough"
    assert found["effort:failure"].support == "not enough"
    assert found["effort:drop_work"].support == "not enough"
    silent = {one.subject: one for one in answer_effort(told, {}).findings}
    # The last year holds one set, and nobody told how hard it was.
    assert silent["effort:machine"].support == "not enough"


def test_drops_tell_work_and_minutes_by_their_assumption():
    week = {"cluster_id": "c", "set_no": 1}
    rows = [{**week, "week": one, "segment_no": part} for one in range(8) for part in (1, 2)]
    found = {one.subject: one for one in answer_effort(record(rows), {}).findings}
    drops = found["effort:drop_work"]
    assert drops.estimate == pytest.approx(50)
    assert "8 drop sets in the last year added 8 drops, 8.0 t (50.0 % of all)" in drops.sentence
    assert "about 4 minutes, at half a minute a drop (assumed)" in drops.sentence
    assert "17,637 lb (50.0 % of all)" in say_drops(8, 8, 8000.0, 16000.0, "lb")


def muscles(effect_pct: float, seed: int, n: int = 12) -> dict[str, EffortWeeks]:
    """Indexes that grow, wander, and rise by so many % a year more for ten points more failure."""
    rng = np.random.default_rng(seed)
    age = np.arange(N_WEEKS) / WEEKS_PER_YEAR + 2
    found = {}
    for number in range(n):
        share = np.clip(np.repeat(rng.uniform(0, 0.5, N_WEEKS // 10), 10), 0, 1)
        growth = 0.15 / (age + 0.8) + effect_pct / 10 * (share - share.mean())
        level = np.cumsum(growth + rng.normal(0, 0.05, N_WEEKS)) / WEEKS_PER_YEAR
        found[f"m{number}"] = EffortWeeks(
            level_log=level + rng.normal(0, 0.004, N_WEEKS),
            level_se=np.full(N_WEEKS, 0.01),
            weekly_sets=rng.uniform(8, 14, N_WEEKS),
            share=share,
            left_out=np.zeros(N_WEEKS, dtype=bool),
        )
    return found


def fit(effect_pct: float, seed: int) -> EffortEffect:
    age = np.arange(N_WEEKS) / WEEKS_PER_YEAR + 2
    found = fit_effort(muscles(effect_pct, seed), age, None)
    assert isinstance(found, EffortEffect)
    return found


def test_a_planted_effect_is_found_and_its_sign_with_it():
    for effect in (-3.0, 3.0):
        found = fit(effect, 5)
        assert found.low * effect > 0
        assert found.high * effect > 0
        assert found.pct_per_year == pytest.approx(effect, rel=0.5)


def test_shuffled_shares_show_nothing():
    """The placebo: the same course with the blocks' shares of other times."""
    rng, age = np.random.default_rng(7), np.arange(N_WEEKS) / WEEKS_PER_YEAR + 2
    called = 0
    for seed in range(12):
        one = {
            name: EffortWeeks(
                weeks.level_log,
                weeks.level_se,
                weeks.weekly_sets,
                np.repeat(rng.permutation(weeks.share[::10]), 10),
                weeks.left_out,
            )
            for name, weeks in muscles(3.0, seed).items()
        }
        found = fit_effort(one, age, None)
        assert isinstance(found, EffortEffect)
        called += not found.low <= 0.0 <= found.high
    assert called <= 2


def test_few_comparisons_or_an_even_habit_are_refused():
    age = np.arange(N_WEEKS) / WEEKS_PER_YEAR + 2
    few = {"m0": next(iter(muscles(0.0, 1).values()))}
    refusal = fit_effort(few, age, None)
    assert isinstance(refusal, Refusal)
    assert "comparisons of blocks" in refusal.sentence()
    even = {
        name: EffortWeeks(
            one.level_log, one.level_se, one.weekly_sets, np.full(N_WEEKS, 0.2), one.left_out
        )
        for name, one in muscles(0.0, 1).items()
    }
    refusal = fit_effort(even, age, None)
    assert isinstance(refusal, Refusal)
    assert refusal.sentence().startswith("Not enough: 0 points between blocks")
