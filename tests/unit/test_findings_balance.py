"""Balance: quarters counted by hand, strength against the own start, the own history, no norm."""

from pathlib import Path

import numpy as np
import polars as pl
import pytest

from dashboards import words
from dashboards.told import told_plain
from pipeline.core.dictionary import empty_frame
from pipeline.core.errors import Refusal
from pipeline.core.page_style import PageStyle
from pipeline.findings.balance import answer_pairs
from pipeline.findings.balance.say import COUNTED_SETS
from pipeline.findings.balance.sides import count_side, read_pairs
from pipeline.findings.index_weeks import IndexWeeks, read_indexes
from pipeline.findings.muscles import frame_of
from pipeline.models.balance.ratios import (
    Ratios,
    compare_with_own,
    count_ratios,
    quarter_starts,
    strength_ratios,
)
from pipeline.reference import load_balance

ROOT = Path(__file__).parents[2]


def test_quarters_end_with_the_record():
    assert quarter_starts(30) == [4, 17]
    assert quarter_starts(12) == []


def test_a_ratio_is_of_the_logged_weeks_and_untrained_quarters_are_left_out():
    over, under = np.full(39, 12.0), np.full(39, 8.0)
    over[:13] = 0.0
    over[26:30] = under[26:30] = np.nan
    ratios = count_ratios(over, under)
    assert ratios.ratio.tolist() == [1.5, 1.5]
    assert ratios.start_week.tolist() == [13, 26]
    assert ratios.weeks.tolist() == [13, 9]
    assert np.isnan(ratios.low).all()
    assert ratios.is_last


def test_a_side_without_sets_is_refused():
    refusal = count_ratios(np.zeros(60), np.full(60, 8.0))
    assert isinstance(refusal, Refusal)
    assert "quarters with sets of both sides" in refusal.sentence()


def test_strength_is_against_the_own_start_whatever_the_scale():
    over, under = np.full((1, 26), 3.0), np.full((2, 26), 7.0)
    over[:, 13:] += 0.10
    under[0, 13:] += 0.04  # the mean of the side rises by two per cent
    errors = np.full((2, 26), 0.01)
    ratios = strength_ratios(over, errors[:1], under, errors)
    assert ratios.ratio == pytest.approx([1.0, np.exp(0.08)])
    # One muscle and the mean of two, now and at the start.
    half = 1.96 * np.sqrt(2 * (0.01**2 + 0.01**2 / 2))
    assert np.log(ratios.high[1]) - 0.08 == pytest.approx(half, rel=1e-3)
    assert ratios.low[0] == ratios.high[0] == 1.0


def test_a_muscle_that_begins_late_is_left_out():
    level = np.zeros((2, 104))
    level[1, :60] = np.nan
    errors = np.full((2, 104), 0.01)
    ratios = strength_ratios(level, errors, level[:1], errors[:1])
    assert ratios.start_week[0] == 0
    late = strength_ratios(level[1:], errors[1:], level[:1], errors[:1])
    assert isinstance(late, Refusal)


def test_a_column_may_stay_empty_for_more_than_a_hundred_rows():
    row = dict.fromkeys(empty_frame("model_balance").columns)
    made = frame_of("model_balance", [*([row] * 100), row | {"low": 0.8}])
    assert made["low"].drop_nulls().to_list() == [0.8]


def ratios_of(values: list[float], half: float) -> Ratios:
    ratio = np.array(values)
    weeks = np.arange(ratio.size)
    return Ratios(weeks, weeks, ratio, ratio, ratio, ratio - half, ratio + half, is_last=True)


@pytest.mark.parametrize(
    ("now", "half", "reads_as"),
    [
        (1.30, np.nan, "higher"),
        (0.70, np.nan, "lower"),
        (1.02, np.nan, "usual"),
        (1.30, 0.1, "higher"),
        (1.30, 0.4, "usual"),  # its interval holds the usual one
    ],
)
def test_the_last_quarter_is_read_against_those_before(now, half, reads_as):
    own = compare_with_own(ratios_of([*np.linspace(0.9, 1.1, 9), now], half))
    assert own.reads_as == reads_as
    assert own.usual == pytest.approx(1.0)
    assert own.quarters == 9


def test_under_two_years_of_quarters_there_is_no_history():
    refusal = compare_with_own(ratios_of([1.0] * 8, np.nan))
    assert isinstance(refusal, Refusal)
    assert refusal.why == "7 earlier quarters to compare the last one with, 8 needed"


def test_pulling_and_pushing_are_the_patterns_of_the_weekly_mart():
    pull = next(read_pairs(load_balance()))
    over, under = (sorted(one for _, one in pull.members("sets", side)) for side in pull.names)
    sql = (ROOT / "sql/marts/week/mart_week_lifter.sql").read_text("utf-8")
    for patterns in (over, under):
        assert f"('{patterns[0]}', '{patterns[1]}')" in sql


def test_a_set_counts_once_a_side(decade):
    record = decade.record
    sets = count_side(record, [("muscle", "quads"), ("muscle", "glutes")])
    lifts = [
        one
        for one, (direct, _) in record.muscles_of.items()
        if not {"quads", "glutes"}.isdisjoint(direct)
    ]
    expected = record.counted.filter(pl.col("exercise_id").is_in(lifts)).height
    assert np.nansum(sets) == expected
    assert np.isnan(sets[record.unlogged]).all()


def test_findings_say_their_numbers_and_that_there_is_no_norm(decade):
    record = decade.record
    sides = load_balance().filter(pl.col("pair_id") == "rear_front")
    fitted = read_indexes(record, decade.tables["model_muscle_index"])
    answers = answer_pairs(record, fitted, sides)
    sets, strength = answers.findings
    assert (sets.subject, strength.subject) == (
        "pair:rear_front@sets",
        "pair:rear_front@strength",
    )
    assert "No published norm was found" in sets.sentence
    assert f"{sets.estimate:.2f} to one" in sets.sentence
    assert sets.sentence.startswith("Direct sets of the rear to direct sets of the front shoulder:")
    assert "Weekly sets" not in sets.sentence
    assert (sets.support, strength.support) == ("firm", "thin")
    assert strength.low < strength.estimate < strength.high
    assert "does not tell which side is stronger" in strength.sentence
    table = answers.tables["model_balance"].filter(kind="sets").sort("week_start")
    assert table["ratio"][-1] == sets.estimate
    assert (table["low"].is_null()).all()


def test_indexes_that_move_together_read_as_usual(decade):
    record = decade.record
    level = np.linspace(0, 0.3, record.n_weeks)
    index = IndexWeeks(level, np.full(record.n_weeks, 0.01), record.trained)
    sides = load_balance().filter(pl.col("measure") == "strength")
    muscles = dict.fromkeys(sides["member_id"], index)
    own = answer_pairs(record, muscles, load_balance()).tables["model_balance_own"]
    assert own.filter(kind="strength")["reads_as"].to_list() == ["usual"] * 3
    assert own.filter(kind="strength")["ratio"].to_list() == pytest.approx([1.0] * 3)


def test_every_pair_of_the_reference_says_what_its_sets_are():
    pairs = load_balance()["pair_id"].unique().to_list()
    assert set(COUNTED_SETS) == set(pairs)
    with words.written(PageStyle("en")):
        titles = [words.plain(f"priorities.sets_{pair}") for pair in pairs]
    assert not any("weekly sets" in title for title in titles)
    with words.written(PageStyle("de")):
        for said in COUNTED_SETS.values():
            assert told_plain(said) != said
