"""Findings: what is asked is answered or refused, and a sentence says its finding's numbers."""

import re
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import polars as pl
import pytest

from pipeline.core.counted import say_count
from pipeline.core.dictionary import columns_of, empty_frame
from pipeline.core.finding import Finding
from pipeline.findings import (
    answer_group,
    find_events,
    finding_frame,
    settle_findings,
)
from pipeline.findings.balance.weeks import answer_balance
from pipeline.findings.body import answer_measures
from pipeline.findings.events import find_swaps
from pipeline.findings.say import say_change, say_interval, say_number, say_range
from pipeline.findings.slopes import _say_plateau
from pipeline.findings.support import CHECKED, FAIR_BLOCKS
from pipeline.findings.volume import age_bands
from pipeline.models.strength.slopes import Slope
from tests.simulated_record import muscles_of, weeks_of

SIDES = ("pushing", "pulling")
MINUS = "\u2212"


@pytest.fixture(scope="module")
def findings(decade) -> pl.DataFrame:
    return pl.concat([finding_frame(decade.lifts.findings), decade.answers.findings])


def test_ids_are_unique_and_do_not_depend_on_the_numbers(findings):
    assert findings["finding_id"].is_unique().all()
    asked = Finding("a", "lift_slope", "lift:x", "%/year", 1, "weeks", "thin", "", "m", "1", "s")
    assert asked.finding_id == replace(asked, estimate=3.0, n=9, sentence="other").finding_id
    assert asked.finding_id != replace(asked, window="last").finding_id
    band = replace(asked, age_from=6.0, age_to=8.1)
    assert band.finding_id == replace(band, age_to=8.2).finding_id
    assert band.finding_id != replace(band, age_from=3.0).finding_id


def test_words_and_units_are_those_of_the_dictionary(findings):
    for column in columns_of("finding"):
        if column.values:
            allowed = {*column.values} if column.required else {*column.values, None}
            assert set(findings[column.name]) <= allowed, column.name


def test_a_refusal_has_no_estimate_and_says_value_limit_and_remedy(findings):
    # A signal that fails the screen keeps its interval beside "not enough".
    refused = findings.filter(
        (pl.col("support") == "not enough") & ~pl.col("support_why").str.contains("by chance")
    )
    assert refused.height > 0
    assert refused["estimate"].is_null().all()
    assert refused["needs"].is_not_null().all()
    assert refused["counted"].is_not_null().all()
    assert (refused["needed"] > 0).sum() > 0
    assert refused["sentence"].str.contains(r"^Not enough: [\d.]+ .+, [\d.]+ needed; ").all()


def test_an_answer_has_an_estimate_inside_its_interval(findings):
    answered = findings.filter(pl.col("support") != "not enough")
    assert answered["estimate"].is_not_null().all()
    with_interval = answered.filter(pl.col("low").is_not_null() & pl.col("high").is_not_null())
    assert with_interval.height > 100
    assert (with_interval["low"] <= with_interval["estimate"]).all()
    assert (with_interval["estimate"] <= with_interval["high"]).all()


def test_nothing_that_can_be_checked_is_more_than_thin_before_it_was(findings):
    settled = settle_findings(findings, empty_frame("model_check"))
    asked = settled.filter(pl.col("question").is_in(CHECKED))
    assert asked.height > 100
    assert set(asked["support"]) == {"thin", "not enough"}
    assert settled["checked_on"].is_null().all()
    counts = {"balance", "deload_pace", "deload_length", "effort", "injury"}
    assert set(settled.filter(pl.col("support") == "firm")["question"]) <= counts


@pytest.mark.parametrize("question", ["lift_slope", "muscle_slope"])
def test_slope_sentences_say_their_numbers(findings, question):
    rows = findings.filter((pl.col("question") == question) & pl.col("estimate").is_not_null())
    assert rows.height > 50
    for row in rows.iter_rows(named=True):
        assert f"{say_change(row['estimate'])} % a year" in row["sentence"]
        assert say_interval(row["low"], row["high"]) in row["sentence"]
        assert f"{row['n']} trained weeks" in row["sentence"]
        if " rose" in row["sentence"]:
            assert row["low"] > 0
        if " fell" in row["sentence"]:
            assert row["high"] < 0
        if " stood still" in row["sentence"]:
            assert -2 <= row["low"] <= 0 <= row["high"] <= 2


@pytest.mark.parametrize(
    ("low", "high", "verb"),
    [
        (-0.5, 1.5, "stood still"),
        (0.2, 1.8, "rose by less than 2 % a year"),
        (-1.8, -0.2, "fell by less than 2 % a year"),
    ],
)
def test_a_plateau_that_moved_is_not_said_to_stand_still(low, high, verb):
    middle = (low + high) / 2
    assert _say_plateau(Slope(0, 104, middle, low, high, 0.4, 90), 2.0) == verb


def test_a_girth_is_fair_from_twelve_tapings_on(two_years):
    def measured(n: int) -> Finding:
        days = [date(2020, 1, 1) + timedelta(days=30 * at) for at in range(n)]
        rows = {"date": days, "value": 30.0 + 0.1 * np.arange(n)}
        signals = pl.DataFrame(rows).with_columns(signal=pl.lit("girth_arm_cm"))
        return next(answer_measures(two_years.record, signals, 3.0))

    assert [measured(n).support for n in (4, 11, 12, 20)] == ["thin", "thin", "fair", "fair"]
    assert measured(4).low > 0


def test_the_balance_counts_logged_weeks_only(two_years):
    weeks = weeks_of(two_years.record)
    gone = pl.int_range(pl.len()) >= pl.len() - 5
    null = pl.when(gone).then(None).otherwise
    weeks = weeks.with_columns(null(pl.col(f"{one}_sets")).alias(f"{one}_sets") for one in SIDES)
    found = answer_balance(two_years.record, weeks)
    assert "in the last 12 weeks (7 of them logged)" in found.sentence
    assert found.n == 7 * 45


def test_level_sentences_say_their_numbers(findings):
    rows = findings.filter((pl.col("question") == "lift_level") & pl.col("estimate").is_not_null())
    assert rows.height > 10
    for row in rows.iter_rows(named=True):
        for name in ("estimate", "low", "high"):
            assert say_number(row[name]) in row["sentence"]


def test_supported_sets_sentences_say_their_numbers(findings):
    rows = findings.filter(pl.col("question") == "supported_sets")
    answered = rows.filter(pl.col("estimate").is_not_null())
    assert answered.height > 10
    for row in answered.iter_rows(named=True):
        assert f"about {say_number(row['estimate'], 0)} weekly sets" in row["sentence"]
        assert say_range(row["low"], row["high"]) in row["sentence"]
        assert say_range(row["prior_low"], row["prior_high"]) in row["sentence"]
        assert row["range_low"] <= row["estimate"]
        assert row["edge_low"] <= row["range_low"]


def test_supported_sets_count_the_blocks_of_their_own_ages(findings, decade):
    blocks = decade.answers.tables["model_block"]
    rows = findings.filter(
        (pl.col("question") == "supported_sets") & pl.col("estimate").is_not_null()
    )
    assert rows.height > 0
    for row in rows.iter_rows(named=True):
        own = blocks.filter(pl.col("muscle_id") == row["subject"].removeprefix("muscle:"))
        inside = own["training_age_years"].is_between(row["age_from"], row["age_to"]).sum()
        assert row["n"] == inside < own.height
        assert (
            f"from {say_count(inside, 'blocks of that age')} among {own.height}" in row["sentence"]
        )
        assert row["support"] == "thin" or inside >= FAIR_BLOCKS


def test_each_muscle_has_one_present_range(findings):
    present = findings.filter(
        (pl.col("question") == "supported_sets") & (pl.col("window") == "now")
    )
    assert present["subject"].is_unique().all()


def test_deload_sentence_says_its_numbers(findings):
    (row,) = findings.filter(pl.col("question") == "deload_effect").iter_rows(named=True)
    assert row["estimate"] is not None
    assert f"{say_number(abs(row['estimate']))} % " in row["sentence"]
    assert say_interval(row["low"], row["high"]) in row["sentence"]
    assert ("may be either way" in row["sentence"]) == (row["low"] <= 0 <= row["high"])


def test_every_sentence_is_plain_and_shows_a_true_minus(findings):
    for sentence in findings["sentence"]:
        assert not re.search(r"(?<![\w,])-\d", sentence), sentence
        assert not re.search(r"nan|None|inf\b", sentence), sentence


def test_two_years_get_no_verdict_on_volume_or_layoffs(two_years):
    rows = two_years.answers.findings
    for question in ("supported_sets", "hold_sets", "layoff_loss", "layoff_regain"):
        asked = rows.filter(pl.col("question") == question)
        assert asked.height > 0
        assert (asked["support"] == "not enough").all(), question
    deloads = rows.filter(pl.col("question") == "deload_effect")
    assert set(deloads["support"]) <= {"not enough", "thin"}
    assert two_years.answers.tables["model_volume_curve"].is_empty()


def test_two_years_give_no_fair_slope(two_years):
    rows = pl.concat([finding_frame(two_years.lifts.findings), two_years.answers.findings])
    slopes = rows.filter(pl.col("question").is_in(["lift_slope", "muscle_slope", "plateau"]))
    assert slopes["estimate"].is_not_null().sum() > 20
    assert set(slopes["support"]) == {"thin", "not enough"}


def test_estimated_reserve_is_marked_and_recorded_reserve_untouched(decade):
    before, after = decade.told.sets, decade.record.sets
    recorded = before["rir_source"] == "recorded"
    assert after.filter(recorded)["rir"].equals(before.filter(recorded)["rir"])
    estimated = after.filter(pl.col("rir_source") == "estimated")
    assert estimated.height > 1000
    assert estimated["rir"].is_between(0, 10).all()
    assert not estimated["is_warmup"].any()


def test_estimated_reserve_is_near_the_true_one(decade):
    sets = decade.record.sets.with_columns(true=pl.Series(decade.career.sets.true_rir))
    estimated = sets.filter(pl.col("rir_source") == "estimated")
    error = (estimated["rir"] - estimated["true"]).to_numpy()
    assert abs(np.median(error)) < 1.5


def test_told_events_stay_and_no_rule_doubles_them(decade):
    events = decade.record.events
    told = events.filter(pl.col("evidence") == "told")
    assert told.sort("event_id").equals(decade.told.events.sort("event_id"))
    starts = {kind: told.filter(pl.col("kind") == kind)["start"] for kind in ("deload", "layoff")}
    for kind, start in events.filter(pl.col("evidence") == "rule").select("kind", "start").rows():
        near = [one for one in starts.get(kind, []) if abs((one - start).days) < 7]
        assert near == []


def test_deloads_are_found_without_a_journal(decade):
    bare = replace(decade.told, events=decade.told.events.clear())
    found = find_events(bare, decade.lifts.levels, 84).filter(pl.col("kind") == "deload")
    true = np.flatnonzero(decade.career.truth.week_status == "deload")
    weeks = {bare.week_of(start) for start in found["start"]}
    assert len(weeks & set(true)) >= 0.8 * len(weeks)
    assert len(weeks & set(true)) >= 0.7 * len(true)


def test_a_gap_between_two_files_is_not_called_a_layoff(decade):
    bare = replace(decade.told, events=decade.told.events.clear())
    day = bare.sets["session_date"][bare.sets.height // 2]
    cut = bare.sets.filter(~pl.col("session_date").is_between(day, day + timedelta(days=27)))
    same = replace(bare, sets=cut.with_columns(file_id=pl.lit("one")))
    halves = pl.when(pl.col("session_date") < day).then(pl.lit("one")).otherwise(pl.lit("two"))
    parted = replace(bare, sets=cut.with_columns(file_id=halves))

    def layoffs(record) -> list[date]:
        found = find_events(record, decade.lifts.levels, 84)
        near = pl.col("start").is_between(day - timedelta(days=7), day + timedelta(days=7))
        return found.filter((pl.col("kind") == "layoff") & near)["start"].to_list()

    assert len(layoffs(same)) == 1
    assert layoffs(parted) == []


def test_swaps_name_two_lifts_of_one_pattern(decade):
    pattern = dict(decade.record.exercises.select("exercise_id", "pattern").rows())
    swaps = find_swaps(decade.record, decade.record.counted)
    assert len(swaps) > 3
    assert all(pattern[swap.before] == pattern[swap.after] for swap in swaps)
    links = decade.answers.tables["model_exercise_link"]
    assert (links["low"] < links["ratio"]).all()
    assert set(links["why"]) <= {"injury", "gym change", "own choice"}


def test_age_bands_cover_the_record_without_gaps():
    age = 1.5 + np.arange(520) / 52.1775
    bands = age_bands(age, np.ones(520, dtype=bool))
    assert [band.age_from for band in bands] == [1.5, 3.0, 6.0, 10.0]
    assert bands[-1].age_to == pytest.approx(11.4, abs=0.1)


def test_a_group_of_two_is_refused_and_a_group_of_six_is_pooled(decade):
    index = decade.answers.tables["model_muscle_index"]
    weeks = pl.DataFrame(
        {
            "lifter_id": "larch",
            "week_start": [decade.record.week_start(w) for w in range(decade.record.n_weeks)],
        }
    )
    rng = np.random.default_rng(5)

    def copies(n: int) -> list[Finding]:
        rate = 0.03 * rng.standard_normal(n) / 52
        parts = [
            index.with_columns(
                lifter_id=pl.lit(f"l{k}"),
                level_log=pl.col("level_log")
                + rate[k] * (pl.col("week_start") - decade.record.first_week).dt.total_days() / 7,
            )
            for k in range(n)
        ]
        calendars = [weeks.with_columns(lifter_id=pl.lit(f"l{k}")) for k in range(n)]
        return answer_group(pl.concat(parts), muscles_of(decade.career), pl.concat(calendars), 3.0)

    assert {one.support for one in copies(2)} == {"not enough"}
    pooled = copies(6)
    assert {one.n for one in pooled} == {6}
    assert all(one.low < one.estimate < one.high for one in pooled)


@pytest.mark.parametrize(("value", "said"), [(1.25, "+1.2"), (-0.97, f"{MINUS}1.0"), (0.0, "+0.0")])
def test_changes_carry_their_sign(value, said):
    assert say_change(value) == said


def test_an_interval_that_ends_near_zero_shows_two_decimals():
    assert say_interval(-1.0, 0.02) == f"({MINUS}1.00 to +0.02)"
    assert say_interval(-1.0, 2.0) == f"({MINUS}1.0 to +2.0)"
