"""What the page Nights and sessions counts, orders and says, without a browser."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import polars as pl
import pytest

from dashboards import words
from dashboards.blocks import Picture
from dashboards.charts.slopes import REFUSED as REFUSED_ROW
from dashboards.numbers import signed
from dashboards.pages.nights import build_page
from dashboards.prepare.nights import (
    SIGNALS,
    count_by_year,
    count_readings,
    find_family,
    list_signals,
    readings_of,
)
from dashboards.prepare.nights_levels import level_frames, say_reading
from dashboards.prepare.nights_pictures import forest_picture
from pipeline.core.page_book import PageBook
from pipeline.core.page_style import PageStyle
from tests.day_signal import day_signals
from tests.pages.book import FIRST, WEEKS, empty_book
from tests.pages.nights_book import FROM_WEEK, NEW_DEVICE, REFUSED, SLEEP, TESTS


def with_support(book: PageBook, word: str) -> PageBook:
    """The book with every signal called ``word``, the family counted anew."""
    is_signal = (pl.col("question") == "signal_effect") & pl.col("subject").str.starts_with("sig")
    standing = 0.0 if word == "not enough" else 5.0
    family = (pl.col("question") == "signal_effect") & ~pl.col("subject").str.starts_with("sig")
    findings = book.tables["finding"].with_columns(
        support=pl.when(is_signal).then(pl.lit(word)).otherwise("support"),
        estimate=pl.when(family).then(standing).otherwise("estimate"),
    )
    return replace(book, tables={**book.tables, "finding": findings})


def answer_of(book: PageBook, lifter_id: str) -> str:
    lifter = next(one for one in book.lifters if one.lifter_id == lifter_id)
    return build_page(book, lifter).answers[0].sentence.striptags()  # type: ignore[union-attr]


def test_what_stands_comes_first_and_refusals_last(book: PageBook) -> None:
    rows = list_signals(book, "aspen")
    assert len(rows) == len(TESTS) + 1
    assert (rows[0].signal, rows[0].nights) == ("sleep_min", 1)
    assert (rows[-1].signal, rows[-1].nights) == REFUSED
    sizes = [abs(row.swing[0]) for row in rows[1:-1]]
    assert sizes == sorted(sizes, reverse=True)


def test_only_what_stands_has_a_colour(book: PageBook) -> None:
    rows = list_signals(book, "aspen")
    assert rows[0].tone == "progress"
    clear = [row for row in rows[1:-1] if row.finding["high"] < 0 or row.finding["low"] > 0]
    assert len(clear) >= 1
    assert all(row.tone == "" for row in rows[1:])
    lowered = with_support(book, "thin")
    tones = {row.tone for row in list_signals(lowered, "aspen") if row.swing}
    assert tones == {"progress", "loss"}


def test_rows_compare_one_usual_swing(book: PageBook) -> None:
    row = list_signals(book, "aspen")[0]
    assert row.swing == pytest.approx((0.92 * 0.7, 0.51 * 0.7, 1.33 * 0.7))


def test_the_answer_says_the_number_of_what_stands(book: PageBook) -> None:
    said = answer_of(book, "aspen")
    assert said.startswith("One of 5 signals goes with the next sessions beyond chance.")
    assert f"{SLEEP['estimate']:.2f} % higher" in said
    assert f"{SLEEP['n']} sessions" in said


def test_nothing_that_stands_is_said_plainly(book: PageBook) -> None:
    said = answer_of(with_support(book, "not enough"), "aspen")
    assert said.startswith("Nothing holds up: none of 5 signals")


def test_several_that_stand_are_counted(book: PageBook) -> None:
    said = answer_of(with_support(book, "thin"), "aspen")
    assert said.startswith("5 of 5 signals go with the next sessions beyond chance. Most of all,")


def test_a_lifter_without_nights_is_told_what_it_needs(book: PageBook) -> None:
    assert find_family(book, "rowan") is None
    assert "cannot be told: no sleep" in answer_of(book, "rowan")
    (rowan,) = [one for one in book.lifters if one.lifter_id == "rowan"]
    page = build_page(book, rowan)
    assert [getattr(block, "title", "") for block in page.blocks] == [
        "What it needs",
        "What there is, year by year",
    ]


def test_a_refused_family_says_why(book: PageBook) -> None:
    is_family = pl.col("subject") == "lifter:aspen"
    is_asked = is_family & (pl.col("question") == "signal_effect")
    findings = book.tables["finding"].with_columns(
        support=pl.when(is_asked).then(pl.lit("not enough")).otherwise("support"),
        support_why=pl.when(is_asked)
        .then(pl.lit("12 sessions, 40 needed"))
        .otherwise("support_why"),
    )
    refused = replace(book, tables={**book.tables, "finding": findings})
    assert "cannot be told yet: 12 sessions, 40 needed" in answer_of(refused, "aspen")


def test_an_empty_record_has_a_page() -> None:
    assert answer_of(empty_book(), "new") == "Nothing that lies in the inbox now was read for New."


def test_years_count_sessions_and_days_with_a_reading(book: PageBook) -> None:
    readings = readings_of(book, "aspen")
    years = count_by_year(book, "aspen", readings)
    weeks = book.tables["mart_week_lifter"].filter(pl.col("lifter_id") == "aspen")
    assert years["sessions"].sum() == weeks["sessions"].sum()
    assert years["sleep_min"].sum() == readings.filter(pl.col("signal") == "sleep_min").height
    assert years["year"].to_list() == sorted(years["year"], reverse=True)


def test_counts_of_each_signal_are_those_of_the_readings(book: PageBook) -> None:
    readings = readings_of(book, "aspen")
    counts = count_readings(readings)
    assert counts["signal"].to_list() == [one for one in SIGNALS if one != "hrv_sdnn_ms"]
    assert set(counts["devices"]) == {2}
    sleep = readings.filter(pl.col("signal") == "sleep_min")
    last = sleep.filter(pl.col("date") > sleep["date"].max() - timedelta(days=28))
    assert counts["mean"][0] == pytest.approx(last["value"].mean())


def test_two_devices_on_one_day_count_once(book: PageBook) -> None:
    signals = book.tables["tidy_signal"]
    twice = signals.filter(pl.col("signal") == "sleep_min").head(50)
    doubled = pl.concat([signals, twice.with_columns(device_id=pl.lit("ring"))])
    tables = {**book.tables, "mart_day_signal": day_signals(doubled)}
    readings = readings_of(replace(book, tables=tables), "aspen")
    assert readings.height == readings_of(book, "aspen").height > 0
    assert "ring" not in readings["device_id"].to_list()


def test_levels_lie_on_their_own_scale_and_break_where_nothing_was_read(book: PageBook) -> None:
    readings = readings_of(book, "aspen")
    hole = FIRST + timedelta(weeks=500)
    cut = readings.filter(~pl.col("date").is_between(hole, hole + timedelta(days=90)))
    frames = level_frames(book, "aspen", cut, FIRST, WEEKS, 1)
    assert frames.weeks["v"].is_between(-80, 1080).all()
    assert frames.weeks["w"].min() >= FROM_WEEK
    sleep = frames.weeks.filter(pl.col("r") == 0)
    assert sleep["s"].n_unique() == 2
    inside = sleep.filter(pl.col("v").is_between(0, 1000)).height / sleep.height
    assert inside == pytest.approx(0.96, abs=0.02)


def test_a_new_device_is_a_line_in_its_rows_and_a_told_one_through_all(book: PageBook) -> None:
    readings = readings_of(book, "aspen")
    frames = level_frames(book, "aspen", readings, FIRST, WEEKS, 1)
    told = frames.devices.filter(pl.col("r") == -1)
    assert told["w"].to_list() == [330.0]
    assert told["label"].to_list() == ["new watch"]
    named = frames.devices.filter(pl.col("r") >= 0)
    assert named["r"].to_list() == list(range(5))
    assert np.abs(named["w"].to_numpy() - NEW_DEVICE).max() < 1
    assert named["label"].to_list()[1:] == [""] * 4  # one device, named once


def test_every_test_is_a_row_of_picture_and_table(book: PageBook) -> None:
    signals = list_signals(book, "aspen")
    picture = forest_picture(book, "aspen", signals, "")
    assert isinstance(picture, Picture)
    frame = picture.wide.to_dict(validate=False)["datasets"]
    rows = next(one for one in frame.values() if len(one) == len(signals) and "est" in one[0])
    assert [row["k"] for row in rows].count(REFUSED_ROW) == 1
    assert picture.table is not None
    assert len(picture.table.rows) == len(signals)
    assert picture.table.rows[0][2] == signed(SLEEP["estimate"], 2)


@pytest.mark.parametrize(
    ("signal", "value", "said"),
    [("sleep_min", 432.0, "7.2 h"), ("resting_hr_bpm", 54.4, "54 bpm"), ("steps", 8123.0, "8,123")],
)
def test_readings_are_said_with_their_unit(signal: str, value: float, said: str) -> None:
    assert say_reading(signal, value) == said


def test_a_session_counts_in_the_year_of_its_day(book: PageBook) -> None:
    """1 January 2025 is a Wednesday; its week began in 2024."""
    sets = book.tables["tidy_set"]
    day = date(2025, 1, 1)
    one = sets.head(1).with_columns(
        lifter_id=pl.lit("aspen"),
        session_date=pl.lit(day),
        rir_source=pl.lit("recorded"),
        is_warmup=pl.lit(False),
        is_doubted=pl.lit(False),
    )
    tables = {**book.tables, "tidy_set": pl.concat([sets, one])}
    changed = replace(book, tables=tables)
    years = count_by_year(changed, "aspen", readings_of(changed, "aspen"))
    was = count_by_year(book, "aspen", readings_of(book, "aspen"))
    added = years.join(was, on="year").filter(pl.col("recorded") != pl.col("recorded_right"))
    assert added["year"].to_list() == [2025]


def test_body_weight_is_read_in_the_unit_of_the_pages() -> None:
    assert say_reading("body_weight_kg", 80.0) == "80.0 kg"
    with words.written(PageStyle("de", body_weight="lb")):
        assert say_reading("body_weight_kg", 80.0) == "176,4 lb"
