"""What the page Easing off counts and cuts, without a browser."""

from datetime import timedelta
from itertools import pairwise

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.prepare.easing import (
    Pace,
    count_by_year,
    count_easing,
    count_evidence,
    deloads_read,
    find_answer,
    tone_of,
)
from dashboards.prepare.easing_fan import cut_line, fan_frames
from dashboards.prepare.easing_frames import layoff_frames
from dashboards.prepare.easing_pace import say_pace
from dashboards.prepare.easing_tables import back_table, pauses_table
from pipeline.core.page_book import PageBook
from tests.pages.answers_book import DELOAD, LOSS, UNREAD
from tests.pages.book import FIRST, LAYOFFS, UNLOGGED, WEEKS, week_status


@pytest.mark.parametrize(
    ("low", "high", "tone"),
    [(0.1, 2, "progress"), (-2, -0.1, "loss"), (0, 1, ""), (-1, 1, ""), (None, None, "")],
)
def test_colour_needs_an_interval_without_zero(
    low: float | None, high: float | None, tone: str
) -> None:
    assert tone_of(low, high) == tone


def test_distances_with_a_layoff_or_an_unlogged_week_between_are_left_out(book: PageBook) -> None:
    counts = count_easing(book, "aspen")
    deloads = [w for w in range(WEEKS) if week_status(w) == "deload"]
    away = [*UNLOGGED, *(w for layoff in LAYOFFS for w in layoff)]
    kept = [
        after - before
        for before, after in pairwise(deloads)
        if not any(before < w < after for w in away)
    ]
    assert list(counts.every.values) == kept
    assert len(kept) < len(deloads) - 1
    assert set(counts.length.values) == {7.0}
    assert count_evidence(counts) == {"told": len(deloads), "rule": 0}


def test_years_sum_to_all_events(book: PageBook) -> None:
    counts = count_easing(book, "aspen")
    years = count_by_year(book, "aspen", counts)
    assert years["deloads"].sum() == counts.deloads.height
    assert years["weeks_off"].sum() == sum(len(layoff) for layoff in LAYOFFS)
    assert years["year"].to_list() == sorted(years["year"], reverse=True)


def test_an_event_without_an_end_lasts_to_the_end_of_the_record(book: PageBook) -> None:
    events = book.tables["tidy_event"]
    last = FIRST + timedelta(weeks=WEEKS - 2)
    one = events.filter(pl.col("kind") == "layoff").head(1)
    going_on = one.with_columns(
        start=pl.lit(last), end=pl.lit(None, dtype=pl.Date), event_id=pl.lit("on")
    )
    tables = {**book.tables, "tidy_event": pl.concat([events, going_on])}
    changed = PageBook(**{**vars(book), "tables": tables})
    layoffs = count_easing(changed, "aspen").layoffs
    assert layoffs.filter(pl.col("event_id") == "on")["days"].item() == 14


def with_events(book: PageBook, *rows: dict[str, object], status: dict | None = None) -> PageBook:
    """The book with more events of aspen, and other statuses of weeks by Monday."""
    events = book.tables["tidy_event"]
    model = events.filter(pl.col("kind") == "layoff").head(1)
    more = [model.with_columns(**{k: pl.lit(v) for k, v in row.items()}) for row in rows]
    monday, week = pl.col("week_start"), book.tables["mart_week_lifter"]
    for day, word in (status or {}).items():
        now = pl.when(monday == day).then(pl.lit(word)).otherwise(pl.col("week_status"))
        week = week.with_columns(week_status=now)
    events = pl.concat([events, *more], how="vertical_relaxed")
    tables = {**book.tables, "tidy_event": events, "mart_week_lifter": week}
    return PageBook(**{**vars(book), "tables": tables})


def test_one_week_off_is_a_week_of_rest_and_two_are_a_layoff(book: PageBook) -> None:
    """From Thursday to the Wednesday after next there is one whole week, Monday to Sunday."""
    monday = FIRST + timedelta(weeks=600)
    before = count_easing(book, "aspen")
    one = {
        "event_id": "one",
        "start": monday + timedelta(days=3),
        "end": monday + timedelta(days=16),
    }
    two = {**one, "event_id": "two", "end": monday + timedelta(days=20)}
    short = {**one, "event_id": "short", "end": monday + timedelta(days=9)}
    counts = count_easing(with_events(book, one), "aspen")
    assert counts.rests["event_id"].to_list() == ["one"]
    assert counts.layoffs.height == before.layoffs.height
    counts = count_easing(with_events(book, two), "aspen")
    assert counts.layoffs.height == before.layoffs.height + 1
    counts = count_easing(with_events(book, short), "aspen")
    assert (counts.rests.height, counts.layoffs.height) == (0, before.layoffs.height)


def test_a_deload_without_training_is_a_week_of_rest(book: PageBook) -> None:
    deload = next(w for w in range(WEEKS) if week_status(w) == "deload")
    monday = FIRST + timedelta(weeks=deload)
    counts = count_easing(with_events(book, status={monday: "layoff"}), "aspen")
    assert counts.deloads.height == count_easing(book, "aspen").deloads.height - 1
    assert counts.rests["start"].to_list() == [monday]
    years = count_by_year(book, "aspen", counts)
    assert years["rests"].sum() == 0  # this book's weeks say otherwise
    changed = with_events(book, status={monday: "layoff"})
    years = count_by_year(changed, "aspen", counts)
    assert years["rests"].sum() == 1
    assert years["weeks_off"].sum() == sum(len(layoff) for layoff in LAYOFFS)


def test_the_outline_of_the_textbook_starts_after_the_deload(book: PageBook) -> None:
    frames = fan_frames(book, "aspen", find_answer(book, "aspen", "deload_effect"))
    assert frames.outline["x"].to_list() == [1.0, 2.0, 3.0, 4.0, 5.0]
    assert frames.outline["y"].to_list() == [1.2, 0.3, -0.2, -0.4, -0.4]


def test_coming_back_says_its_interval_or_that_it_was_not_seen(book: PageBook) -> None:
    counts = count_easing(book, "aspen")
    regain = find_answer(book, "aspen", "layoff_regain")
    cells = [row[3] for row in back_table(book, "aspen", counts, regain).rows]
    assert "3.4 weeks (2.1 or more)" in cells
    layoffs = book.tables["model_layoff"].with_columns(
        high=pl.lit(-0.1),
        regain_high=pl.when(pl.col("weeks_off") > 4).then(6.5),
        weeks_to_regain=pl.when(pl.col("weeks_off") > 3).then(3.4),
    )
    changed = PageBook(**{**vars(book), "tables": {**book.tables, "model_layoff": layoffs}})
    cells = [row[3] for row in back_table(changed, "aspen", counts, regain).rows]
    assert "3.4 weeks (2.1 to 6.5)" in cells
    assert "not within the weeks read" in cells
    unsure = layoffs.with_columns(high=pl.lit(0.1))
    changed = PageBook(**{**vars(book), "tables": {**book.tables, "model_layoff": unsure}})
    cells = {row[3] for row in back_table(changed, "aspen", counts, regain).rows}
    assert cells == {"no loss beyond the noise"}


def test_three_kinds_of_pause_stand_apart_with_what_is_published(book: PageBook) -> None:
    table = pauses_table(book, "aspen", count_easing(book, "aspen"))
    deloads = book.tables["tidy_event"].filter(pl.col("kind") == "deload").height
    assert [row[1] for row in table.rows] == [str(deloads), "0", "4"]
    rest, layoff = (str(row[3]) for row in table.rows[1:])
    assert "without the break gained more strength" in rest
    assert "Coleman et al. PeerJ 2024;12:e16777; read" in rest
    assert "−0.5 % (−2 to 1)" in layoff
    assert "memory" in layoff
    assert "association" in str(table.note)


def test_mean_and_standard_deviation_are_those_of_the_values() -> None:
    pace = Pace((4.0, 6.0, 8.0))
    assert pace.mean == 6.0
    assert pace.ends == (4.0, 8.0)
    assert say_pace(pace) == "6.0 (4.0 to 8.0), 3 counted"
    assert say_pace(Pace((5.0,))) == "5.0, 1 counted"
    assert say_pace(Pace(())) == ""
    assert Pace((5.0,)).ends is None


number = st.floats(-20, 20)


@given(number, number, st.floats(-5, -0.5), st.floats(0.5, 5))
def test_a_cut_line_lies_inside_and_on_the_line(
    y0: float, y1: float, low: float, high: float
) -> None:
    cut = cut_line((1.0, y0, 2.0, y1), (low, high))
    if cut is None:
        assert min(y0, y1) >= high or max(y0, y1) <= low
        return
    for x, y in (cut[:2], cut[2:]):
        assert low - 1e-9 <= y <= high + 1e-9
        assert 1.0 <= x <= 2.0
        assert y == pytest.approx(y0 + (x - 1.0) * (y1 - y0), abs=1e-6)


def test_a_line_inside_is_kept_whole() -> None:
    assert cut_line((1, 0.2, 2, 0.4), (-1, 1)) == pytest.approx((1, 0.2, 2, 0.4))
    assert cut_line((1, 3.0, 2, 3.0), (-1, 1)) is None


def test_the_bracket_is_as_long_as_the_finding_says(book: PageBook) -> None:
    frames = fan_frames(book, "aspen", find_answer(book, "aspen", "deload_effect"))
    row = frames.difference.row(0, named=True)
    assert row["y1"] - row["y0"] == pytest.approx(DELOAD["estimate"], abs=0.02)
    assert row["lo"] - row["y0"] == pytest.approx(DELOAD["low"], abs=0.02)
    assert row["hi"] - row["y0"] == pytest.approx(DELOAD["high"], abs=0.02)
    assert frames.tone == "progress"
    ends = frames.lines.select(pl.col("y0", "y1"))
    assert ends.min_horizontal().min() >= frames.domain[0] - 0.01
    assert ends.max_horizontal().max() <= frames.domain[1] + 0.01
    assert not frames.lines.filter((pl.col("x0") < 0) & (pl.col("x1") > 0)).height


def test_without_an_answer_the_fan_is_empty_but_has_axes(book: PageBook) -> None:
    frames = fan_frames(book, "rowan", find_answer(book, "rowan", "deload_effect"))
    assert frames.lines.is_empty()
    assert frames.means.is_empty()
    assert frames.difference.is_empty()
    assert frames.places["v"].to_list() == [-3, -2, -1, 1, 2, 3, 4, 5]


def test_the_line_over_layoffs_has_the_slope_of_the_finding(book: PageBook) -> None:
    counts = count_easing(book, "aspen")
    frames = layoff_frames(book, "aspen", counts, find_answer(book, "aspen", "layoff_loss"))
    seen = frames.line.filter(pl.col("seen") == 1)
    longest = max(len(layoff) for layoff in LAYOFFS)
    assert seen["x"].max() == longest
    last = seen.row(seen.height - 1, named=True)
    assert last["y"] == pytest.approx(LOSS["estimate"] * longest, abs=0.01)
    assert last["lo"] == pytest.approx(LOSS["low"] * longest, abs=0.01)
    assert frames.tone == "loss"
    facts = {row["fact_id"]: row for row in book.tables["ref_fact"].iter_rows(named=True)}
    assert frames.published["y"].to_list() == [
        facts["layoff_bench_3_weeks"]["value"],
        facts["layoff_loss_8_to_12_weeks"]["value"],
    ]


def test_single_deloads_read_clear_only_where_all_together_do(book: PageBook) -> None:
    read = deloads_read(book, "aspen")
    events = book.tables["tidy_event"].filter(pl.col("kind") == "deload")
    assert read.height == events.height - UNREAD
    assert "progress" in read["reads"]
    is_effect = pl.col("question") == "deload_effect"
    unsure = book.tables["finding"].with_columns(
        low=pl.when(is_effect).then(-0.1).otherwise(pl.col("low"))
    )
    changed = PageBook(**{**vars(book), "tables": {**book.tables, "finding": unsure}})
    assert set(deloads_read(changed, "aspen")["reads"]) == {""}


def test_a_record_of_no_deloads_counts_none(book: PageBook) -> None:
    counts = count_easing(book, "rowan")
    assert counts.deloads.is_empty()
    assert counts.every.values == ()
    assert counts.length.mean is None
    years = count_by_year(book, "rowan", counts)
    assert years["deloads"].to_list() == [0] * years.height
