"""What the page Easing off answers in words: four weeks off, coming back, the last deload."""

from datetime import timedelta

import polars as pl

from dashboards import words
from dashboards.numbers import say_date
from dashboards.prepare.easing import count_easing, find_answer, layoffs_read
from dashboards.prepare.easing_pace import say_last
from dashboards.prepare.easing_tables import back_table, say_layoffs
from pipeline.core.page_book import PageBook
from pipeline.core.page_style import PageStyle
from tests.pages.answers_book import LOSS
from tests.pages.book import FIRST, WEEKS, week_status


def changed(book: PageBook, **tables: pl.DataFrame) -> PageBook:
    """The book with other tables."""
    return PageBook(**{**vars(book), "tables": {**book.tables, **tables}})


def said_of_layoffs(book: PageBook) -> str:
    """The sentences about layoffs."""
    loss = find_answer(book, "aspen", "layoff_loss")
    return str(say_layoffs(loss, layoffs_read(book, "aspen", count_easing(book, "aspen"))))


def test_four_weeks_off_are_four_times_a_week_off(book: PageBook) -> None:
    assert (LOSS["estimate"], LOSS["low"], LOSS["high"]) == (-0.9, -1.6, -0.2)
    assert "After 4 weeks off the line through them says −3.6 % (−6.4 to −0.8)." in said_of_layoffs(
        book
    )


def test_nothing_is_said_beyond_the_longest_layoff_that_was_read(book: PageBook) -> None:
    short = book.tables["model_layoff"].filter(pl.col("weeks_off") < 4)
    assert short.height
    said = said_of_layoffs(changed(book, model_layoff=short))
    assert "The longest layoff that could be read was 3 weeks" in said
    assert "After 4 weeks off" not in said


def back_note(book: PageBook, **finding: object) -> str:
    """The words over the table of coming back, with the finding changed."""
    regain = find_answer(book, "aspen", "layoff_regain")
    assert regain is not None
    table = back_table(book, "aspen", count_easing(book, "aspen"), {**regain, **finding})
    return str(table.note)


REFUSED = {
    "support": "not enough",
    "estimate": None,
    "sentence": "Not enough: 0 layoffs of four weeks or more with a loss beyond the noise, 1 "
    "needed; nothing to do: without a loss there is nothing to come back from.",
}


def test_where_no_row_shows_a_loss_the_words_say_the_same(book: PageBook) -> None:
    unsure = book.tables["model_layoff"].with_columns(high=pl.lit(0.1))
    said = back_note(changed(book, model_layoff=unsure), **REFUSED)
    assert "None of them shows a loss beyond the noise" in said
    assert "0 layoffs" not in said


def test_a_loss_that_stands_in_the_table_is_not_denied(book: PageBook) -> None:
    assert (book.tables["model_layoff"]["high"] < 0).any()
    said = back_note(book, **REFUSED)
    assert "None of them" not in said
    assert "Not enough" in said


def test_layoffs_that_are_not_in_the_table_are_counted(book: PageBook) -> None:
    layoffs = count_easing(book, "aspen").layoffs.height
    rows = book.tables["model_layoff"]
    assert f"{layoffs} layoffs could be read, none is left out." in back_note(book)
    fewer = changed(book, model_layoff=rows.head(rows.height - 1))
    assert f"{layoffs - 1} of {layoffs} layoffs could be read" in back_note(fewer)


def test_the_last_deload_is_counted_to_the_end_beside_the_mean_distance(book: PageBook) -> None:
    last = max(w for w in range(WEEKS) if week_status(w) == "deload")
    counts = count_easing(book, "aspen")
    said = say_last(counts)
    assert f"began on {say_date(FIRST + timedelta(weeks=last))}: {WEEKS - last}.0 weeks" in said
    assert f"the mean distance is {counts.every.mean:.1f}." in said
    assert "between" not in said
    assert say_last(count_easing(book, "rowan")) == ""


def test_time_off_since_the_last_deload_is_named(book: PageBook) -> None:
    weeks = book.tables["mart_week_lifter"]
    end = FIRST + timedelta(weeks=WEEKS - 1)
    weeks = weeks.with_columns(
        week_status=pl.when(pl.col("week_start") == end)
        .then(pl.lit("unlogged"))
        .otherwise("week_status")
    )
    counts = count_easing(changed(book, mart_week_lifter=weeks), "aspen")
    assert "with a layoff or an unlogged week between" in say_last(counts)
    with words.written(PageStyle("de")):
        assert "dazwischen; im Mittel" in say_last(counts)


def test_a_deload_that_is_still_to_come_is_not_counted(book: PageBook) -> None:
    events = book.tables["tidy_event"]
    after = FIRST + timedelta(weeks=WEEKS + 5)
    planned = events.filter(pl.col("kind") == "deload").tail(1)
    planned = planned.with_columns(
        event_id=pl.lit("planned"), start=pl.lit(after), end=pl.lit(after + timedelta(days=6))
    )
    was = count_easing(book, "aspen")
    counts = count_easing(changed(book, tidy_event=pl.concat([events, planned])), "aspen")
    assert (counts.deloads.height, counts.rests.height) == (was.deloads.height, was.rests.height)
    assert counts.last == was.last
