"""The page Priorities in a browser, against the invented book."""

from dataclasses import replace
from datetime import timedelta

import polars as pl
import pytest
from markupsafe import Markup
from playwright.sync_api import expect

from dashboards.blocks import Picture, Section, Table
from dashboards.numbers import signed
from dashboards.pages.priorities import build_page
from dashboards.prepare.priorities.balance import balance_picture
from dashboards.prepare.priorities.injuries import Injury, say_injuries
from pipeline.core.page_book import PageBook
from tests.pages.book import make_book
from tests.pages.conftest import HOSTILE, Reader, loose
from tests.pages.priorities_book import ALL, PHASES, PROPOSAL, REFUSED_WHY

PAGE = "aspen/priorities.html"
READ = [found for _, found in PHASES.values() if found is not None]


def texts_of(reader: Reader, name: str, size: str = "wide") -> list[str]:
    return reader.open(PAGE, size).page.locator(f"#{name} svg.marks text").all_text_contents()


def count_clear(at: int) -> tuple[int, int]:
    """How many of the phases' gains (0) or costs (2) lie clearly above, clearly below zero."""
    above = sum(found[at] - found[at + 1] > 0 for found in READ)
    return above, sum(found[at] + found[at + 1] < 0 for found in READ)


def blocks_of(book: PageBook, at: int = 0) -> dict[str, object]:
    """Pictures and sections of a lifter's page by name."""
    made = build_page(book, book.lifters[at])
    return {one.name: one for one in made.blocks if isinstance(one, Picture | Section)}


def without(book: PageBook, *questions: str, **tables: pl.Expr) -> PageBook:
    """The book less the findings of some questions, and less some rows of tables."""
    left = {name: book.tables[name].filter(~rows) for name, rows in tables.items()}
    findings = book.tables["finding"].filter(~pl.col("question").is_in(questions))
    return replace(book, tables={**book.tables, "finding": findings, **left})


def test_the_answer_says_bought_and_cost_with_interval_and_n(reader: Reader) -> None:
    page = reader.open(PAGE).page
    said = loose(page.locator("h1").inner_text())
    low, high = (signed(end, 2) for end in ALL["gain"][1:])
    assert said.startswith("Four priority phases bought the chosen muscles +1.00 %")
    assert f"({low} to {high})" in said
    assert "The cost to the other muscles: 0.45 % of strength (−0.80 to −0.10)." in said
    assert loose(page.locator("h1 b.progress").inner_text()) == "+1.00 %"
    assert loose(page.locator("h1 b.loss").inner_text()) == "0.45 %"
    assert "One by one, one of four" in page.locator(".second").first.inner_text()


def test_every_phase_is_a_row_and_the_latest_is_first(reader: Reader) -> None:
    texts = texts_of(reader, "ledger")
    told = ["Calves and upper back", "Biceps", "Chest and side delts", "Quads"]
    assert [text for text in texts if text in told] == told
    assert texts.count("Hamstrings and calves") == 1
    for gain, half, cost, _ in READ:
        assert signed(gain, 2 if half < 1 else 1) in texts
        assert signed(cost, 2) in texts
    assert any(text.startswith("not enough: 3 ordinary training weeks") for text in texts)


def test_colour_marks_only_intervals_without_zero(reader: Reader) -> None:
    strokes = (
        reader.open(PAGE)
        .page.locator("#ledger svg .mark-rule line")
        .evaluate_all("lines => lines.map(line => line.getAttribute('stroke'))")
    )
    gains, costs = count_clear(0), count_clear(2)
    assert strokes.count("var(--progress)") == gains[0] + costs[0]
    assert strokes.count("var(--loss)") == gains[1] + costs[1]
    assert strokes.count("var(--ink2)") == 2 * len(READ) - sum((*gains, *costs))


def test_a_phone_has_both_numbers_and_no_sideways_scroll(reader: Reader) -> None:
    opened = reader.open(PAGE, "phone")
    texts = opened.page.locator("#ledger svg.marks text").all_text_contents()
    assert "−0.90 all others" in texts
    assert any(text.endswith(" chosen muscles") for text in texts)
    assert opened.page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_a_proposal_shows_the_command_that_accepts_it(reader: Reader) -> None:
    page = reader.open(PAGE).page
    row = page.locator("#proposals tbody tr")
    expect(row).to_have_count(1)
    assert row.locator("code").inner_text() == f"liftstrata accept {PROPOSAL}"
    assert "Glutes and lats" in row.inner_text()


def test_shares_name_only_what_is_clear(reader: Reader) -> None:
    texts = texts_of(reader, "shares")
    assert texts.count("more than its share") == 1
    assert texts.count("less than its share") == 1


def test_balance_draws_the_own_history_and_no_norm(reader: Reader) -> None:
    texts = texts_of(reader, "balance")
    assert texts.count("above its own history") == 5
    assert "not enough: 5 earlier" in texts
    assert "null" not in texts
    assert "Rows and pulldowns to presses, sets" in texts
    assert "weekly sets" not in texts
    caption = reader.open(PAGE).page.locator("#balance .caption").first.inner_text()
    assert "common practice" in caption
    assert "they are not the muscles' weekly sets" in caption
    assert "no published norm was found" in caption


@pytest.mark.parametrize(
    ("ratio", "says"),
    [
        (1.26, "more rows and pulldowns than presses: 1.26 sets to one"),
        (0.8, "fewer rows and pulldowns than presses: 0.80 sets to one"),
        (1.004, "as many rows and pulldowns as presses: 1.00 sets to one"),
    ],
)
def test_balance_begins_with_which_side_has_more_sets(
    book: PageBook, ratio: float, says: str
) -> None:
    history = book.tables["model_balance_own"]
    is_asked = (pl.col("pair_id") == "pull_push") & (pl.col("kind") == "sets")
    moved = history.with_columns(
        ratio=pl.when(is_asked).then(ratio).otherwise(pl.col("ratio")),
        usual_low=pl.lit(0.73),
        usual_high=pl.lit(1.29),
    )
    picture = balance_picture(
        replace(book, tables={**book.tables, "model_balance_own": moved}), "aspen"
    )
    assert picture is not None
    said = Markup(picture.answer).striptags()
    assert said.startswith(f"The last quarter had {says}, ")
    assert said.endswith("(0.73 to 1.29 in most quarters).")


def test_girths_stand_beside_the_phase_with_the_warning(reader: Reader) -> None:
    page = reader.open(PAGE).page
    part = page.locator("#body")
    assert "Strength stands in for size only loosely" in part.inner_text()
    part.locator("summary").click()
    row = part.locator("tbody tr")
    expect(row).to_have_count(1)
    assert "+0.7 cm" in row.inner_text()


def test_effort_injuries_and_variants_have_their_counts(reader: Reader) -> None:
    page = reader.open(PAGE).page
    effort = page.locator("#effort").inner_text()
    assert "not enough: 0 sets on cables" in effort
    assert "9 drop sets in the last year added 14 drops." in effort
    assert page.locator("#effort b.progress").first.inner_text() == "+1.9"
    injuries = page.locator("#injuries").inner_text()
    assert "belongs to a licensed clinician" in injuries
    assert (
        "Two injuries; in two cases a muscle had a quarter or more of its direct sets in lifts "
        "that were out. Strength fell clearly in 2 of 2 meanwhile. A quarter of a year after the "
        "end it stood clearly lower in none of 2."
    ) in injuries
    assert "Out now (shoulder, since" in injuries
    assert page.locator("#injuries b.loss").first.inner_text() == "−3.0"
    page.locator("#effort summary").click()
    assert f"sled{HOSTILE}" in page.locator("#effort").inner_text()
    assert "1 pair can be compared; in 1 pair" in page.locator("#variants").inner_text()


def test_contents_lead_to_every_part(reader: Reader) -> None:
    page = reader.open(PAGE).page
    links = page.locator(".contents a").evaluate_all("all => all.map(one => one.hash)")
    assert len(links) == 9
    for link in links:
        expect(page.locator(link)).to_have_count(1)


def test_refused_phases_are_left_out_with_their_reason(reader: Reader) -> None:
    page = reader.open(PAGE).page
    fold = page.locator("details.fold", has_text="What was left out")
    fold.locator("summary").click()
    assert f"Hamstrings and calves, 2019: {REFUSED_WHY}." in fold.inner_text()


def test_a_young_record_says_what_is_missing(reader: Reader) -> None:
    page = reader.open("rowan/priorities.html").page
    assert "cannot be told" in page.locator("h1").inner_text()
    assert page.locator("[data-chart]").count() == 0
    assert "[[event]] kind =" in page.locator("#how").inner_text()


@pytest.mark.parametrize("weeks", [1, 9])
def test_a_record_without_phases_or_journal_is_fine(weeks: int) -> None:
    book = make_book()
    asked = without(book, "priority_gain", "priority_cost", tidy_event=pl.lit(True))
    last = asked.tables["mart_week_lifter"]["week_start"].max()
    late = asked.tables["mart_week_lifter"].filter(
        pl.col("week_start") > last - timedelta(weeks=weeks)  # type: ignore[operator]
    )
    made = build_page(
        replace(asked, tables={**asked.tables, "mart_week_lifter": late}), book.lifters[0]
    )
    assert "may have been missed" in str(made.answers[0].sentence)
    assert "ledger" not in {one.name for one in made.blocks if isinstance(one, Picture)}


def test_no_share_of_progress_leaves_the_share_of_sets() -> None:
    book = make_book()
    year_only = without(book, model_share=pl.col("span") != "year")
    renamed = year_only.tables["model_share"].with_columns(span=pl.lit("all"))
    tables = {**year_only.tables, "model_share": renamed}
    picture = blocks_of(replace(year_only, tables=tables))["shares"]
    assert isinstance(picture, Picture)
    assert "No share of progress can be told" in picture.caption
    assert isinstance(picture.table, Table)
    assert {row[5] for row in picture.table.rows} == {""}


def test_effort_without_an_answer_is_one_line() -> None:
    book = make_book()
    is_effort = pl.col("question") == "effort"
    refused = book.tables["finding"].with_columns(
        estimate=pl.when(is_effort).then(None).otherwise("estimate")
    )
    section = blocks_of(replace(book, tables={**book.tables, "finding": refused}))["effort"]
    assert isinstance(section, Section)
    assert not any(isinstance(one, Table) for one in section.blocks)
    assert "No set of the last year tells of effort" in str(section.blocks[0])


def test_what_may_be_either_way_is_said_so() -> None:
    book = make_book()
    of_all = pl.col("subject") == "lifter:aspen"
    open_ends = book.tables["finding"].with_columns(
        low=pl.when(of_all & pl.col("question").str.starts_with("priority"))
        .then(-1.2)
        .otherwise("low"),
        high=pl.when(of_all & pl.col("question").str.starts_with("priority"))
        .then(1.2)
        .otherwise("high"),
    )
    made = build_page(replace(book, tables={**book.tables, "finding": open_ends}), book.lifters[0])
    said = str(made.answers[0].sentence)
    assert "no sure gain" in said
    assert "no sure cost" in said
    assert "class=" not in said


@pytest.mark.parametrize(
    ("through", "after", "says"),
    [
        (
            (),
            (),
            "Two injuries: no muscle had a quarter of its direct sets in lifts that were out.",
        ),
        (
            (0.4, -0.1),
            (None, None),
            "were out. Strength fell clearly in 1 of 2 meanwhile; "
            "a loss under 2.0 % would not show.",
        ),
        (
            (0.4, 0.1),
            (0.2, -0.2),
            "were out. Strength fell clearly in none of 2 meanwhile; "
            "a loss under 2.0 % would not show. "
            "A quarter of a year after the end it stood clearly lower in 1 of 2.",
        ),
        # of what could not be measured nothing is said
        (
            (0.4, None),
            (None, 0.1),
            "in none of 1 meanwhile; a loss under 2.0 % would not show. "
            "A quarter of a year after the end it stood clearly lower in none of 1.",
        ),
        ((None, None), (None, None), "were out. How strength went meanwhile is not known."),
        (
            (None, None),
            (-0.1, None),
            "is not known. A quarter of a year after the end it stood clearly lower in 1 of 1.",
        ),
    ],
)
def test_injuries_begin_with_what_they_took(
    through: tuple[float | None, ...], after: tuple[float | None, ...], says: str
) -> None:
    high = pl.Series(through, dtype=pl.Float64)
    # what fell clearly is told apart, and the surest of the others says how little would show
    widths = pl.Series((4.0, 8.0)[: len(high)], dtype=pl.Float64)
    ends = {"through_low": high - widths, "through_high": high}
    muscles = pl.DataFrame({**ends, "after_high": pl.Series(after, dtype=pl.Float64)})
    nothing = muscles.clear()
    told = say_injuries([Injury({}, {}, nothing, muscles), Injury({}, {}, nothing, nothing)])
    assert Markup(told).striptags().endswith(says)
