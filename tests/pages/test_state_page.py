"""State of the record: every row is accounted for, and what is doubted is shown."""

import re
import tomllib
from dataclasses import replace

import polars as pl
import pytest
from playwright.sync_api import expect

from dashboards.prepare.missing import missing_questions
from dashboards.prepare.state import MOST_PLACES, reason_table, state_frames
from pipeline.core.page_book import PageBook
from tests.pages.conftest import Reader

STATE = "aspen/state.html"


def whole(text: str) -> int:
    return int(text.replace(",", ""))


def test_the_row_equation_holds_for_each_file_and_in_sum(reader: Reader, book: PageBook) -> None:
    page = reader.open(STATE).page
    files = book.tables["source_file"].filter(pl.col("lifter_id") == "aspen")
    shown = page.locator("h2:has-text('Files read') ~ .table").first.locator("tbody tr")
    expect(shown).to_have_count(files.height)
    for row in shown.all():
        read, *parts = map(whole, row.locator("td.number").all_inner_texts())
        assert len(parts) == 4
        assert read == sum(parts) > 0
    note = page.get_by_text(re.compile("Every record is accounted for")).inner_text()
    total, *parts = (whole(part) for part in re.findall(r"[\d,]+", note.split("In sum")[1]) if part)
    assert total == sum(parts) == files["read"].sum()


def test_rows_set_aside_are_counted_by_reason_and_listed(reader: Reader, book: PageBook) -> None:
    page = reader.open(STATE).page
    mine = book.tables["set_aside"].filter(pl.col("file_id").str.starts_with("aspen"))
    for reason, number in mine["reason"].value_counts().iter_rows():
        row = page.get_by_role("row", name=re.compile(f"^{reason} {number} .* lines? [0-9, ]+$"))
        expect(row).to_have_count(1)
        told = "".join(re.findall(r" lines? ([0-9, ;]+)", row.inner_text()))
        lines = mine.filter(pl.col("reason") == reason)["row_no"]
        assert sorted(map(int, re.findall(r"\d+", told))) == sorted(lines)
    page.locator("summary", has_text="The rows themselves").click()
    listed = page.locator("details[open] tbody tr")
    expect(listed).to_have_count(mine.height)


def test_of_many_rows_of_one_reason_the_first_are_placed(book: PageBook) -> None:
    frames = state_frames(book, "aspen")
    row = frames.aside.head(1)
    many = pl.concat([row.with_columns(row_no=pl.lit(line)) for line in range(2, MOST_PLACES + 4)])
    said = reason_table(replace(frames, aside=many.cast(row.schema))).rows[0][-1]
    assert str(said).endswith(f", {MOST_PLACES + 1}; and 2 more rows")
    few = reason_table(replace(frames, aside=many.head(MOST_PLACES).cast(row.schema))).rows[0][-1]
    assert str(few).endswith(f", {MOST_PLACES + 1}")


def test_records_of_one_line_are_counted_beside_it(book: PageBook) -> None:
    frames = state_frames(book, "aspen")
    row = frames.aside.head(1)
    lines = [row.with_columns(row_no=pl.lit(line)) for line in (67, 67, 90)]
    said = reason_table(replace(frames, aside=pl.concat(lines).cast(row.schema))).rows[0]
    assert said[1] == "3"
    assert str(said[2]).endswith(" lines 67 (×2), 90")


def test_what_is_counted_leads_to_where_it_is_listed(reader: Reader) -> None:
    page = reader.open(STATE).page
    for counted, title in (
        ("12 set aside", "Rows set aside, by reason"),
        ("likely typing errors", "Likely typing errors"),
        ("1 name", "Names that match no exercise"),
        ("6 weeks", "Weeks without a record"),
    ):
        page.locator(".answer a", has_text=counted).click()
        head = page.locator("h2:target")
        expect(head).to_have_text(title)
        expect(head).to_be_in_viewport()
    listed = page.locator("nav.contents a").all_inner_texts()
    heads = page.locator("main > h2").all_inner_texts()
    assert listed == heads


def test_names_without_an_exercise_come_with_the_nearest(reader: Reader) -> None:
    page = reader.open(STATE).page
    row = page.get_by_role("row", name=re.compile("^bennch"))
    expect(row).to_contain_text("bench press, close grip bench press")


def test_doubted_sets_are_listed_with_their_place(reader: Reader, book: PageBook) -> None:
    page = reader.open(STATE).page
    doubted = book.tables["tidy_set"].filter(pl.col("is_doubted"))
    for place, row_no in enumerate(doubted["row_no"]):
        row = page.get_by_role("row", name=re.compile(rf" load: 1000 kg .* line {row_no} "))
        expect(row).to_have_count(1)
        # the lines can be pasted as they stand
        lines = row.locator("pre").inner_text()
        told = tomllib.loads(lines)["correction"][0]
        assert (told["row"], told["column"], told["expect"]) == (row_no, 'Load "kg"', "1000")
        assert told["file"].startswith("aspen/early")
        # without a proposal they do nothing until a person writes the value or confirms it
        assert told.get("value") == (None if place == 0 else "100")
        assert ('\n# value = "1000"  # write what' in lines) == (place == 0)


def test_training_kept_twice_names_the_copy_that_counts(reader: Reader) -> None:
    page = reader.open(STATE).page
    rows = page.locator("tr", has=page.locator("pre.paste", has_text="[[copies]]"))
    expect(rows).to_have_count(2)
    in_one, in_two = (
        tomllib.loads(text)["copies"][0] for text in rows.locator("pre").all_inner_texts()
    )
    assert (len(in_one["files"]), in_one["keep"]) == (1, "both")
    assert in_two["keep"] == in_two["files"][1]
    assert in_two["keep"].startswith("aspen/middle")


def test_a_correction_that_no_longer_fits_is_loud(reader: Reader) -> None:
    page = reader.open(STATE).page
    expect(page.get_by_role("row", name=re.compile("a zero too many applied$"))).to_have_count(1)
    loud = page.get_by_role("row", name=re.compile("NOT applied: holds '90', not '1000'"))
    expect(loud).to_have_count(1)


def test_a_file_with_rows_set_aside_says_so(reader: Reader, book: PageBook) -> None:
    page = reader.open(STATE).page
    files = book.tables["source_file"].filter(pl.col("lifter_id") == "aspen")
    for number in files["set_aside"]:
        told = page.get_by_role(
            "cell", name=re.compile(rf"^{number} records set aside, first line")
        )
        expect(told).to_have_count(1)


def test_weeks_without_a_record_are_dated(reader: Reader) -> None:
    page = reader.open(STATE).page
    expect(page.get_by_role("row", name="1 Jun 2020 12 Jul 2020 6")).to_be_visible()


def test_a_correction_without_a_value_says_what_to_write(reader: Reader) -> None:
    page = reader.open(STATE).page
    loud = page.get_by_role("row", name=re.compile("to look up NOT applied: no value is written"))
    expect(loud).to_have_count(1)


def test_the_clock_is_on_this_page(reader: Reader) -> None:
    page = reader.open(STATE).page
    expect(page.locator(".second")).to_contain_text("Last refresh 30 Aug 2026, 03:12.")


def test_the_answer_carries_the_sums(reader: Reader, book: PageBook) -> None:
    answer = reader.open(STATE).page.locator("h1").inner_text()
    files = book.tables["source_file"].filter(pl.col("lifter_id") == "aspen")
    for part in ("kept", "repeated", "blank"):
        assert f"{files[part].sum():,} {part}" in answer
    assert f"{files['set_aside'].sum()} set aside" in answer


def test_likely_typing_errors_say_how_many_are_set_aside(reader: Reader, book: PageBook) -> None:
    second = reader.open(STATE).page.locator(".second")
    doubts = book.tables["tidy_doubt"]
    aside = doubts["date"].null_count()
    assert 0 < aside < doubts.height
    told = f"{doubts.height} likely typing errors ({aside} of them among the rows set aside)"
    expect(second).to_contain_text(told)


@pytest.mark.parametrize("lifter_id", ["aspen", "rowan"])
def test_missing_questions_have_not_one_answer(book: PageBook, lifter_id: str) -> None:
    findings = book.tables["finding"].filter(pl.col("lifter_id") == lifter_id)
    answered = set(findings.filter(pl.col("support") != "not enough")["question"])
    missing = missing_questions(book, lifter_id)
    assert not answered & {one.question for one in missing}
    # Aspen has every answer but one: no week of complete rest.
    assert {one.needs for one in missing} == {"rowan": {40.0, 16.0, 4.0}, "aspen": {4.0}}[lifter_id]
