"""Lifts in a browser: the answer equals the findings, rows choose the lift, refusals stay."""

import re
from dataclasses import replace

import polars as pl
from playwright.sync_api import Locator, Page, expect

from dashboards import list_pages, render_page
from dashboards.numbers import interval, signed
from pipeline.core.page_book import PageBook
from pipeline.core.units import KG_PER_LB
from tests.pages.book import FIRST, WEEKS, make_book
from tests.pages.conftest import Reader, loose
from tests.pages.lifts_book import LIFTS, Lift, crowded_book

LIFTS_PAGE = "aspen/lifts.html"
ANSWERED = [lift for lift in LIFTS if lift.last]
# The barbell curl was last done years before the end of the record.
COUNTED = [lift for lift in ANSWERED if lift.spans[-1][1] == WEEKS]


def rate(lift: Lift) -> str:
    """The slope as a page writes it."""
    assert lift.last is not None
    estimate, low, high = lift.last
    return f"{signed(estimate)} {interval(low, high)}"


def forest_rows(page: Page) -> list[str]:
    """What the rows say, from the top, as the keyboard meets them."""
    return page.locator("#forest .picks.wide label").all_inner_texts()


def choose_row(page: Page, text: str) -> Locator:
    """The row of a lift, in the drawing of the present width."""
    return page.locator("#forest .picks.wide label", has_text=re.compile(f"^{text}"))


def test_the_answer_counts_what_the_findings_say(reader: Reader) -> None:
    answer = loose(reader.open(LIFTS_PAGE).page.locator("h1").inner_text())
    rising = [lift.last[0] for lift in COUNTED if lift.last[1] > 0 and lift.last[2] > 2]  # type: ignore[index]
    assert f"{len(rising)} of {len(COUNTED)} lifts rose over the last three years" in answer
    assert f"by {min(rising)} to {max(rising)} % a year; which rose most cannot be told" in answer
    row = next(lift for lift in LIFTS if lift.id == "barbell_row")
    assert "One fell, the barbell row: −2.7 % a year (−3.6 to −1.9)." in answer
    assert rate(row).replace(" (", " % a year (") in answer
    assert answer.endswith("One stood still, within ±2 % a year. For one it cannot be told.")


def test_the_fastest_is_named_only_where_its_interval_stands_apart(reader: Reader) -> None:
    book = make_book()
    apart = pl.when(pl.col("subject") == "lift:leg_press").then(9.5).otherwise(pl.col("low"))
    moved = book.tables["finding"].with_columns(
        low=pl.when(pl.col("question") == "lift_slope").then(apart).otherwise(pl.col("low")),
        high=pl.when(pl.col("subject") == "lift:leg_press").then(12.0).otherwise(pl.col("high")),
        estimate=pl.when(pl.col("subject") == "lift:leg_press")
        .then(11.0)
        .otherwise(pl.col("estimate")),
    )
    text = loose(_render(replace(book, tables={**book.tables, "finding": moved})))
    assert "most the leg press: +11.0 % a year (+9.5 to +12.0)" in text
    assert "which rose most cannot be told" not in text.split("</h1>")[0].split("<h1>")[1]


def test_what_was_published_stands_beside_it_with_source_and_status(
    reader: Reader, book: PageBook
) -> None:
    page = reader.open(LIFTS_PAGE).page
    fact = book.tables["ref_fact"].filter(pl.col("fact_id") == "gain_after_year_1")
    second = loose(page.locator(".second").inner_text())
    assert f"average {fact['value'][0]:g} % a year of the strength at the start" in second
    assert f"({fact['source'][0]}; {fact['status'][0]})" in second
    assert "Two lifts have too few weeks to say." in second
    expect(page.locator("#forest svg").get_by_text("dashed: published average")).to_have_count(1)


def test_every_slope_and_level_in_the_picture_is_its_finding(reader: Reader) -> None:
    page = reader.open(LIFTS_PAGE).page
    svg = page.locator("#forest svg")
    for lift in ANSWERED:
        estimate, low, high = lift.last  # type: ignore[misc]
        expect(svg.get_by_text(signed(estimate), exact=True)).not_to_have_count(0)
        expect(svg.get_by_text(interval(low, high), exact=True)).to_have_count(1)
    for lift in LIFTS:
        mass = f"{lift.level:.1f} kg" if lift.level < 20 else f"{lift.level:.0f} kg"
        expect(svg.get_by_text(mass, exact=True)).to_have_count(1)


def test_refused_lifts_stand_last_in_every_order_with_their_reason(reader: Reader) -> None:
    page = reader.open(LIFTS_PAGE).page
    for order in ("slope", "name", "family", "level"):
        page.select_option("select[data-param=order]", order)
        rows = forest_rows(page)
        assert [("not enough" in row) for row in rows] == [False] * 7 + [True] * 2
    expect(
        page.locator("#forest svg").get_by_text("not enough: 28 weeks, 40 needed")
    ).to_have_count(1)
    page.locator("summary", has_text="What was left out").click()
    expect(
        page.get_by_text("Machine chest press: 28 weeks, 40 needed; more logged weeks of the lift.")
    ).to_be_visible()


def test_rows_follow_the_order_that_was_chosen(reader: Reader) -> None:
    page = reader.open(LIFTS_PAGE).page
    told = [row.split(": ")[1].split()[0] for row in forest_rows(page)[:7]]
    slopes = [float(text.replace("−", "-")) for text in told]
    assert slopes == sorted(slopes, reverse=True)
    page.select_option("select[data-param=order]", "name")
    names = [row.split(",")[0].lower() for row in forest_rows(page)[:7]]
    assert names == sorted(names)
    # The drawing moved with them: the first name is the highest one in the picture too.
    page.wait_for_timeout(300)
    first = page.locator("#forest svg").get_by_text("Barbell curl").first.bounding_box()
    other = page.locator("#forest svg").get_by_text("Pull up").first.bounding_box()
    assert first is not None
    assert other is not None
    assert first["y"] < other["y"]
    page.select_option("select[data-param=order]", "level")
    levels = [float(re.search(r"level ([\d.]+)", row).group(1)) for row in forest_rows(page)[:7]]  # type: ignore[union-attr]
    assert levels == sorted(levels, reverse=True)


def test_a_row_chooses_the_lift_by_click_key_and_select(reader: Reader) -> None:
    page = reader.open(LIFTS_PAGE).page
    picture = page.locator("#lift svg")
    choose_row(page, "Bench press").click()
    expect(picture.get_by_text("116 kg", exact=True)).to_have_count(1)
    expect(page.get_by_role("heading", name="Swaps of the bench press")).to_be_visible()
    expect(page.locator("select[data-param=lift]")).to_have_value(
        choose_row(page, "Bench press").locator("input").get_attribute("value") or ""
    )
    page.keyboard.press("ArrowDown")
    expect(picture.get_by_text("97 kg", exact=True)).to_have_count(1)
    page.select_option("select[data-param=lift]", label="Leg press")
    expect(picture.get_by_text("252 kg", exact=True)).to_have_count(1)
    expect(choose_row(page, "Leg press").locator("input")).to_be_checked()


def test_the_line_under_the_pointer_says_what_the_row_shows(reader: Reader) -> None:
    page = reader.open(LIFTS_PAGE).page
    choose_row(page, "Bench press").hover()
    lift = LIFTS[0]
    expect(page.locator("#forest [data-line]")).to_have_text(
        f"Bench press, pushing: {rate(lift)} % a year, {lift.weeks} weeks, support fair; "
        "level 116 kg (111 to 121)"
    )


def test_a_rest_is_dashed_and_names_what_was_done_instead(reader: Reader) -> None:
    page = reader.open(LIFTS_PAGE).page
    choose_row(page, "Bench press").click()
    picture = page.locator("#lift svg")
    expect(picture.get_by_text("machine chest press", exact=True)).not_to_have_count(0)
    expect(picture.locator("path[stroke-dasharray='4,3']")).to_have_count(1)
    row = page.get_by_role("row", name=re.compile("bench press machine chest press gym change"))
    expect(row.first).to_contain_text("1.08")
    expect(row.first).to_contain_text("1.01 to 1.15")


def test_events_plateau_and_weekly_sets_stand_in_the_picture(reader: Reader) -> None:
    page = reader.open(LIFTS_PAGE).page
    choose_row(page, "Cable lateral raise").click()
    picture = page.locator("#lift svg")
    for text in ("knee", "shoulder", "gym change", "plateau", "weekly sets, at most 4"):
        expect(picture.get_by_text(text, exact=True)).not_to_have_count(0)
    said = re.compile(r"^Cable lateral raise .* \+0.4 \(−0.5 to \+1.3\)")
    expect(page.get_by_role("row", name=said).first).to_be_visible()


def test_first_years_are_left_out_where_they_overlap_the_last(reader: Reader) -> None:
    page = reader.open(LIFTS_PAGE).page
    page.locator("summary", has_text="The tables behind").click()
    row = page.locator("#table-forest tr", has_text="Bench press")
    expect(row).to_contain_text("+8.5 (+7.0 to +10.0)")
    page.locator("summary", has_text="What was left out").click()
    expect(page.get_by_text(re.compile("^Without an open circle"))).to_contain_text("Leg press")


def test_a_phone_shows_the_same_rows(reader: Reader) -> None:
    page = reader.open(LIFTS_PAGE, "phone").page
    svg = page.locator("#forest svg")
    expect(svg.get_by_text("+2.9 (+2.1 to +3.7)", exact=True)).to_have_count(1)
    expect(svg.get_by_text("not enough: 28 of 40 weeks", exact=True)).to_have_count(1)
    row = page.locator("#forest .picks.narrow label", has_text="Leg press")
    row.click()
    expect(page.locator("#lift svg").get_by_text("252 kg (242 to 262)")).not_to_have_count(0)


def test_a_young_record_is_told_how_much_is_missing_and_what_was_done(reader: Reader) -> None:
    page = reader.open("rowan/lifts.html").page
    expect(page.locator("h1")).to_have_text(
        "How fast any lift changed cannot be told yet: "
        "the bench press comes nearest, with 9 weeks, 16 needed."
    )
    expect(page.locator(".second")).to_contain_text("One lift done in 9 weeks.")
    expect(page.locator(".second")).to_contain_text("Latella")
    expect(page.get_by_role("cell", name="9 of 16")).to_be_visible()
    expect(page.get_by_role("row", name=re.compile("^Bench press 9 54 60 "))).to_be_visible()
    assert "rose" not in page.locator("main").inner_text().split("How this")[0]


def test_pounds_where_the_lifter_reads_pounds() -> None:
    book = make_book()
    aspen = replace(book.lifters[0], unit="lb")
    text = _render(replace(book, lifters=(aspen, *book.lifters[1:])))
    pounds = round(116 / KG_PER_LB)
    assert f"Estimated 1RM {pounds} lb ({round(0.96 * 116 / KG_PER_LB)} to" in text
    assert " kg" not in text.split("<main")[1].split('<div class="still">')[0]


def test_the_script_tells_the_whole_record_as_the_page_does_without_it(reader: Reader) -> None:
    page = reader.open(LIFTS_PAGE).page
    page.locator("[data-changes] select").select_option(label="whole record")
    shown = page.locator("[data-changes] tbody tr").all_inner_texts()
    said = page.locator("[data-changes] .sentence").inner_text()
    still = reader.open(LIFTS_PAGE, scripts=False).page.locator("#changes")
    assert shown == still.locator("tbody").nth(1).locator("tr").all_inner_texts()
    assert said == still.locator(".sentence").nth(1).inner_text()
    assert len(shown) == len(LIFTS)


def test_a_span_that_begins_with_a_year_is_told_for_every_lift(reader: Reader) -> None:
    page = reader.open(LIFTS_PAGE).page
    page.locator("[data-changes] select").select_option(label="since 2019")
    said = page.locator("[data-changes] .sentence")
    expect(said).to_contain_text("January 2019 to August 2026: ")
    before = said.inner_text()
    page.locator("[data-horizon] .bracket").press("Shift+ArrowLeft")
    expect(said).not_to_have_text(before)


def test_sixty_lifts_stay_under_two_megabytes() -> None:
    text = _render(crowded_book(make_book(), 52, FIRST))
    assert text.count('data-pick="lift"') == 2 * 61
    assert len(text.encode()) < 2_000_000


def _render(book: PageBook) -> str:
    page = next(page for page in list_pages(book) if page.file == LIFTS_PAGE)
    return render_page(page, book)


def test_the_legend_has_the_colours_of_the_chosen_lift(reader: Reader) -> None:
    opened = reader.open(LIFTS_PAGE)
    opened.all_drawn()
    page = opened.page
    colours = {}
    for name in ("Barbell row", "Bench press"):
        page.locator("select[data-param=lift]").select_option(label=name)
        key = page.locator("#lift .keys li:visible", has_text="90 % band")
        expect(key).to_have_count(1)
        colours[name] = key.locator("path").evaluate("(path) => getComputedStyle(path).stroke")
        drawn = page.locator("#lift .drawing svg.marks path[stroke-width='2']").evaluate_all(
            "(lines) => lines.map((line) => getComputedStyle(line).stroke)"
        )
        assert colours[name] in drawn
    assert len(set(colours.values())) == 2
