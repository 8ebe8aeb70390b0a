"""What comes next and what was gained, on Lifts: forecasts, those kept, and the published law."""

import re

import polars as pl
from playwright.sync_api import Locator, expect

from dashboards.numbers import amount, count
from pipeline.core.page_book import PageBook
from tests.pages.book import WEEKS
from tests.pages.conftest import Reader
from tests.pages.lifts_book import LIFTS
from tests.pages.test_lifts_page import LIFTS_PAGE, choose_row


def shown_kg(value: float) -> str:
    """A mass as the page writes it: no decimals from 20 kg on."""
    return count(value) if value >= 20 else amount(value)


def test_every_forecast_is_its_finding_beside_no_change(reader: Reader, book: PageBook) -> None:
    page = reader.open(LIFTS_PAGE).page
    page.locator("summary", has_text=re.compile("^[0-9]+ lifts, a year on$")).click()
    table = page.locator("table", has_text="80 % interval").filter(has_text="a year on, kg")
    current = [lift for lift in LIFTS if lift.spans[-1][1] == WEEKS]
    expect(table.locator("tbody tr")).to_have_count(len(current))
    for lift in current:
        row = table.locator("tbody tr", has_text=re.compile(lift.id.replace("_", " "), re.I))
        cells = row.first.locator("td, th").all_inner_texts()
        kg = [shown_kg(share * lift.level) for share in (1.0, 1.02, 1.01)]
        assert [cells[1], cells[2], cells[4]] == kg
        ends = [shown_kg(share * lift.level) for share in (0.98, 1.06)]
        assert cells[3] == " to ".join(ends)


def test_forecasts_kept_say_how_they_held_and_what_came(reader: Reader, book: PageBook) -> None:
    page = reader.open(LIFTS_PAGE).page
    findings = book.tables["finding"].filter(pl.col("question") == "prediction_score")
    assert findings.height == 2
    for sentence in findings["sentence"]:
        expect(page.get_by_text(sentence)).to_have_count(1)
    expect(page.get_by_text("Still open: 6 predictions")).to_have_count(1)
    table = page.locator("table", has_text="against the interval")
    kept = book.tables["model_prediction"].filter(pl.col("state") == "came")
    newest = kept.sort("to_date", "subject", "weeks_ahead", descending=[True, False, False])
    expect(table.locator("tbody tr")).to_have_count(12)
    bench = newest.row(0, named=True)
    cells = table.locator("tbody tr").first.locator("td, th").all_inner_texts()
    assert cells[0] == "Bench press"
    assert cells[3] == shown_kg(bench["estimate"])
    assert cells[6] == shown_kg(bench["came"])
    missed = newest.head(12).filter(~pl.col("is_inside"))
    assert missed.height == 5
    assert [row[-1] for row in _cells(table)].count("above") == missed.height
    muscle = next(row for row in _cells(table) if row[0] == "Chest")
    assert muscle[3:7] == ["+2.0 %", "(−1.0 to +5.0)", "0.0 %", "+1.0 %"]


def _cells(table: Locator) -> list[list[str]]:
    return [row.locator("td, th").all_inner_texts() for row in table.locator("tbody tr").all()]


def test_the_chosen_lift_tells_what_comes_next(reader: Reader) -> None:
    page = reader.open(LIFTS_PAGE).page
    choose_row(page, "Pull up").click()
    said = page.get_by_text("A year on, by").locator("visible=true")
    expect(said).to_have_count(1)
    level = next(lift.level for lift in LIFTS if lift.id == "pull_up")
    assert f"{shown_kg(1.02 * level)} kg (" in said.inner_text()
    assert f"by the published drift alone {shown_kg(1.01 * level)} kg" in said.inner_text()


def test_gain_stands_beside_the_published_law_with_its_source(
    reader: Reader, book: PageBook
) -> None:
    page = reader.open(LIFTS_PAGE).page
    picture = page.locator("#growth")
    picture.scroll_into_view_if_needed()
    fact = book.tables["ref_fact"].filter(pl.col("fact_id") == "strength_gain_year_1")
    expect(picture).to_contain_text(f"{fact['source'][0]}; {fact['status'][0]}")
    rows = page.locator("table", has_text="law, %").locator("tbody tr")
    grown = book.tables["model_growth"]
    expect(rows).to_have_count(grown.height)


def test_a_lift_under_two_years_says_so_instead_of_a_line(reader: Reader) -> None:
    page = reader.open(LIFTS_PAGE).page
    refused = "not enough: under two years of this lift"
    page.locator("#growth").scroll_into_view_if_needed()
    expect(page.locator("#growth svg").get_by_text(refused)).to_have_count(0)
    choose_row(page, "Machine chest press").click()
    page.locator("#growth").scroll_into_view_if_needed()
    # Written twice: once in paper below, as a halo.
    expect(page.locator("#growth svg").get_by_text(refused).first).to_be_visible()
