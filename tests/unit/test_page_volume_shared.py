"""Volume and progress: what holds for every muscle is said once, not in each row."""

from dataclasses import replace

import polars as pl
import pytest

from dashboards.blocks import Prose, Table
from dashboards.pages.volume import build_page
from dashboards.prepare.next_phase.proposals import read_proposals
from dashboards.prepare.next_phase.say import answer_of
from dashboards.prepare.volume import muscle_answers, say_better, say_no_better
from dashboards.prepare.volume_narrow import narrow_sentence
from dashboards.prepare.volume_rows import summary_frames
from dashboards.prepare.volume_tables import held_table, shared_end, summary_table
from pipeline.core.page_book import PageBook
from tests.pages.answers_book import held_rows
from tests.pages.book import make_book

FEWER = "Fewer sets were not tried for long enough."
NO_BETTER = " The record adds nothing to the published average."


@pytest.fixture(scope="module")
def book() -> PageBook:
    return make_book()


def with_findings(book: PageBook, finding: pl.DataFrame) -> PageBook:
    """The book with other findings."""
    return replace(book, tables={**book.tables, "finding": finding})


def with_held(book: PageBook, ends: tuple[str, str]) -> PageBook:
    """Chest and lats held, and the sentences end so."""
    rows = [held_rows("aspen", muscle, "traps")[0] for muscle in ("chest", "lats")]
    rows = [
        {**row, "finding_id": end or "none", "sentence": f"{row['sentence']}{end}"}
        for row, end in zip(rows, ends, strict=True)
    ]
    finding = book.tables["finding"]
    others = finding.filter(pl.col("question") != "hold_sets")
    return with_findings(book, pl.concat([others, pl.DataFrame(rows, schema=finding.schema)]))


def test_an_end_that_all_sentences_share_is_found() -> None:
    assert shared_end([f"One. {FEWER}", f"Two. {FEWER}"]) == FEWER
    assert shared_end([f"One. {FEWER}", "Two."]) == ""
    assert shared_end([f"One. {FEWER}"]) == ""
    assert shared_end([]) == ""


@pytest.mark.parametrize(
    ("ends", "caption", "row"), [((f" {FEWER}",) * 2, 1, 0), ((f" {FEWER}", ""), 0, 1)]
)
def test_sets_not_tried_are_said_once_where_it_holds_for_all(
    book: PageBook, ends: tuple[str, str], caption: int, row: int
) -> None:
    table = held_table(muscle_answers(with_held(book, ends), "aspen"))
    assert str(table.note).count(FEWER) == caption
    assert sum(str(cells).count(FEWER) for cells in table.rows) == row
    assert all(str(cells[-1]).endswith(("blocks.", FEWER)) for cells in table.rows)


def test_no_better_than_published_is_said_once_where_it_holds_for_all(book: PageBook) -> None:
    lifter = next(one for one in book.lifters if one.lifter_id == "aspen")
    is_range = (pl.col("question") == "supported_sets") & pl.col("estimate").is_not_null()
    sentence = pl.when(is_range).then(pl.col("sentence") + NO_BETTER).otherwise("sentence")
    same = with_findings(book, book.tables["finding"].with_columns(sentence=sentence))
    for one, in_rows, caption in ((book, 1, "In 1 of 13 muscles"), (same, 0, "In none of 13")):
        answers = muscle_answers(one, "aspen")
        assert say_better(answers).startswith(caption)
        progress, _ = read_proposals(one, lifter)
        own = progress.muscles.filter(~pl.col("is_published")).height
        told = say_no_better(len(progress.no_better), own)
        assert told == say_better(answers).replace(" (pale)", "")
        assert told in str(answer_of(progress).second)
        for reads in (
            [str(cells[-1]) for cells in summary_table(answers).rows],
            summary_frames(answers).rows["reads"].drop_nulls().to_list(),
        ):
            assert sum("as published" in read for read in reads) == in_rows
            assert any(read.startswith(("inside", "past", "perhaps")) for read in reads)


def test_one_sentence_says_that_no_block_would_tell(book: PageBook) -> None:
    answers = muscle_answers(book, "aspen")
    assert narrow_sentence(book, "aspen", answers) is None
    table = book.tables["model_narrowing"].with_columns(
        narrows=pl.lit(False), is_proposed=pl.lit(False), years=pl.lit(None, pl.Float64)
    )
    flat = replace(book, tables={**book.tables, "model_narrowing": table})
    said = narrow_sentence(flat, "aspen", answers)
    assert isinstance(said, Prose)
    text = str(said.paragraphs[0])
    assert text.startswith("No single block of 16 weeks is expected to tell, for any of 13 muscles")
    assert "the best sets by 16 %" in text
    assert "(chest, 8 weeks at 9, then 8 at 21 weekly sets)" in text
    page = build_page(flat, flat.lifters[0])
    titles = [one.title for one in page.blocks if isinstance(one, Table)]
    assert "What would narrow it" not in titles
    folded = dict(page.folds)["What would narrow it, muscle by muscle"]
    assert isinstance(folded[0], Table)
    assert len(folded[0].rows) == 13
