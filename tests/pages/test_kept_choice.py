"""What was chosen on one page of a lifter is chosen on the next."""

from playwright.sync_api import expect

from tests.pages.conftest import Reader


def test_a_year_leads_to_its_weeks_on_the_record(reader: Reader) -> None:
    opened = reader.open("aspen/annual.html")
    opened.page.locator("#y2020 .place a").click()
    opened.all_drawn()
    bracket = opened.page.locator("#overview .bracket")
    expect(bracket).to_have_attribute("aria-valuenow", "279")
    expect(opened.page.locator("#span h2")).to_be_in_viewport()
    assert opened.said == []


def test_span_and_muscle_go_along_within_a_lifter_only(reader: Reader) -> None:
    opened = reader.open("aspen/record.html")
    page = opened.page
    page.locator("select[data-param=span]").select_option(label="2020")
    page.locator("nav.wide a", has_text="Volume and progress").click()
    opened.all_drawn()
    assert "from_week=278&to_week=331" in page.url
    page.locator("select[data-param=muscle]").first.select_option("lats")
    page.locator("nav.wide a", has_text="Lifts").click()
    opened.all_drawn()
    assert page.url.endswith("from_week=278&to_week=331&muscle=lats")
    page.locator("nav.wide a", has_text="Volume and progress").click()
    opened.all_drawn()
    expect(page.locator("select[data-param=muscle]").first).to_have_value("lats")
    page.locator("header a.name").click()
    assert "#" not in page.url
    assert opened.said == []
