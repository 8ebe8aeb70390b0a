"""The fewest weekly sets that held: at which training age, and whether a muscle rose meanwhile."""

from dataclasses import replace

from dashboards import list_pages, render_page, words
from dashboards.prepare.priorities.body import held_rows, say_least
from dashboards.prepare.volume import muscle_answers
from dashboards.prepare.volume_tables import held_table
from dashboards.told import told_plain
from pipeline.core.page_book import PageBook
from pipeline.core.page_style import PageStyle
from pipeline.findings.volume_hold import _say_hold
from pipeline.models.volume.hold import LeastThatHeld

HELD = LeastThatHeld(
    sets=4.35,
    low_sets=2.69,
    high_sets=5.52,
    progress_pct_year=3.6,
    low_pct_year=2.6,
    high_pct_year=4.5,
    n_blocks=17,
    n_of=66,
    age_from=1.4,
    age_to=11.6,
    is_lowest_tried=False,
)


def test_a_muscle_that_rose_meanwhile_is_said_so() -> None:
    assert "at training age 1 to 12: +3.6 % a year" in _say_hold("abs", HELD)
    assert "so it rose meanwhile" in _say_hold("abs", HELD)
    unsure = replace(HELD, low_pct_year=-0.4)
    assert "rose" not in _say_hold("abs", unsure)
    with words.written(PageStyle("de")):
        assert "dabei also gestiegen" in told_plain(_say_hold("abs", HELD))


def test_the_table_gives_the_training_age_and_warns_of_a_later_one(book: PageBook) -> None:
    table = held_table(muscle_answers(book, "aspen"))
    (row,) = [row for row in table.rows if row[0] == "chest"]
    assert row[1:3] == ("9 (8 to 10)", "2 to 5")
    assert "at a later training age it may take more" in str(table.note)


def test_priorities_tells_it_rounded_alike_and_leads_to_the_one_table(book: PageBook) -> None:
    said = str(say_least(held_rows(book, "aspen")))
    assert "chest at 9 (8 to 10) at training age 2 to 5" in said
    assert '<a href="volume.html">' in said
    page = next(one for one in list_pages(book) if one.file == "aspen/priorities.html")
    assert "14 of 57 blocks" not in render_page(page, book)
