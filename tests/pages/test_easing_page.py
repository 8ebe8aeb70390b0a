"""Easing off in a browser: what followed deloads and layoffs, and how often there were any."""

import re
from dataclasses import replace

import polars as pl
import pytest
from playwright.sync_api import expect

from dashboards import list_pages, render_page
from dashboards.numbers import amount, interval, signed
from pipeline.core.page_book import PageBook
from tests.pages.answers_book import DELOAD, LOSS
from tests.pages.book import empty_book
from tests.pages.conftest import Reader, loose

EASING = "aspen/easing.html"


def with_effect(book: PageBook, **changes: object) -> PageBook:
    """The book with the finding about deloads changed."""
    is_effect = (pl.col("question") == "deload_effect") & (pl.col("lifter_id") == "aspen")
    finding = book.tables["finding"].with_columns(
        pl.when(is_effect).then(pl.lit(value)).otherwise(pl.col(name)).alias(name)
        for name, value in changes.items()
    )
    return replace(book, tables={**book.tables, "finding": finding})


def html_of(book: PageBook, lifter_id: str = "aspen") -> str:
    """The page of one lifter."""
    page = next(p for p in list_pages(book) if p.kind == "easing" and p.lifter_id == lifter_id)
    return render_page(page, book)


def heading(text: str) -> str:
    """The answer of a page."""
    found = re.search(r"<h1>(.*?)</h1>", text)
    assert found is not None
    return loose(re.sub(r"<[^>]+>", "", found.group(1)))


def test_answer_has_the_numbers_of_the_finding(reader: Reader) -> None:
    page = reader.open(EASING).page
    said = interval(DELOAD["low"], DELOAD["high"])
    assert loose(page.locator("h1").inner_text()) == (
        f"In the three weeks after a deload strength stood {amount(DELOAD['estimate'])} % higher "
        f"{said} than after matched ordinary weeks."
    )
    second = loose(page.locator(".second").inner_text())
    assert "72 deloads of 78 could be read; support fair: 72 deloads; 1 % of fake dates" in second
    assert page.locator("h1 b.progress").count() == 1


@pytest.mark.parametrize(
    ("low", "high", "says", "colour"),
    [
        (0.2, 1.6, "0.9 % higher (+0.2 to +1.6)", "progress"),
        (-1.6, -0.2, "0.9 % lower (−1.6 to −0.2)", "loss"),
        (-0.3, 1.6, "cannot be told: against matched ordinary weeks it differed by", ""),
    ],
)
def test_a_side_is_only_said_where_the_interval_leaves_out_zero(
    book: PageBook, low: float, high: float, says: str, colour: str
) -> None:
    estimate = -0.9 if high < 0 else 0.9
    text = html_of(with_effect(book, low=low, high=high, estimate=estimate))
    assert says in heading(text)
    assert (f'<b class="{colour}">' in text) == bool(colour)
    if not colour:
        assert "clear rise" not in text.split("<footer")[0].split("Each deload in its year")[1]


def test_a_refusal_gives_its_reason_and_keeps_axes_and_counts(book: PageBook) -> None:
    why = "3 deloads with recorded reps in reserve in the weeks around them, 4 needed"
    gone = dict.fromkeys(("estimate", "low", "high"))
    words = {"support": "not enough", "support_why": why, "needed": 4.0, "counted": "other"}
    refused = with_effect(book, n=3, **words, **gone)
    mine = pl.col("lifter_id") != "aspen"
    empty = {
        name: refused.tables[name].filter(mine)
        for name in ("model_deload_path", "model_deload_event")
    }
    text = html_of(replace(refused, tables={**refused.tables, **empty}))
    assert heading(text) == f"What follows a deload cannot be told yet: {why}."
    assert "3 of 4" in text
    assert 'id="fan"' in text
    assert 'id="years"' not in text
    assert "Easing off, year by year" in text


def test_a_short_record_says_what_is_missing(reader: Reader) -> None:
    page = reader.open("rowan/easing.html").page
    assert loose(page.locator("h1").inner_text()) == (
        "What follows a deload cannot be told yet: 1 deloads, 4 needed."
    )
    assert page.locator("h2:has-text('What is missing')").count() == 1
    assert page.locator("h2:has-text('year by year')").count() == 1


def test_the_fan_ends_with_the_finding(reader: Reader, book: PageBook) -> None:
    page = reader.open(EASING).page
    texts = page.locator("#fan svg.marks text").all_text_contents()
    assert f"the difference, {signed(DELOAD['estimate'])} %" in texts
    assert f"after {DELOAD['n']} deloads" in texts
    assert "matched ordinary weeks" in texts
    paths = book.tables["model_deload_path"].filter(pl.col("series") == "event")
    assert page.locator("#fan svg .mark-rule line").count() > paths["event_id"].n_unique()


def test_every_layoff_stands_in_picture_and_table(reader: Reader, book: PageBook) -> None:
    page = reader.open(EASING).page
    layoffs = book.tables["model_layoff"]
    points = page.locator("#layoffs svg .mark-symbol.role-mark path")
    published = 2 if layoffs["weeks_off"].max() >= 9 else 1
    assert points.count() == layoffs.height + published
    note = f"{LOSS['n']} layoffs, {signed(LOSS['estimate'])} % a week off"
    assert note in page.locator("#layoffs svg.marks text").all_text_contents()
    back = page.locator("h2:has-text('Coming back') ~ .table tbody tr")
    assert back.count() == layoffs.height


def test_a_deload_tells_itself_under_the_pointer(reader: Reader) -> None:
    page = reader.open(EASING).page
    page.locator("#years svg .mark-symbol path").nth(3).hover(force=True)
    expect(page.locator("#years [data-line]")).to_have_text(
        re.compile(r"deload of \d+ \w{3} 20\d\d: [+−][\d.]+ % \(.* to .*\) in the three weeks")
    )


def test_pace_is_counted_from_the_events_beside_the_survey(reader: Reader, book: PageBook) -> None:
    page = reader.open(EASING).page
    events = book.tables["tidy_event"].filter(pl.col("kind") == "deload").sort("start")
    days = (events["end"] - events["start"]).dt.total_days() + 1
    facts = {row["fact_id"]: row for row in book.tables["ref_fact"].iter_rows(named=True)}
    texts = page.locator("#pace svg.marks text").all_text_contents()
    assert f"{amount(days.mean())}, {events.height} counted" in texts
    survey = facts["deload_every"]
    ends = f"({amount(survey['low'])} to {amount(survey['high'])})"
    assert f"survey: {amount(survey['value'])} {ends}" in texts
    every = next(text for text in texts if text.startswith("8.0"))
    assert re.fullmatch(r"8\.0(?: \(.*\))?, \d+ counted", every)


def test_years_count_the_deloads_of_the_events(reader: Reader, book: PageBook) -> None:
    page = reader.open(EASING).page
    rows = page.locator("h2:has-text('year by year') ~ .table tbody tr")
    events = book.tables["tidy_event"].filter(pl.col("kind") == "deload")
    for row in rows.all():
        year, number, *_ = row.locator("td").all_inner_texts()
        assert int(number) == events.filter(pl.col("start").dt.year() == int(year)).height


def test_published_figures_stand_with_source_and_status(reader: Reader, book: PageBook) -> None:
    page = reader.open(EASING).page
    fold = page.locator("details.fold", has_text="What is published about deloads")
    fold.locator("summary").click()
    rows = fold.locator("tbody tr")
    asked = ["deload_effect", "layoff_loss", "layoff_regain"]
    facts = book.tables["ref_fact"].filter(pl.col("question").is_in(asked))
    assert rows.count() == facts.height
    for row in facts.iter_rows(named=True):
        line = rows.filter(has_text=row["quantity"]).inner_text()
        assert row["source"] in line
        assert line.rstrip().endswith(row["status"])


def test_an_empty_inbox_has_a_page() -> None:
    assert "Nothing that lies in the inbox now was read for New." in html_of(empty_book(), "new")
