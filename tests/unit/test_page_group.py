"""The page of a group without a browser: weeks, names and tones, and what is counted once."""

from dataclasses import replace
from datetime import date, timedelta

import polars as pl
import pytest

from dashboards import list_pages, render_page
from dashboards.prepare.group import group_frames, group_labels
from dashboards.prepare.group_beds import ABOVE, BELOW, NO_RANGE, WITHIN, bed_rows
from dashboards.prepare.slopes import RISING
from pipeline.core.page_book import LifterInfo, PageBook
from pipeline.core.page_style import PageStyle
from tests.pages.book import make_book
from tests.pages.group_book import group_book, muscle_finding

MEAN = (1.0, 0.4, 2.2)


@pytest.fixture(scope="module")
def six() -> PageBook:
    """Six lifters whose weeks start on Monday."""
    return group_book(make_book(), 6, MEAN)


def text_of(book: PageBook, kind: str, language: str = "en") -> str:
    """The page of all lifters, as text."""
    book = replace(book, style=PageStyle(language))
    return render_page(next(page for page in list_pages(book) if page.kind == kind), book)


def with_own_weeks(book: PageBook) -> PageBook:
    """The book with weeks of the first lifter that start a day earlier, on Sunday."""
    first = pl.col("lifter_id") == book.lifters[0].lifter_id
    day = pl.col("week_start")
    earlier = pl.when(first).then(day - timedelta(days=1)).otherwise(day)
    moved = {
        name: table.with_columns(week_start=earlier)
        for name, table in book.tables.items()
        if {"lifter_id", "week_start"} <= set(table.columns)
    }
    return replace(book, tables={**book.tables, **moved})


@pytest.mark.parametrize(
    ("language", "same", "own"),
    [
        ("en", "Weeks start on Monday.", "that each lifter chose: Monday, Sunday."),
        ("de", "Wochen beginnen am Montag.", "den jede Person gewählt hat: Montag, Sonntag."),
    ],
)
def test_pages_of_all_lifters_say_on_which_days_weeks_start(
    six: PageBook, language: str, same: str, own: str
) -> None:
    for kind in ("index", "group"):
        assert same in text_of(six, kind, language)
        moved = text_of(with_own_weeks(six), kind, language)
        assert own in moved
        assert same not in moved


@pytest.mark.parametrize(
    ("language", "one", "two"),
    [
        ("en", "1 muscle has too few lifters", "2 muscles have too few lifters"),
        ("de", "1 Muskel hat zu wenige Personen", "2 Muskeln haben zu wenige Personen"),
    ],
)
def test_muscles_without_a_mean_are_counted(
    six: PageBook, language: str, one: str, two: str
) -> None:
    found = six.tables["finding"]
    means = found.filter(pl.col("lifter_id").is_null())["subject"].to_list()
    for n, said in ((1, one), (2, two)):
        gone = [subject.removeprefix("muscle:") for subject in means[:n]]
        refused = pl.DataFrame(
            [muscle_finding(None, muscle, None, 2) for muscle in gone], infer_schema_length=None
        )
        is_mean = pl.col("lifter_id").is_null() & pl.col("subject").is_in(means[:n])
        kept = pl.concat(
            [found.filter(is_mean.not_()), refused.select(found.columns)], how="vertical_relaxed"
        )
        book = replace(six, tables={**six.tables, "finding": kept})
        assert said in text_of(book, "group", language)


def test_pseudonyms_tell_lifters_apart_and_hide_names() -> None:
    lifters = tuple(LifterInfo(f"id_{i}", f"Name {i}", date(2020, 1, 1)) for i in range(1000))
    labels = group_labels(lifters)
    assert len(set(labels.values())) == 1000
    assert not any("Name" in label for label in labels.values())
    agreed = group_labels((replace(lifters[0], consent=True), *lifters[1:]))
    assert agreed["id_0"] == "Name 0"
    assert agreed["id_1"] == labels["id_1"]


def test_cells_hold_means_of_logged_weeks_and_the_slope(book: PageBook) -> None:
    frames = group_frames(book)
    assert frames.lifters["label"].to_list()[0] == "Aspen"
    chest = frames.cells.filter((pl.col("i") == 0) & (pl.col("m") == 0)).row(0, named=True)
    weeks = book.tables["mart_week_muscle"].filter(
        (pl.col("lifter_id") == "aspen") & (pl.col("muscle_id") == "chest")
    )
    logged = weeks.filter(pl.col("week_status") != "unlogged").sort("week_start")["weekly_sets"]
    assert chest["short"] == pytest.approx(logged.tail(12).mean())
    assert chest["long"] == pytest.approx(logged.tail(26).mean())
    assert (chest["est"], chest["verdict"]) == (2.0, RISING)


def test_a_bed_has_the_tone_of_the_range_at_that_age(book: PageBook) -> None:
    frames = group_frames(book)
    beds = bed_rows(book, frames).filter(pl.col("i") == 0)
    ranges = {1: (8, 16), 3: (10, 18), 6: (12, 20), 10: (14, 22)}
    chest = beds.filter(pl.col("m") == 0)
    for q, v, t in chest.select("q", "v", "t").iter_rows():
        if any(abs(q / 4 - edge) < 0.5 for edge in (*ranges, 13)):
            continue
        low, high = ranges[max(edge for edge in ranges if edge <= q / 4)]
        allowed = {BELOW} if v < low - 1 else {ABOVE} if v > high + 1 else {WITHIN}
        if low - 1 <= v <= low + 1 or high - 1 <= v <= high + 1:
            continue
        assert t in allowed, (q, v, t)
    refused = frames.muscles.filter(pl.col("muscle_id") == "traps")["m"][0]
    assert set(beds.filter(pl.col("m") == refused)["t"]) == {NO_RANGE}
