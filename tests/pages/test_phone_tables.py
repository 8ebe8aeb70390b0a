"""Tables on a phone: names, short words and dates keep their words whole."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page

from tests.pages.book import MUSCLES
from tests.pages.conftest import FILES, Reader, broken_texts

# Every word of a name that stands on more than one line.
BROKEN = broken_texts("td.name", r"[\p{L}\d]+")
# How the last cells of stacked tables that hold nothing are displayed.
EMPTY = """() => [...document.querySelectorAll(".stack td:last-child")]
  .filter((cell) => !cell.textContent.trim() && !cell.children.length)
  .map((cell) => getComputedStyle(cell).display)"""


@pytest.fixture(scope="module", params=FILES)
def phone(request: pytest.FixtureRequest, reader_of_file: Reader) -> Iterator[Page]:
    """Each page, opened once for all the tests that only read it."""
    yield reader_of_file.open(request.param, "phone").page
    reader_of_file.close()


def test_no_name_breaks_inside_a_word(phone: Page) -> None:
    assert phone.evaluate(BROKEN) == []


def test_an_empty_cell_of_a_stack_leaves_its_head_out(phone: Page) -> None:
    assert set(phone.evaluate(EMPTY)) <= {"none"}


def test_there_are_stacks_with_empty_cells(reader: Reader) -> None:
    assert reader.open("aspen/record.html", "phone").page.evaluate(EMPTY)


def test_muscles_stand_in_columns_of_names(reader: Reader) -> None:
    page = reader.open("aspen/volume.html", "phone").page
    names = page.locator("h2:has-text('Weekly sets done') ~ .table td.name")
    shown = names.all_inner_texts()
    assert set(shown) >= {muscle.replace("_", " ") for muscle, _ in MUSCLES}


def test_names_are_set_like_the_other_cells(reader: Reader) -> None:
    page = reader.open("aspen/volume.html", "phone").page
    fonts = {
        page.locator(f"h2:has-text('Weekly sets done') ~ .table td.{kind}").first.evaluate(
            "cell => { const s = getComputedStyle(cell); return s.fontFamily + s.fontSize; }"
        )
        for kind in ("name", "number")
    }
    assert len(fonts) == 1


def test_every_year_of_sets_stands_in_the_card_of_its_muscle(reader: Reader) -> None:
    page = reader.open("aspen/volume.html", "phone").page
    table = page.locator("h2:has-text('Weekly sets done') ~ .table").first
    row = table.locator("tbody tr").first
    told = [cell for cell in row.locator("td").all() if cell.inner_text()]
    assert len(told) == table.locator("th").count() > 5
    assert len({cell.evaluate("cell => cell.offsetTop") for cell in told}) <= 2 + len(told) // 4
    assert table.evaluate("box => box.scrollWidth <= box.clientWidth")


def test_a_card_of_counts_leaves_none_out_on_a_phone_only(reader: Reader) -> None:
    for size in ("phone", "wide"):
        page = reader.open("aspen/state.html", size).page
        table = page.locator("h2:has-text('Files read') ~ .table").first
        cells = table.locator("td.number").all()
        none = [cell.is_visible() for cell in cells if cell.text_content() == "0"]
        assert none
        assert set(none) == {size == "wide"}


def test_five_columns_of_numbers_stay_a_table_that_fits(reader: Reader) -> None:
    page = reader.open("aspen/easing.html", "phone").page
    table = page.locator("h2:has-text('Easing off, year by year') ~ .table").first
    assert table.locator("th").count() == 5
    assert table.locator("thead").is_visible()
    assert table.evaluate("box => box.scrollWidth <= box.clientWidth")


def test_columns_of_sentences_are_stacked(reader: Reader) -> None:
    page = reader.open("aspen/easing.html", "phone").page
    table = page.locator("h2:has-text('Reduced weeks') ~ .table").first
    assert not table.locator("thead").is_visible()
    assert table.locator("td").last.evaluate("cell => cell.clientWidth > innerWidth / 2")


BOXES = """() => {
  for (const fold of document.querySelectorAll("details")) fold.open = true;
  return [...document.querySelectorAll(".folded .table")].map((box) => {
    box.scrollTop = 200;
    const head = box.querySelector("thead th").getBoundingClientRect();
    return {
      rows: box.querySelectorAll("tbody tr").length,
      rolls: box.scrollTop > 0,
      sticks: Math.abs(head.top - box.getBoundingClientRect().top) < 1,
      reached: box.tabIndex === 0,
    };
  });
}"""


def test_a_folded_table_rolls_by_itself_only_beyond_forty_rows(reader: Reader) -> None:
    boxes = []
    for file in ("aspen/state.html", "aspen/record.html", "aspen/lifts.html"):
        boxes += reader.open(file).page.evaluate(BOXES)
    assert any(8 < box["rows"] <= 40 for box in boxes)
    assert any(box["rolls"] for box in boxes)
    for box in boxes:
        assert box["rolls"] == (box["rows"] > 40)
        # Its heads stay in sight, and the keyboard gets into it.
        assert not box["rolls"] or (box["sticks"] and box["reached"])
