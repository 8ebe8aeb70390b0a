"""The group in a browser: names only by consent, means or their refusal, links that lead on."""

import re
from collections.abc import Iterator

import polars as pl
import pytest
from playwright.sync_api import Browser, Page, expect

from dashboards import list_pages, render_page
from dashboards.numbers import interval, signed
from pipeline.core.page_book import PageBook
from tests.pages.book import MUSCLES, REFUSED, make_book
from tests.pages.conftest import Reader, loose
from tests.pages.group_book import group_book

GROUP = "group.html"
MEAN = (1.0, 0.4, 2.2)
ANSWERED = [muscle for muscle, _ in MUSCLES if muscle not in REFUSED]


def render_group(book: PageBook) -> str:
    """The page of the group as text."""
    page = next(page for page in list_pages(book) if page.kind == "group")
    return render_page(page, book)


@pytest.fixture(scope="module")
def six() -> PageBook:
    """Six lifters, who together carry a mean."""
    return group_book(make_book(), 6, MEAN)


@pytest.fixture
def opened(
    six: PageBook, browser: Browser, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Page]:
    """The page of the six lifters."""
    folder = tmp_path_factory.mktemp("group")
    (folder / GROUP).write_text(render_group(six), "utf-8")
    reader = Reader(browser, folder)
    yield reader.open(GROUP).page
    reader.close()


def cells(book: PageBook, lifter_id: str | None) -> pl.DataFrame:
    """Slopes of the last years of one lifter's muscles, or of the group's."""
    found = book.tables["finding"].filter(
        (pl.col("question") == "muscle_slope") & (pl.col("window") == "last")
    )
    return found.filter(pl.col("lifter_id").eq_missing(pl.lit(lifter_id)))


def test_two_lifters_are_counted_one_by_one_and_a_mean_is_refused(
    reader: Reader, book: PageBook
) -> None:
    page = reader.open(GROUP).page
    mine = cells(book, "aspen")
    is_still = (pl.col("low") >= -2) & (pl.col("high") <= 2)
    rose = mine.filter((pl.col("low") > 0) & ~is_still).height
    fell = mine.filter((pl.col("high") < 0) & ~is_still).height
    answer = loose(page.locator("h1").inner_text())
    assert f"{rose} rose over their last three years at most, " in answer
    assert (f"{fell} fell" if fell else "none fell") in answer
    assert f"{mine.filter(is_still).height} stayed within ±2 % a year" in answer
    expect(page.locator(".second")).to_have_text(
        "A mean over the group needs five lifters with the muscle; there are two at most, "
        "so each lifter stands alone."
    )
    refused = page.locator("#means svg").get_by_text("not enough: 2 lifters, 5 needed", exact=True)
    expect(refused).to_have_count(len(ANSWERED))


def test_who_did_not_agree_has_a_pseudonym_that_stays(reader: Reader, book: PageBook) -> None:
    page = reader.open(GROUP).page
    text = page.locator("body").inner_text()
    assert "Rowan" not in text
    assert "Aspen" in text
    found = re.search(r"lifter [0-9a-f]{4}", text)
    assert found is not None
    # Another lifter more or less changes nobody's pseudonym.
    many = render_group(group_book(make_book(), 12, MEAN))
    few = render_group(group_book(make_book(), 6, MEAN))
    kept = set(re.findall(r">(lifter [0-9a-f]{4})<", few))
    assert len(kept) == 4
    assert kept <= set(re.findall(r">(lifter [0-9a-f]{4})<", many))


def test_every_lifter_has_links_to_the_own_pages(reader: Reader) -> None:
    page = reader.open(GROUP).page
    links = page.locator("main table a").evaluate_all(
        "links => links.map(a => a.getAttribute('href'))"
    )
    for lifter in ("aspen", "rowan"):
        for kind in ("record", "volume", "lifts", "easing"):
            assert f"{lifter}/{kind}.html" in links
    page.locator("main table a", has_text="Lifts").first.click()
    expect(page).to_have_url(re.compile("aspen/lifts.html$"))


def test_the_mean_of_many_is_said_with_its_interval_and_number(opened: Page, six: PageBook) -> None:
    means = cells(six, None)
    rising = means.filter((pl.col("low") > 0) & (pl.col("high") > 2))
    answer = loose(opened.locator("h1").inner_text())
    assert answer.startswith(f"Over six lifters, {rising.height} of {means.height} muscles rose")
    low, high = rising["estimate"].min(), rising["estimate"].max()
    assert f"by {low:.1f} to {high:.1f} % a year; which rose most cannot be told" in answer
    svg = opened.locator("#means svg")
    for row in means.iter_rows(named=True):
        text = interval(row["low"], row["high"])
        expect(svg.get_by_text(text, exact=True)).not_to_have_count(0)


def test_cells_hold_the_findings_of_each_lifter(opened: Page, six: PageBook) -> None:
    opened.locator("summary", has_text="The tables behind").click()
    table = opened.locator("#table-matrix")
    heads = table.locator("thead th").all_inner_texts()
    row = table.locator("tbody tr", has_text="Person 3").locator("td").all_inner_texts()
    found = cells(six, "member_3")
    weeks = six.tables["mart_week_muscle"].filter(pl.col("lifter_id") == "member_3")
    for muscle, estimate, low, high, n in found.select(
        pl.col("subject").str.strip_prefix("muscle:"), "estimate", "low", "high", "n"
    ).iter_rows():
        cell = row[heads.index(muscle.replace("_", " "))]
        logged = weeks.filter((pl.col("muscle_id") == muscle) & pl.col("weekly_sets").is_not_null())
        sets = logged.sort("week_start").tail(12)["weekly_sets"].mean()
        assert cell.startswith(f"{round(sets)};")  # type: ignore[arg-type]
        if estimate is None:
            assert cell.endswith(f"not enough: {n} of 40 weeks")
        else:
            assert cell.endswith(f"{signed(estimate)} {interval(low, high)}")


def names_from_the_top(page: Page) -> list[str]:
    """Lifters as they stand in the drawing, once it has followed the controls."""
    page.wait_for_timeout(300)
    texts = page.locator("#matrix svg text").evaluate_all(
        "texts => texts.map(t => [t.textContent, t.getBoundingClientRect().top])"
    )
    named = [(top, text) for text, top in texts if re.match("Person|lifter", text)]
    return [text for _, text in sorted(named)]


def test_lifters_stand_by_training_age_name_sets_or_change(opened: Page, six: PageBook) -> None:
    began = sorted((one.training_began, one.lifter_id) for one in six.lifters)
    by_age = names_from_the_top(opened)
    assert by_age[0] == "Person 0"
    assert began[0][1] == "member_0"
    opened.select_option("select[data-param=order]", "name")
    names = names_from_the_top(opened)
    assert names == sorted(names, key=str.lower)
    opened.select_option("select[data-param=muscle]", "lats")
    opened.select_option("select[data-param=order]", "change")
    last = names_from_the_top(opened)[-1]
    told = six.tables["finding"].filter(
        (pl.col("subject") == "muscle:lats") & pl.col("lifter_id").is_not_null()
    )
    refused = told.filter(pl.col("estimate").is_null())["lifter_id"].to_list()
    assert refused == ["member_5"]
    assert last == _label(opened, "member_5")


def _label(page: Page, lifter_id: str) -> str:
    return page.locator(f"a[href='{lifter_id}/record.html']").inner_text()


def test_choosing_a_muscle_moves_beds_and_tint(opened: Page) -> None:
    before = opened.locator("#beds svg.marks").inner_html()
    row = opened.locator("#means .picks.wide label", has_text="quads")
    row.click()
    expect(opened.locator("select[data-param=muscle]")).to_have_value("quads")
    opened.wait_for_timeout(300)
    heads = opened.locator("#matrix svg text[font-weight='600']").all_text_contents()
    assert [head for head in heads if head] == ["quads"]
    assert opened.locator("#beds svg.marks").inner_html() != before


def test_weekly_sets_may_be_read_over_twenty_six_weeks(opened: Page, six: PageBook) -> None:
    opened.select_option("select[data-param=recent]", "long")
    weeks = six.tables["mart_week_muscle"].filter(
        (pl.col("lifter_id") == "member_0")
        & (pl.col("muscle_id") == "chest")
        & pl.col("weekly_sets").is_not_null()
    )
    mean = weeks.sort("week_start").tail(26)["weekly_sets"].mean()
    number = opened.locator("#matrix svg").get_by_text(f"{mean:.0f}", exact=True)
    expect(number).not_to_have_count(0)


def test_a_column_sorts_by_its_head(opened: Page) -> None:
    table = opened.locator("main table", has_text="cannot be told").first
    table.get_by_role("button", name="training age").click()
    ages = [float(text) for text in table.locator("tbody td:nth-child(2)").all_inner_texts()]
    assert ages == sorted(ages)


def test_a_hundred_lifters_stay_under_two_megabytes() -> None:
    text = render_group(group_book(make_book(), 100, MEAN))
    assert text.count('/record.html"') == 100
    assert len(text.encode()) < 2_000_000


def test_more_lifters_than_pictures_hold_stand_in_the_tables() -> None:
    text = render_group(group_book(make_book(), 130, MEAN))
    assert text.count('/record.html"') == 130
    assert "86 lifters stand in the tables only." in text
    assert "Drawn are 44 lifters, evenly spread over training age." in text


def test_a_single_lifter_has_no_group() -> None:
    book = group_book(make_book(), 1, None)
    assert [page.file for page in list_pages(book) if page.kind == "group"] == []
