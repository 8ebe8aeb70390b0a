"""What the page Volume and progress reads from findings, without a browser."""

from dataclasses import replace
from itertools import pairwise
from typing import Any

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.pages.volume import build_page
from dashboards.prepare.ticks import place_ticks, round_values, value_ticks
from dashboards.prepare.volume import (
    MuscleAnswer,
    age_colours,
    muscle_answers,
    opening_muscle,
    say_range,
    seen_up_to,
    summary_order,
    upper_end,
)
from dashboards.prepare.volume_frames import blocks_of, response_frames
from dashboards.prepare.volume_rows import age_frames, summary_frames
from tests.pages.answers_book import BANDS, OPEN, SAME
from tests.pages.book import MUSCLES, REFUSED, make_book


def finding(**changes: Any) -> dict[str, Any]:
    """A finding about supported sets: range 10 to 20, edges 6 to 26, published 16 (9 to 23)."""
    row = {
        "estimate": 15.0,
        "low": 9.0,
        "high": 21.0,
        "range_low": 10.0,
        "range_high": 20.0,
        "edge_low": 6.0,
        "edge_high": 26.0,
        "prior_low": 9.0,
        "prior_high": 23.0,
        "sentence": "Chest progressed most surely at about 15 weekly sets.",
    }
    return row | changes


def answer(recent: float | None, row: dict[str, Any] | None, name: str = "chest") -> MuscleAnswer:
    """One muscle with that mean of its last weeks."""
    bands = () if row is None else (row,)
    return MuscleAnswer(name, name, "pushing", bands, "", "", None, recent, 8.0)


@pytest.mark.parametrize(
    ("recent", "reading"),
    [
        (5.4, "under"),
        (5.9, "maybe_under"),
        (9.4, "maybe_under"),
        (9.9, "inside"),
        (20.4, "inside"),
        (20.6, "maybe_past"),
        (26.4, "maybe_past"),
        (26.6, "past"),
    ],
)
def test_past_and_under_are_said_only_beyond_where_the_edge_may_lie(
    recent: float, reading: str
) -> None:
    assert answer(recent, finding()).reading == reading


def test_an_open_range_is_never_passed() -> None:
    assert answer(60.0, finding(range_high=None)).reading == "inside"


def test_nothing_is_read_where_there_is_no_range_or_no_sets() -> None:
    assert answer(12.0, None).reading == ""
    assert answer(None, finding()).reading == ""


def test_an_open_range_ends_where_the_finding_says_that_the_record_does() -> None:
    row = finding(range_high=None, sentence="…, from 63 blocks, no limit seen up to 18; the …")
    assert seen_up_to(row) == upper_end(row) == 18.0
    assert say_range(row) == "10 and up"
    assert upper_end(finding()) == 20.0
    assert say_range(finding()) == "10 to 20"


def test_best_sets_under_all_that_was_trained_are_told_apart() -> None:
    assert answer(12.0, finding(estimate=7.9)).is_below_trained
    assert not answer(12.0, finding(estimate=8.1)).is_below_trained


def test_the_page_opens_with_what_adds_most_to_the_published_average() -> None:
    wide, narrow = answer(12.0, finding(), "wide"), answer(12.0, finding(low=14.0), "narrow")
    assert opening_muscle([wide, narrow, answer(12.0, None, "none")]).name == "narrow"


def test_summary_goes_from_most_to_least_against_the_best_sets() -> None:
    rows = [
        answer(10.0, finding(), "ten"),
        answer(40.0, None, "none"),
        answer(20.0, finding(), "twenty"),
        answer(20.0, finding(estimate=30.0), "thirty"),
    ]
    assert [one.name for one in summary_order(rows)] == ["twenty", "ten", "thirty", "none"]


@pytest.mark.parametrize(
    ("bands", "tones"), [(1, [4]), (2, [2, 4]), (3, [2, 3, 4]), (4, [1, 2, 3, 4])]
)
def test_the_present_training_age_has_the_last_tone(bands: int, tones: list[int]) -> None:
    assert age_colours(bands) == tones


@given(st.integers(1, 8))
def test_tones_never_fall_with_training_age(bands: int) -> None:
    tones = age_colours(bands)
    assert tones == sorted(tones)
    assert tones[-1] == 4


@given(st.floats(-50, 50), st.floats(0.2, 80), st.integers(2, 8))
def test_round_values_lie_inside_and_are_even(low: float, width: float, about: int) -> None:
    values = round_values(low, low + width, about)
    assert 1 <= len(values) <= 2 * about + 2
    assert all(low - 1e-6 <= value <= low + width + 1e-6 for value in values)
    steps = {round(after - before, 6) for before, after in pairwise(values)}
    assert len(steps) <= 1


def test_ticks_carry_their_sign_and_zero_none() -> None:
    assert value_ticks(-0.6, 1.1, 4)["label"].to_list() == ["−0.5", "0", "+0.5", "+1.0"]
    assert place_ticks(0, 40, 4)["label"].to_list() == ["0", "10", "20", "30", "40"]


@pytest.fixture(scope="module")
def answers() -> list[MuscleAnswer]:
    """The long record of the invented book."""
    return muscle_answers(make_book(), "aspen")


def test_answers_follow_the_findings(answers: list[MuscleAnswer]) -> None:
    assert [one.muscle_id for one in answers] == [m for m, _ in MUSCLES]
    assert {one.muscle_id for one in answers if not one.bands} == set(REFUSED)
    assert [one.muscle_id for one in answers if one.is_no_better] == [SAME]
    assert all(len(one.bands) == len(BANDS) for one in answers if one.bands)
    assert {one.reason for one in answers if not one.bands} == {"6 blocks, 12 needed"}


def test_each_block_lies_in_its_band_of_training_age(answers: list[MuscleAnswer]) -> None:
    blocks = blocks_of(make_book(), "aspen", answers)
    assert blocks.height == 60 * (len(MUSCLES) - len(REFUSED))
    for band, (first, last) in enumerate(BANDS):
        ages = blocks.filter(blocks["band"] == band)["age"]
        assert ages.min() >= first - 0.1
        assert ages.max() <= last + 0.1


def test_every_dot_of_the_picture_lies_inside_or_is_past_its_edge(
    answers: list[MuscleAnswer],
) -> None:
    book = make_book()
    blocks = blocks_of(book, "aspen", answers)
    frames = response_frames(book, "aspen", answers, blocks)
    ends = blocks.join(frames.notes, on="muscle")
    outside = ends.filter((ends["y"] < ends["y0"]) | (ends["y"] > ends["y1"]))
    assert outside.height <= 0.05 * blocks.height
    inside = frames.curves.filter(frames.curves["x"].is_between(9, 25))
    seen = inside.join(frames.notes, on="muscle")
    assert (seen["lo"] >= seen["y0"]).all()
    assert (seen["hi"] <= seen["y1"]).all()


def test_rows_of_ranges_carry_the_numbers_of_the_findings(answers: list[MuscleAnswer]) -> None:
    blocks = blocks_of(make_book(), "aspen", answers)
    bands = age_frames(answers, blocks).bands
    rows = summary_frames(answers).rows
    for one in answers:
        if one.now is None:
            continue
        mine = bands.filter(bands["muscle"] == one.muscle_id)
        assert mine["sub"].to_list() == [f"{row['n']} blocks" for row in one.bands]
        last = mine.row(-1, named=True)
        row = rows.filter(rows["muscle"] == one.muscle_id).row(0, named=True)
        for made in (last, row):
            assert made["lo"] == one.now["range_low"]
            assert made["hi"] == (24.0 if one.muscle_id == OPEN else one.now["range_high"])
            assert (made["elo"], made["ehi"]) == (one.now["edge_low"], one.now["edge_high"])
            assert made["open"] == int(one.muscle_id == OPEN)
        assert (row["plo"], row["phi"]) == (9.0, 23.0)


def test_other_lifters_stand_beside_the_published_average_where_they_were_used() -> None:
    book = make_book()
    lifter = book.lifters[0]
    is_own = (pl.col("lifter_id") == lifter.lifter_id) & (pl.col("question") == "supported_sets")
    told = {"group_estimate": 15.0, "group_low": 9.0, "group_high": 21.0, "group_n": 14}
    finding = book.tables["finding"].with_columns(
        pl.when(is_own & pl.col("estimate").is_not_null()).then(value).alias(name)
        for name, value in told.items()
    )
    grouped = replace(book, tables={**book.tables, "finding": finding})
    said = "The published average says 16 (9 to 23), and with 14 other lifters here 15 (9 to 21)."
    page, alone = build_page(grouped, lifter), build_page(book, lifter)
    assert said in str(page.answers[0].second)
    same = [str(one.sentence) for one in page.answers if "adds nothing to" in str(one.sentence)]
    assert same
    alone_and_moved = "alone says 16 (9 to 23), and with 14 other lifters here 15 (9 to 21)."
    assert all(alone_and_moved in sentence for sentence in same)
    used = "Other lifters of this folder were used too (14 of them)"
    assert [used in str(page.method), used in str(alone.method)] == [True, False]
    assert "other lifters" not in str(alone.answers).lower()
