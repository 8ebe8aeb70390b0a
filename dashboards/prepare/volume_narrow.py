"""What would narrow the best weekly sets of each muscle: the block, its interval, or the years."""

import polars as pl

from dashboards import words
from dashboards.blocks import Prose, Table
from dashboards.numbers import capital, count, figure, range_words
from dashboards.prepare.heads import heads_of
from dashboards.prepare.volume import MuscleAnswer, Row
from pipeline.core.page_book import PageBook

KEYS = ("muscle", "now", "block", "after", "taken", "years")
NUMBERS = ("now", "after", "taken", "years")


def narrow_table(book: PageBook, lifter_id: str, answers: list[MuscleAnswer]) -> Table | None:
    """A row a muscle, those that a block would tell first; None where nothing was tried."""
    known = _known(book, lifter_id, answers)
    if not known:
        return None
    rows = tuple(_cells(one, row) for one, row in known)
    columns = heads_of("volume", *KEYS, numbers=NUMBERS)
    note = words.say("volume.narrow_note", weeks=count(known[0][1]["weeks"]))
    return Table(columns, rows, words.plain("volume.narrow_title"), note)


def narrow_sentence(book: PageBook, lifter_id: str, answers: list[MuscleAnswer]) -> Prose | None:
    """One sentence where all muscles agree that no block and no 20 years would tell; else None."""
    known = _known(book, lifter_id, answers)
    if not known or any(row["narrows"] or row["years"] is not None for _, row in known):
        return None
    best, row = known[0]
    said = words.say(
        "volume.narrow_none",
        weeks=count(row["weeks"]),
        muscles=count(len(known)),
        share=_taken(row),
        muscle=best.name,
        block=_say_block(row),
    )
    return Prose((said,), words.plain("volume.narrow_title"))


def _known(
    book: PageBook, lifter_id: str, answers: list[MuscleAnswer]
) -> list[tuple[MuscleAnswer, Row]]:
    """Answered muscles with what was tried for them, the most that a block takes off first."""
    tried = book.tables["model_narrowing"].filter(pl.col("lifter_id") == lifter_id)
    by_muscle = {row["muscle_id"]: row for row in tried.iter_rows(named=True)}
    known = [
        (one, by_muscle[one.muscle_id])
        for one in answers
        if one.now is not None and one.muscle_id in by_muscle
    ]
    return sorted(known, key=lambda pair: pair[1]["width_share"])


def _cells(answer: MuscleAnswer, row: Row) -> tuple[str, ...]:
    now = answer.now
    assert now is not None
    return (
        capital(answer.name),
        range_words(now["low"], now["high"]),
        _block(row),
        range_words(max(row["low_after"], 0.0), row["high_after"]) if row["is_proposed"] else "",
        _taken(row),
        _years(row),
    )


def _taken(row: Row) -> str:
    taken = 100.0 * (1.0 - row["width_share"])
    if taken < 1.0:
        return words.plain("volume.taken_less")
    return words.plain("volume.taken", share=count(taken))


def _block(row: Row) -> str:
    """The block in words; where it would not tell or may not be trained, that first."""
    if row["narrows"] and not row["is_proposed"]:
        return words.plain("volume.block_injured")
    said = _say_block(row)
    return said if row["narrows"] else words.plain("volume.block_none", block=said)


def _say_block(row: Row) -> str:
    return words.plain(
        "volume.block_one" if row["then_sets"] is None else "volume.block_two",
        weeks=count(row["weeks"]),
        half=count(row["weeks"] // 2),
        first=count(row["first_sets"]),
        then="" if row["then_sets"] is None else count(row["then_sets"]),
    )


def _years(row: Row) -> str:
    if row["narrows"]:
        return ""
    if row["years"] is None:
        return words.plain("volume.years_more")
    return figure(row["years"])
