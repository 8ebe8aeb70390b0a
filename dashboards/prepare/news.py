"""What changed since the last refresh: the table of The record, a line on the start page."""

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Table, Text
from dashboards.numbers import plural
from dashboards.prepare.heads import heads_of
from dashboards.told import told, told_plain
from pipeline.core.page_book import LifterInfo, PageBook, Since


def news_table(book: PageBook, lifter_id: str) -> Table:
    """Ten lines at most, each with a link to where the page shows it; empty, it says so."""
    mine = book.changes.filter(pl.col("lifter_id") == lifter_id)
    since = book.since.get(lifter_id, Since())
    rows = tuple(
        (_link(row, f"{row['page']}.html"), told(row["was"]), told(row["is_now"]), told(row["why"]))
        for row in mine.iter_rows(named=True)
    )
    return Table(
        heads_of("record", "what", "was", "now", "why"),
        rows,
        words.plain("record.changes_title"),
        note=" ".join(_notes(since)) if rows else "",
        empty=_nothing(since),
        name="news",
    )


def news_line(book: PageBook, lifter: LifterInfo) -> Text:
    """How many lines there are and the first of them; nothing where there are none."""
    mine = book.changes.filter(pl.col("lifter_id") == lifter.lifter_id)
    if mine.is_empty():
        return ""
    first = mine.row(0, named=True)
    count = mine.height + book.since.get(lifter.lifter_id, Since()).more
    return words.say(
        "index.news",
        lines=plural(count, "line"),
        first=_link(first, f"{lifter.lifter_id}/{first['page']}.html"),
        now=told(first["is_now"]),
    )


def _link(row: dict[str, str], file: str) -> Markup:
    return Markup('<a href="{}#{}">{}</a>').format(file, row["anchor"], told(row["what"]))


def _notes(since: Since) -> list[str]:
    """What holds for every line, and how many were left out."""
    notes = []
    if since.rules:
        notes.append(words.plain("record.changes_rules", rules=_rules(since)))
    if since.more:
        notes.append(words.plain("record.changes_more", lines=plural(since.more, "line")))
    return notes


def _rules(since: Since) -> str:
    """What else changed: settings and the program."""
    return words.plain("record.rules_and").join(told_plain(rule) for rule in since.rules)


def _nothing(since: Since) -> str:
    if since.is_first:
        return words.plain("record.changes_first")
    files = plural(since.files_same, "file")
    changed = since.files_changed + since.files_gone
    if changed:
        return words.plain("record.changes_no_news", changed=plural(changed, "file"), files=files)
    return words.plain("record.changes_none", files=files)
