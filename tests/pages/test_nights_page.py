"""The page Nights and sessions in a browser, against the invented book."""

import re

import polars as pl
from playwright.sync_api import expect

from dashboards.numbers import signed
from pipeline.core.page_book import PageBook
from tests.pages.conftest import HOSTILE, Reader, loose
from tests.pages.nights_book import REFUSED, SIGNALS, SLEEP, TESTS

NIGHTS = "aspen/nights.html"


def texts_of(reader: Reader, name: str, size: str = "wide") -> list[str]:
    return reader.open(NIGHTS, size).page.locator(f"#{name} svg.marks text").all_text_contents()


def test_the_answer_has_number_interval_and_sessions(reader: Reader) -> None:
    page = reader.open(NIGHTS).page
    said = loose(page.locator("h1").inner_text())
    assert said.startswith("One of 5 signals goes with the next sessions beyond chance.")
    assert f"{SLEEP['estimate']:.2f} % higher (+0.51 to +1.33), over 412 sessions" in said
    assert loose(page.locator("h1 b.progress").inner_text()) == "0.92 % higher"
    assert "with hidden stress 4" in page.locator("h1 + p, .second").first.inner_text()


def test_every_test_is_a_row_with_its_number(reader: Reader) -> None:
    texts = texts_of(reader, "signals")
    for estimate, half in TESTS.values():
        low, high = signed(estimate - half, 2), signed(estimate + half, 2)
        assert signed(estimate, 2) in texts
        assert any(text.startswith(f"({low} to {high})") for text in texts)
    assert any(text.startswith("not enough: 31 sessions") for text in texts)
    # enough sessions and no more than chance is not the same as too few of them
    assert texts.count("no more than chance") == len(TESTS) - 1
    assert "not enough" not in texts


def test_only_what_stands_is_coloured(reader: Reader) -> None:
    page = reader.open(NIGHTS).page
    strokes = page.locator("#signals svg .mark-rule line").evaluate_all(
        "lines => lines.map(line => line.getAttribute('stroke'))"
    )
    assert strokes.count("var(--progress)") == 1
    assert strokes.count("var(--loss)") == 0
    assert strokes.count("var(--ink2)") == len(TESTS) - 1


def test_a_phone_shows_the_word_and_the_table_the_reason(reader: Reader) -> None:
    page = reader.open(NIGHTS, "phone").page
    texts = page.locator("#signals svg.marks text").all_text_contents()
    assert "not enough" in texts
    assert not any(text.startswith("not enough:") for text in texts)
    fold = page.locator("details.fold", has_text="tables behind")
    fold.locator("summary").click()
    rows = fold.locator("tbody tr", has_text="31 sessions with recorded reps in reserve")
    assert rows.count() == 1
    assert REFUSED[0] in SIGNALS


def test_signals_and_devices_are_drawn_over_the_years(reader: Reader) -> None:
    texts = texts_of(reader, "levels")
    for name in ("sleep", "resting heart rate", "HRV (RMSSD)", "steps", "body weight"):
        assert name in texts
    assert f"new watch{HOSTILE}" in texts
    named = sum(text == f"watch two{HOSTILE}" for text in texts)
    assert 1 <= named < len(SIGNALS)  # once, with its halo, for the signals that came from it


def test_years_count_what_was_read(reader: Reader, book: PageBook) -> None:
    page = reader.open(NIGHTS).page
    table = page.locator("h2:has-text('year by year') ~ .table").first
    heads = table.locator("th").all_inner_texts()
    at = [head.strip() for head in heads].index("sleep")
    sleep = book.tables["tidy_signal"].filter(pl.col("signal") == "sleep_min")
    total = 0
    for row in table.locator("tbody tr").all():
        year, *counts = row.locator("td").all_inner_texts()
        days = int(counts[at - 1].replace(",", ""))
        assert days == sleep.filter(pl.col("date").dt.year() == int(year)).height
        total += days
    assert total == sleep.height


def test_the_method_says_what_it_assumes_and_cannot_see(reader: Reader) -> None:
    page = reader.open(NIGHTS).page
    fold = page.locator("details.fold", has_text="How this was worked out")
    fold.locator("summary").click()
    said = loose(fold.inner_text())
    assert "errs by 20 minutes of sleep" in said
    assert "In this record 84 % of what sleep varies" in said
    assert "What it cannot see: whatever moves nights and strength together" in said
    assert re.search(r"RMSSD and SDNN are two measures and never share a test", said)


def test_published_figures_stand_with_source_and_status(reader: Reader, book: PageBook) -> None:
    page = reader.open(NIGHTS).page
    fold = page.locator("details.fold", has_text="What is published about sleep")
    fold.locator("summary").click()
    facts = book.tables["ref_fact"].filter(pl.col("question") == "signal_effect")
    expect(fold.locator("tbody tr")).to_have_count(facts.height)


def test_a_lifter_without_nights_is_told_what_it_needs(reader: Reader) -> None:
    page = reader.open("rowan/nights.html").page
    assert "cannot be told: no sleep" in page.locator("h1").inner_text()
    assert page.locator("h2:has-text('What it needs')").count() == 1
    assert page.locator("h2:has-text('year by year')").count() == 1
    assert page.locator("[data-chart]").count() == 0
