"""Tables of the page The record."""

from functools import partial

import polars as pl

from dashboards import words
from dashboards.blocks import Column, Table, Text
from dashboards.marks import ruler
from dashboards.numbers import amount, capital, count, range_words, say_date
from dashboards.prepare.counts import count_lifts, count_years, mean_by_year
from dashboards.prepare.events import say_evidence, say_subject
from dashboards.prepare.heads import heads_of
from dashboards.prepare.lift_rows import say_load
from dashboards.prepare.missing import Missing
from dashboards.prepare.names import muscle_names
from dashboards.prepare.strips import StripFrames
from dashboards.told import told, told_plain
from pipeline.core.page_book import LifterInfo, PageBook

heads = partial(heads_of, "record")


def muscle_table(book: PageBook, lifter_id: str, strips: StripFrames) -> Table:
    """The table behind the strips: mean weekly sets by year, last twelve weeks, range, support."""
    means = mean_by_year(book, lifter_id)
    years = means.columns[1:]
    by_muscle = {row["muscle_id"]: row for row in means.iter_rows(named=True)}
    support = _support_now(book, lifter_id)
    rows = []
    for muscle in strips.muscles.iter_rows(named=True):
        mean = by_muscle.get(muscle["muscle_id"], {})
        cells: list[Text] = [muscle["name"], *(_sets(mean.get(year)) for year in years)]
        # Whole, as the range beside it is and as the picture and the answer read it.
        cells.append("" if muscle["mean12"] is None else count(muscle["mean12"]))
        refused = words.plain("frame.not_enough")
        has_range = muscle["low"] is not None
        cells.append(range_words(muscle["low"], muscle["high"]) if has_range else refused)
        cells.append(support.get(muscle["muscle_id"], refused))
        rows.append(tuple(cells))
    columns = (
        *heads("muscle"),
        *(Column(year, "number") for year in years),
        *heads("last", "range", "support", numbers=("last", "range")),
    )
    return Table(columns, tuple(rows), words.plain("record.table_title"))


def _sets(value: float | None) -> str:
    return "" if value is None else amount(value)


def _support_now(book: PageBook, lifter_id: str) -> dict[str, str]:
    rows = book.tables["finding"].filter(
        (pl.col("lifter_id") == lifter_id)
        & (pl.col("question") == "supported_sets")
        & (pl.col("window") == "now")
    )
    return {
        row["subject"].split(":", 1)[1]: told_plain(row["support"])
        for row in rows.iter_rows(named=True)
    }


def event_table(book: PageBook, lifter_id: str) -> Table:
    """Phases, deloads, layoffs and injuries, newest first, in the lifter's words."""
    names = muscle_names(book)
    events = book.tables["tidy_event"].filter(
        (pl.col("lifter_id") == lifter_id) & (pl.col("kind") != "swap")
    )
    rows = tuple(
        (
            told(event["kind"].replace("_", " ")),
            say_date(event["start"]),
            _end(event),
            say_subject(event["subject"], names),
            say_evidence(event["evidence"]),
            event["note"] or "",
        )
        for event in events.sort("start", "event_id", descending=True).iter_rows(named=True)
    )
    columns = heads("kind", "from", "to", "subject", "evidence", "note")
    return Table(columns, rows, words.plain("record.events_title"))


def _end(event: dict[str, object]) -> str:
    if event["end"] is not None:
        return say_date(event["end"])  # type: ignore[arg-type]
    is_moment = str(event["kind"]).endswith("_change")
    return "" if is_moment else words.plain("record.going_on")


def year_table(book: PageBook, lifter_id: str) -> Table:
    """What was done in each year."""
    keys = ("year", "trained", "sessions", "working", "per_week", "hard", "failure", "gap")
    rows = tuple(
        (
            str(row["year"]),
            count(row["trained"]),
            count(row["sessions"]),
            count(row["working_sets"]),
            "" if row["per_week"] is None else amount(row["per_week"]),
            count(row["hard_sets"]),
            count(row["failure_sets"]),
            count(row["gap"]),
        )
        for row in count_years(book, lifter_id).iter_rows(named=True)
    )
    title, note = words.plain("record.years_title"), words.say("record.years_note")
    return Table(heads(*keys, numbers=keys), rows, title, note)


def lift_table(book: PageBook, lifter: LifterInfo) -> Table:
    """Every lift that was done, with its heaviest load."""
    rows = tuple(
        (
            row["name"],
            count(row["weeks"]),
            count(row["sets"]),
            "" if row["heaviest"] is None else say_load(row["heaviest"], lifter.unit),
            say_date(row["first"]),
            say_date(row["last"]),
        )
        for row in count_lifts(book, lifter.lifter_id).iter_rows(named=True)
    )
    keys = ("lift", "weeks", "sets", "heaviest", "first", "last_week")
    columns = heads(*keys, numbers=("weeks", "sets", "heaviest"), unit=lifter.unit)
    return Table(columns, rows, words.plain("record.lifts_title"))


def missing_table(missing: list[Missing]) -> Table:
    """Each question without an answer: what is there, what is needed, what would narrow it."""
    rows = tuple(
        (
            capital(words.plain(f"record.question_{one.question}")),
            count(one.has)
            if one.needs is None
            else words.plain("record.has_needs", has=count(one.has), needs=count(one.needs)),
            ruler(one.has, one.needs or 0),
            told(one.of_what),
            told(one.narrows),
        )
        for one in missing
    )
    keys = ("question", "has", "ruler", "of_what", "narrow")
    return Table(
        heads(*keys, numbers=("has",)),
        rows,
        words.plain("record.missing_title"),
        words.plain("record.missing_note"),
    )
