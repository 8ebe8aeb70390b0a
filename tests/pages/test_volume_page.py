"""Volume and progress in a browser: what it answers, and what choosing a muscle changes."""

import re

import polars as pl
import pytest
from playwright.sync_api import Locator, Page, expect

from dashboards import list_pages, render_page
from dashboards.numbers import amount, count, range_words
from pipeline.core.page_book import PageBook
from tests.pages.answers_book import OPEN, SAME
from tests.pages.book import FIRST, MUSCLES, REFUSED, empty_book
from tests.pages.conftest import Reader, loose

VOLUME = "aspen/volume.html"
NO_BETTER = "adds nothing to the published average"


def finding_of(book: PageBook, muscle: str) -> dict[str, object]:
    """The finding about a muscle's sets at the present training age."""
    return (
        book.tables["finding"]
        .filter(
            (pl.col("lifter_id") == "aspen")
            & (pl.col("question") == "supported_sets")
            & (pl.col("subject") == f"muscle:{muscle}")
            & (pl.col("window") == "now")
        )
        .row(0, named=True)
    )


def answer(page: Page) -> str:
    """The answer that is shown."""
    return page.locator(".answer:visible h1").inner_text()


def choose(page: Page, muscle: str) -> None:
    """Choose a muscle by the control."""
    page.locator("select[data-param=muscle]").select_option(muscle)


def words_of(page: Page, chart: str) -> list[str]:
    """Every text in a drawing, each once."""
    texts = page.locator(f"#{chart} svg.marks text").all_text_contents()
    return list(dict.fromkeys(texts))


def test_opens_with_one_answer_and_its_numbers(reader: Reader, book: PageBook) -> None:
    page = reader.open(VOLUME).page
    assert page.locator(".answer:visible").count() == 1
    row = finding_of(book, "chest")
    assert answer(page) == (
        f"Chest progressed most surely at {range_words(row['range_low'], row['range_high'])} "
        f"weekly sets at training age {row['age_from']:g} to {row['age_to']:g}, best at about "
        f"{count(row['estimate'])} ({count(row['low'])} to {count(row['high'])})."
    )
    second = loose(page.locator(".answer:visible .second").inner_text())
    assert f"from {count(row['edge_low'])} to {count(row['edge_high'])} (90 % interval)" in second
    assert f"Support fair, from {row['n']} blocks: {row['support_why']}." in second
    assert "The published average says 16 (9 to 23)." in second
    assert "Chest held at 9 weekly sets (8 to 10) at training age 2 to 5: +0.4 % a year" in second


@pytest.mark.parametrize("muscle", [m for m, _ in MUSCLES])
def test_each_muscle_says_of_the_published_average_what_its_finding_says(
    reader: Reader, book: PageBook, muscle: str
) -> None:
    page = reader.open(VOLUME).page
    choose(page, muscle)
    sentence = str(finding_of(book, muscle)["sentence"])
    assert (NO_BETTER in answer(page)) == (NO_BETTER in sentence.lower())
    assert muscle.replace("_", " ") in answer(page).lower()
    assert page.locator(".answer:visible").count() == 1


def test_choosing_a_muscle_redraws_both_pictures(reader: Reader, book: PageBook) -> None:
    page = reader.open(VOLUME).page
    choose(page, "quads")
    bands = book.tables["finding"].filter(
        (pl.col("subject") == "muscle:quads") & (pl.col("question") == "supported_sets")
    )
    ranges = [range_words(row["range_low"], row["range_high"]) for row in bands.to_dicts()]
    texts = words_of(page, "ages")
    assert [text for text in texts if text in ranges] == ranges
    blocks = book.tables["model_block"].filter(pl.col("muscle_id") == "quads")
    used, unused = blocks["is_used"].sum(), (~blocks["is_used"]).sum()
    groups = page.locator("#response svg .mark-symbol")
    assert [groups.nth(i).locator("path").count() for i in range(2)] == [unused, used]
    assert "supported range now" in words_of(page, "response")


def test_a_row_of_the_summary_chooses_its_muscle_by_click_and_by_key(reader: Reader) -> None:
    page = reader.open(VOLUME).page
    rows = page.locator(".picks.wide label")
    order = [rows.nth(i).locator("input").get_attribute("value") for i in range(rows.count())]
    rows.nth(3).click()
    select = page.locator("select[data-param=muscle]")
    expect(select).to_have_value(str(order[3]))
    page.keyboard.press("ArrowDown")
    expect(select).to_have_value(str(order[4]))
    assert str(order[4]).replace("_", " ") in answer(page).lower()
    line = page.locator("#summary [data-line]").inner_text()
    assert line.startswith(str(order[4]).replace("_", " ") + ": ")
    choose(page, "calves")
    assert page.locator(".picks.wide input:checked").get_attribute("value") == "calves"


# Points of the published line (the only dashes of 5 and 4) that lie in a name at a curve's end.
CROSSED = """() => {
  const lines = [...document.querySelectorAll("#response path[stroke-dasharray='5,4']")];
  const names = [...document.querySelectorAll("#response text")].filter((text) =>
    /^(this record|training age|published average)/.test(text.textContent));
  const points = lines.flatMap((line) => {
    const whole = line.getTotalLength();
    return Array.from({length: 401}, (_, i) =>
      line.getPointAtLength(whole * i / 400).matrixTransform(line.getScreenCTM()));
  });
  const crossed = names.filter((name) => {
    const box = name.getBoundingClientRect();
    return points.some((at) => at.x > box.left && at.x < box.right
      && at.y > box.top + 2 && at.y < box.bottom - 2);
  });
  return [lines.length, names.length, crossed.map((name) => name.textContent)];
}"""


@pytest.mark.parametrize(("size", "names"), [("wide", 6), ("phone", 4)])
def test_no_name_lies_on_the_published_line(reader: Reader, size: str, names: int) -> None:
    page = reader.open(VOLUME, size).page
    for muscle in ("chest", OPEN, SAME):
        choose(page, muscle)
        assert page.evaluate(CROSSED) == [1, names, []]


def test_a_tap_on_the_phone_chooses_the_muscle(reader: Reader) -> None:
    page = reader.open(VOLUME, "phone").page
    expect(page.locator(".picks.wide")).to_be_hidden()
    row = page.locator(".picks.narrow label").nth(2)
    muscle = row.locator("input").get_attribute("value") or ""
    row.click()
    assert muscle.replace("_", " ") in answer(page).lower()


def test_rows_lie_over_what_they_choose(reader: Reader) -> None:
    for size, group in (("wide", ".picks.wide"), ("phone", ".picks.narrow")):
        page = reader.open(VOLUME, size).page
        for i in (0, 7, 15):
            row = page.locator(f"{group} label").nth(i)
            name = row.locator("span").inner_text().split(":")[0]
            text = page.locator("#summary svg.marks text", has_text=re.compile(f"^{name}$")).first
            over, under = row.bounding_box(), text.bounding_box()
            assert over is not None
            assert under is not None
            middle = under["y"] + under["height"] / 2
            assert over["y"] <= middle <= over["y"] + over["height"]


def test_refused_muscles_come_last_with_their_reason(reader: Reader, book: PageBook) -> None:
    page = reader.open(VOLUME).page
    labels = page.locator(".picks.wide label input")
    order = [labels.nth(i).get_attribute("value") for i in range(labels.count())]
    assert set(order[-len(REFUSED) :]) == set(REFUSED)
    reason = str(finding_of(book, REFUSED[0])["support_why"])
    assert f"not enough: {reason}" in words_of(page, "summary")
    choose(page, REFUSED[0])
    assert f"cannot be told yet: {reason}." in answer(page)
    assert f"not enough: {reason}" in words_of(page, "response")
    assert page.locator("#response svg .mark-symbol path").count() == 0


def test_no_upper_edge_is_said_with_how_far_the_record_reaches(reader: Reader) -> None:
    page = reader.open(VOLUME).page
    choose(page, OPEN)
    assert "weekly sets and more" in answer(page)
    assert "no limit was seen up to 24" in answer(page)


def test_a_muscle_no_better_than_published_is_pale_and_says_so(reader: Reader) -> None:
    page = reader.open(VOLUME).page
    line = page.locator(f".picks.wide input[value={SAME}] + span").inner_text()
    assert line.endswith(", as published")
    assert "In 1 of 13 muscles" in page.locator("#summary .caption").inner_text()


def test_a_dot_tells_its_block(reader: Reader) -> None:
    page = reader.open(VOLUME).page
    dots = page.locator("#response svg .mark-symbol").nth(1).locator("path")
    dots.nth(5).hover(force=True)
    line = page.locator("#response [data-line]")
    expect(line).to_have_text(
        re.compile(
            r"14 weeks from \d+ \w{3} 20\d\d, chest: [\d.]+ weekly sets, "
            r"[+−][\d.]+ % a month; training age [\d.]+"
        )
    )


def cells(table: Locator, row: int) -> list[str]:
    """The cells of one row of a table."""
    return table.locator("tbody tr").nth(row).locator("td").all_inner_texts()


def test_sets_of_every_year_are_the_means_of_its_trained_weeks(
    reader: Reader, book: PageBook
) -> None:
    page = reader.open(VOLUME).page
    table = page.locator("h2:has-text('Weekly sets done') ~ .table table").first
    heads = table.locator("th").all_inner_texts()
    weeks = book.tables["mart_week_muscle"].filter(
        (pl.col("lifter_id") == "aspen")
        & (pl.col("muscle_id") == "chest")
        & pl.col("week_status").is_in(["trained", "deload"])
    )
    for year in (FIRST.year, 2020, 2026):
        mean = weeks.filter(pl.col("week_start").dt.year() == year)["weekly_sets"].mean()
        assert cells(table, 0)[heads.index(str(year))] == amount(mean)


def test_published_figures_stand_with_source_and_status(reader: Reader, book: PageBook) -> None:
    page = reader.open(VOLUME).page
    fold = page.locator("details.fold", has_text="What is published about weekly sets")
    fold.locator("summary").click()
    text = fold.inner_text()
    facts = book.tables["ref_fact"].filter(
        pl.col("question").is_in(["supported_sets", "hold_sets"])
    )
    assert facts.height > 5
    for row in facts.iter_rows(named=True):
        assert row["quantity"] in text
        assert row["source"] in text
    prior = book.tables["ref_prior"].filter(pl.col("muscle_id") == "any").row(0, named=True)
    assert f"centre {prior['centre_sets']:g}, spread {prior['spread_sets']:g}" in text
    assert f"({prior['status']})" in text


def test_a_short_record_says_what_is_missing_and_counts(reader: Reader, book: PageBook) -> None:
    page = reader.open("rowan/volume.html").page
    assert "cannot be told yet" in answer(page)
    assert "9 weeks with this muscle, 40 needed" in answer(page)
    assert page.locator("#response, #ages, .controls").count() == 0
    assert page.locator("h2:has-text('What is missing')").count() == 1
    assert page.locator("h2:has-text('Weekly sets done')").count() == 1
    assert "not enough" in page.locator("#summary .keys").inner_text()


def test_without_scripts_every_answer_and_the_first_picture_stand(reader: Reader) -> None:
    page = reader.open(VOLUME, scripts=False).page
    assert page.locator(".answer:visible").count() == len(MUSCLES)
    assert page.locator("#response noscript svg, #response svg").first.is_visible()


def test_an_empty_inbox_has_a_page() -> None:
    book = empty_book()
    page = next(one for one in list_pages(book) if one.kind == "volume")
    assert "Nothing that lies in the inbox now was read for New." in render_page(page, book)


def test_a_table_too_long_for_paper_is_left_on_the_screen(reader: Reader) -> None:
    page = reader.open(VOLUME).page
    page.locator("summary", has_text="The tables behind these pictures").click()
    table = page.locator("#table-response")
    expect(table).to_be_visible()
    page.emulate_media(media="print")
    expect(table).to_be_hidden()
    said = page.locator(".printed:visible").inner_text()
    expect(page.locator("#table-ages")).to_be_visible()
    page.emulate_media(media="screen")
    lines = table.locator("tbody tr")
    expect(lines).to_have_count(100)
    for _ in range(2):
        page.get_by_role("button", name="more rows").click()
    assert said.startswith(f"{lines.count()} rows")
    expect(page.get_by_role("button", name="more rows")).to_have_count(0)
    # In another order the first rows are those of the whole table.
    sets = table.locator("thead th.number").first
    place = 1 + sets.evaluate("head => [...head.parentNode.children].indexOf(head)")
    numbers = sorted(
        float(text) for text in table.locator(f"td:nth-child({place})").all_inner_texts()
    )
    sets.get_by_role("button").click()
    expect(lines).to_have_count(100)
    first = table.locator(f"td:nth-child({place})").all_inner_texts()
    assert [float(text) for text in first] == numbers[:100]
