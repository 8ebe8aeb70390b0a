"""Checks on the lifter's own record: what they change, when they flip a finding, what is left."""

from datetime import date, timedelta

import numpy as np
import polars as pl
import pytest

from pipeline.core.dictionary import columns_of
from pipeline.findings import drop_outdated, settle_findings
from pipeline.findings.arrays import Record
from pipeline.findings.stability import find_to_check
from pipeline.findings.stability_rows import (
    check_shuffles,
    is_sided,
    reads_otherwise,
    still_reads,
)
from pipeline.findings.stability_slopes import check_slopes
from pipeline.findings.stability_variants import find_controls, read_muscles
from pipeline.findings.stability_volume import check_volume
from pipeline.findings.support import (
    CHECK_WORDS,
    CHECKED,
    Support,
    settle,
    support_deloads,
    support_sets,
    support_slope,
    support_trend,
)
from tests.answered import Answered

DAY = date(2026, 1, 5)
ROSE = {
    "lifter_id": "larch",
    "finding_id": "f",
    "question": "lift_slope",
    "subject": "lift:row",
    "window": "last",
    "age_from": None,
    "estimate": 3.0,
    "low": 1.0,
    "high": 5.0,
    "from_date": date(2020, 1, 6),
    "to_date": date(2022, 12, 26) + timedelta(days=6),
}


@pytest.fixture(scope="module")
def tables(decade: Answered) -> dict[str, pl.DataFrame]:
    return decade.tables


@pytest.fixture(scope="module")
def checks(decade: Answered) -> pl.DataFrame:
    return decade.check()


def test_a_word_is_kept_lost_or_lowered_by_the_checks() -> None:
    firm, fair = Support("firm", "so many weeks"), Support("fair", "so many weeks")
    held = [("left_out_year", False), ("prior", False)]
    assert settle(firm, held) == (
        "firm",
        "so many weeks; holds under: each year left out, another prior",
    )
    assert settle(firm, []) == ("thin", "so many weeks; not yet checked on its own record")
    one_year = [*held, ("left_out_year", True)]
    assert settle(firm, one_year).why.endswith("; does not hold under: each year left out")
    assert [settle(one, one_year).word for one in (firm, fair)] == ["fair", "thin"]
    placebo = [*held, ("negative_control", True)]
    assert [settle(one, placebo).word for one in (firm, fair)] == ["thin", "thin"]


def test_every_check_of_the_dictionary_has_its_words() -> None:
    named = next(one for one in columns_of("model_check") if one.name == "check_name")
    assert set(CHECK_WORDS) == set(named.values)


@pytest.mark.parametrize(
    ("estimate", "is_otherwise"), [(0.1, False), (9.0, False), (0.0, True), (-0.1, True)]
)
def test_a_side_reads_otherwise_on_the_other_side(estimate: float, is_otherwise: bool) -> None:
    assert is_sided(ROSE)
    assert reads_otherwise(ROSE, estimate) == is_otherwise


@pytest.mark.parametrize(
    ("estimate", "is_otherwise"), [(11.0, False), (19.0, False), (7.0, True), (21.0, True)]
)
def test_a_number_reads_otherwise_outside_its_interval(estimate: float, is_otherwise: bool) -> None:
    sets = {"question": "supported_sets", "prior_estimate": 14.0}
    open_ended = {**sets, "estimate": 14.5, "low": 8.0, "high": 20.0}
    assert not is_sided(open_ended)
    assert reads_otherwise(open_ended, estimate) == is_otherwise


def test_weekly_sets_are_held_against_the_published_average() -> None:
    sets = {"question": "supported_sets", "prior_estimate": 14.0}
    more = {**sets, "estimate": 18.0, "low": 15.0, "high": 21.0}
    assert is_sided(more)
    assert not reads_otherwise(more, 14.5)
    assert reads_otherwise(more, 13.5)


@pytest.mark.parametrize(
    ("now", "is_kept"),
    [
        ((3.0, 1.0, 5.0), True),
        ((4.9, 2.0, 8.0), True),
        ((5.1, 2.0, 8.0), False),  # left the interval that was checked
        ((1.1, -1.0, 3.0), True),  # takes no side any more: thin by its data
        ((-1.0, -2.0, -0.5), False),
        ((None, None, None), False),
    ],
)
def test_checks_of_an_earlier_night_stand_while_the_finding_reads_the_same(now, is_kept) -> None:
    checked = {"finding_estimate": 3.0, "finding_low": 1.0, "finding_high": 5.0}
    estimate, low, high = now
    assert still_reads({**ROSE, "estimate": estimate, "low": low, "high": high}, checked) == is_kept
    assert not still_reads(ROSE, {**checked, "finding_estimate": None})


def test_sets_that_changed_sides_or_took_one_were_not_checked() -> None:
    checked = {"finding_estimate": 15.5, "finding_low": 12.0, "finding_high": 19.0}
    sets = {"question": "supported_sets", "prior_estimate": 14.0, "low": 11.0, "high": 18.0}
    assert still_reads({**sets, "estimate": 14.5}, checked)
    assert not still_reads({**sets, "estimate": 13.5}, checked)
    assert not still_reads({**sets, "estimate": 16.0, "low": 14.2}, checked)


def test_an_outdated_check_leaves_the_finding_thin_without_a_date(tables, checks) -> None:
    by_finding = checks["finding_id"].unique(maintain_order=True)
    assert drop_outdated(tables["finding"], checks).equals(checks)
    moved = pl.col("finding_id") == by_finding[0]
    lower = (pl.when(moved).then(-1.0).otherwise(1.0) * pl.col("estimate")).alias("estimate")
    findings = tables["finding"].with_columns(lower)
    kept = drop_outdated(findings, checks)
    assert by_finding[0] not in kept["finding_id"]
    assert set(by_finding[1:]) == set(kept["finding_id"])
    (row,) = settle_findings(findings, kept).filter(moved).iter_rows(named=True)
    assert (row["support"], row["checked_on"]) == ("thin", None)
    assert row["support_why"].endswith("not yet checked on its own record")


def test_one_shuffle_in_ten_may_find_something() -> None:
    nothing, something = (0.1, -2.0, 2.0), (3.0, 1.0, 5.0)
    allowed = check_shuffles(ROSE, "shuffled_weeks", "records", [nothing] * 18 + [something] * 2)
    too_many = check_shuffles(ROSE, "shuffled_weeks", "records", [nothing] * 17 + [something] * 3)
    assert allowed is not None
    assert too_many is not None
    assert (allowed.is_flipped, too_many.is_flipped) == (False, True)
    assert too_many.detail == "3 of 20 records show something"
    assert check_shuffles(ROSE, "shuffled_weeks", "records", [(np.nan,) * 3]) is None


def level_of(rise_by_week: np.ndarray) -> dict[str, pl.DataFrame]:
    """Levels of one lift from 6 Jan 2020 on; no muscle."""
    level = np.concatenate([[0.0], np.cumsum(rise_by_week)])
    weeks = [ROSE["from_date"] + timedelta(weeks=week) for week in range(level.size)]
    lift = {"exercise_id": ["row"] * level.size, "week_start": weeks, "level_log": level}
    none = pl.DataFrame(schema={"muscle_id": pl.String, "week_start": pl.Date, "level_log": float})
    return {"model_lift_level": pl.DataFrame(lift), "model_muscle_index": none}


def test_a_rise_in_every_year_hangs_on_none() -> None:
    found = list(check_slopes(level_of(np.full(155, 0.03 / 52.1775)), [ROSE]))
    assert len(found) == 3
    assert [one.estimate for one in found] == pytest.approx([3.0] * 3)
    # Two thirds of the time: the interval is wider by the root of three halves.
    assert found[0].high - found[0].low == pytest.approx(4.0 * np.sqrt(155 / 103), rel=0.01)
    assert not any(one.is_flipped for one in found)


def test_a_rise_in_one_year_hangs_on_it() -> None:
    rise = np.full(155, -0.005 / 52.1775)
    rise[:52] = 0.10 / 52.1775
    found = list(check_slopes(level_of(rise), [ROSE]))
    assert [one.is_flipped for one in found] == [True, False, False]
    assert found[0].estimate == pytest.approx(-0.5, abs=0.01)
    assert found[0].detail == "6 Jan 2020 to 4 Jan 2021"


def test_a_short_window_is_cut_into_quarters() -> None:
    year = {**ROSE, "to_date": ROSE["from_date"] + timedelta(weeks=52, days=6)}
    found = list(check_slopes(level_of(np.full(155, 0.03 / 52.1775)), [year]))
    assert {one.check_name for one in found} == {"left_out_quarter"}
    assert len(found) == 4


def test_only_what_may_be_fair_or_firm_is_checked(tables, checks) -> None:
    may = tables["finding"].filter(
        pl.col("question").is_in(CHECKED) & pl.col("support").is_in(["fair", "firm"])
    )
    assert may.height > 20
    assert set(checks["finding_id"]) <= set(may["finding_id"])
    assert set(checks["checked_on"]) == {DAY}
    assert set(checks["question"]) >= {"lift_slope", "muscle_slope"}


def test_the_estimate_of_a_slope_is_that_of_its_level(tables) -> None:
    rows = find_to_check(tables["finding"])["lift_slope"]
    found = list(check_slopes(tables, rows))
    assert len(found) >= 3 * len(rows)
    for row in rows:
        # Left out one by one, the pieces average to the whole (equal lengths but for a week).
        own = [one.estimate for one in found if one.finding is row]
        assert np.mean(own) == pytest.approx(row["estimate"], abs=0.15)


@pytest.fixture(scope="module")
def volume_rows(tables) -> list[dict]:
    rows = tables["finding"].filter(
        (pl.col("question") == "supported_sets") & (pl.col("window") == "now")
    )
    return rows.filter(pl.col("estimate").is_not_null()).head(2).to_dicts()


def test_weekly_sets_are_checked_in_every_way(decade, tables, volume_rows) -> None:
    found = list(check_volume(decade.record, tables, volume_rows))
    names = {one.check_name for one in found if one.finding is volume_rows[0]}
    assert names == {
        "shuffled_weeks",
        "left_out_year",
        "drop_rule",
        "direct_only",
        "prior",
        "negative_control",
    }
    of = {one.detail: one.estimate for one in found if one.finding is volume_rows[0]}
    assert of["centre 3 sets lower"] < volume_rows[0]["estimate"] < of["centre 3 sets higher"]


def test_the_trend_of_weekly_sets_is_checked_in_the_same_ways(decade, tables) -> None:
    muscles = read_muscles(decade.record, tables)
    trend = muscles.fit_trend()
    kept = {"lifter_id": "larch", "finding_id": "t", "window": "all", "age_from": None}
    row = {**kept, "question": "sets_trend", "subject": "lifter:larch", "estimate": trend.estimate}
    found = list(
        check_volume(decade.record, tables, [{**row, "low": trend.low, "high": trend.high}])
    )
    names = [one.check_name for one in found]
    assert set(names) >= {"shuffled_weeks", "left_out_year", "negative_control"}
    assert names.count("prior") == 3
    assert all(one.low < one.estimate < one.high for one in found)


def test_the_same_record_gives_the_same_checks(decade, tables, volume_rows) -> None:
    first, again = (list(check_volume(decade.record, tables, volume_rows)) for _ in range(2))
    assert [one.as_row() for one in first] == [one.as_row() for one in again]


def test_the_other_muscle_shares_no_exercise(decade, tables) -> None:
    partner = find_controls(decade.record, sorted(read_muscles(decade.record, tables).weeks))
    assert len(partner) > 10
    for direct, indirect in decade.record.muscles_of.values():
        trained = {*direct, *indirect}
        assert not any(one in trained and other in trained for one, other in partner.items())


def test_another_rule_of_counting_counts_drops_and_direct_sets(decade) -> None:
    record: Record = decade.record
    own, halves = record.weekly_sets, record.count_weekly_sets(drop_counts=0.5)
    direct = record.count_weekly_sets(indirect_counts=0.0)
    drops = record.working.filter(pl.col("segment_no") > 1)
    per_exercise = dict(drops.group_by("exercise_id").len().iter_rows())
    muscle = max(own, key=lambda one: np.nansum(halves[one] - own[one]))
    expected = sum(
        0.5
        * n
        * ((muscle in record.muscles_of[one][0]) + 0.5 * (muscle in record.muscles_of[one][1]))
        for one, n in per_exercise.items()
    )
    assert expected > 0
    assert np.nansum(halves[muscle] - own[muscle]) == pytest.approx(expected)
    assert np.nansum(direct["biceps"]) < np.nansum(own["biceps"])


def test_settling_reads_the_checks(tables, checks) -> None:
    settled = settle_findings(tables["finding"], checks)
    flipped = set(checks.filter("is_flipped")["finding_id"])
    checked = settled.filter(pl.col("checked_on").is_not_null())
    assert checked.height == checks["finding_id"].n_unique()
    before = dict(tables["finding"].select("finding_id", "support").iter_rows())
    for row in checked.iter_rows(named=True):
        assert (row["support"] != before[row["finding_id"]]) == (row["finding_id"] in flipped)
    others = ["finding_id", "estimate", "low", "high", "sentence"]
    assert settled.select(others).equals(tables["finding"].select(others))


@pytest.mark.parametrize(
    ("support", "word"),
    [
        (support_slope(50, 0.5, 3.5, 200), "firm"),
        (support_slope(50, 0.5, 6.5, 200), "fair"),
        (support_slope(50, -0.5, 3.5, 200), "thin"),
        (support_slope(50, 0.5, 9.5, 200), "thin"),
        (support_slope(39, 0.5, 3.5, 200), "thin"),
        (support_slope(50, 0.5, 3.5, 155), "thin"),
        (support_sets(20, 0.8, True, 1.0), "firm"),
        (support_sets(20, 0.8, True, 0.9), "fair"),
        (support_sets(20, 0.8, True, 0.2), "thin"),
        (support_sets(20, 0.96, True, 0.9), "thin"),
        (support_sets(7, 0.8, True, 1.5), "thin"),
        (support_sets(20, 0.8, False, 1.5), "thin"),
        (support_trend(True, True), "fair"),
        (support_trend(True, False), "thin"),
        (support_trend(False, True), "thin"),
        (support_deloads(8, True), "firm"),
        (support_deloads(7, True), "fair"),
        (support_deloads(20, False), "thin"),
    ],
)
def test_the_stated_rules(support: Support, word: str) -> None:
    assert support.word == word
