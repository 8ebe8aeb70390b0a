"""Tables of State of the record that a person acts on: typing errors, copies, corrections."""

from collections.abc import Mapping
from functools import partial
from typing import Any

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Table, Text
from dashboards.numbers import count, figure, say_date
from dashboards.prepare.heads import heads_of
from dashboards.prepare.record import in_unit
from dashboards.told import told
from pipeline.core.page_book import PageBook
from pipeline.core.paste import copies_lines, correction_lines
from pipeline.core.source import NO_VALUE

MOST_ROWS = 200
COPY_HEADS = ("left_out", "counts_instead", "between", "days", "sets", "how", "paste")
heads = partial(heads_of, "state")


def doubt_table(book: PageBook, lifter_id: str, unit: str) -> Table:
    """Values that look like typing errors, each with the correction to paste."""
    doubts = _with_path(book, lifter_id, "tidy_doubt").sort(
        "date", "path", "row_no", descending=[True, False, False], nulls_last=True
    )
    shown = doubts.head(MOST_ROWS)
    rows = tuple(
        (
            words.plain("state.day_aside") if row["date"] is None else say_date(row["date"]),
            row["subject"],
            say_odd(row, unit),
            say_place(row["path"], row["row_no"], row["place"]),
            _paste(
                correction_lines(
                    f"{lifter_id}/{row['path']}",
                    row["place"] or row["row_no"],
                    row,
                    words.plain("state.doubt_why", what=row["what"]),
                    may_stand=row["date"] is not None,
                )
            )
            if row["column"]
            else words.plain("state.doubt_no_place"),
        )
        for row in shown.iter_rows(named=True)
    )
    note = say_first(shown.height, doubts.height) + words.say("state.doubted_note")
    return Table(
        heads("day", "subject", "odd", "place", "paste"),
        rows,
        words.plain("state.doubted_title"),
        note,
        words.plain("state.doubted_none"),
        place="doubts",
    )


def say_odd(doubt: Mapping[str, Any], unit: str) -> Text:
    """What is doubted of a row of ``tidy_doubt`` and why, each told by itself.

    ``unit`` is the lifter's; the warehouse has loads in kilograms. A reason without numbers is a
    sentence of the pipeline, which may begin with a label of the file.
    """
    why = told(doubt["why"]) if doubt["found"] is None else _say_numbers(doubt, unit)
    return Markup("{}: {}").format(told(doubt["what"]), why)


def _say_numbers(doubt: Mapping[str, Any], unit: str) -> Text:
    found, usual = doubt["found"], doubt["usual"]
    if doubt["unit"] == "repetitions":
        return words.say("state.odd_reps", found=_figures(found), usual=_figures(usual))
    moved, around = (_figures(in_unit(one, unit)) for one in (found, usual))
    return words.say("state.odd_load", found=moved, usual=around, unit=unit)


def _figures(value: float) -> str:
    """Four figures: a slip is told by its size."""
    return figure(float(f"{value:.4g}"))


def copy_table(book: PageBook, lifter_id: str) -> Table:
    """Files that hold the same training, which one counts, and the lines that reverse it."""
    paths = dict(book.tables["source_file"].select("file_id", "path").iter_rows())
    copies = book.tables["tidy_copy"].filter(pl.col("lifter_id") == lifter_id)
    pairs = (
        copies.group_by("file_id", "first_file_id")
        .agg(
            pl.col("session_date").n_unique().alias("days"),
            pl.col("session_date").min().alias("first"),
            pl.col("session_date").max().alias("last"),
            pl.col("sets").sum(),
            pl.col("how").unique().sort().str.join(", "),
        )
        .with_columns(
            pl.col("file_id").replace_strict(paths, default="").alias("path"),
            pl.col("first_file_id").replace_strict(paths, default="").alias("first_path"),
        )
        .sort("path", "first_path")
    )
    rows = tuple(
        (
            row["path"],
            row["first_path"],
            words.plain(
                "state.date_range", first=say_date(row["first"]), last=say_date(row["last"])
            ),
            count(row["days"]),
            count(row["sets"]),
            row["how"],
            _paste(_reversed(lifter_id, row["path"], row["first_path"])),
        )
        for row in pairs.iter_rows(named=True)
    )
    return Table(
        heads(*COPY_HEADS, numbers=("days", "sets")),
        rows,
        words.plain("state.copies_title"),
        words.plain("state.copies_note"),
        words.plain("state.copies_none"),
        place="copies",
    )


def _reversed(lifter_id: str, path: str, first_path: str) -> str:
    files = [f"{lifter_id}/{one}" for one in (first_path, path)]
    if path == first_path:
        return copies_lines(files, "both", words.plain("state.copies_both_why"))
    return copies_lines(files, files[1], words.plain("state.copies_why"))


def correction_table(book: PageBook, lifter_id: str) -> Table:
    """Corrections in force, and those that no longer fit."""
    mended = _with_path(book, lifter_id, "tidy_correction").sort("path", "row_no", "column")
    rows = tuple(
        (
            row["path"]
            if row["row_no"] is None  # the fault says that no row starts there
            else say_place(row["path"], row["row_no"], row["place"]),
            row["column"],
            row["expect"],
            row["value"] or "",
            row["why"],
            _in_force(row),
        )
        for row in mended.iter_rows(named=True)
    )
    return Table(
        heads("place", "column", "stood", "meant", "because", "in_force"),
        rows,
        words.plain("state.corrections_title"),
        words.plain("state.corrections_note"),
        words.plain("state.corrections_none"),
        place="corrections",
    )


def _in_force(row: Mapping[str, str | None]) -> str:
    if row["fault"] is None:
        return words.plain("state.applied")
    if row["value"] is None and row["fault"] == NO_VALUE:
        return words.plain("state.no_value")
    return words.plain("state.not_applied", fault=row["fault"])


def say_first(shown: int, rows: int) -> Markup:
    """How many of the rows a table shows, where it does not show all of them."""
    if shown == rows:
        return Markup("")
    return words.say("state.first_rows", shown=count(shown), all=count(rows)) + Markup(" ")


def say_place(path: str, line: int, place: str | None) -> str:
    """File and line of a row, or file and place where the file has no lines."""
    if place is None:
        return words.plain("state.file_line", file=path, line=line)
    return words.plain("state.file_place", file=path, place=place)


def _with_path(book: PageBook, lifter_id: str, table: str) -> pl.DataFrame:
    own = pl.col("lifter_id") == lifter_id
    files = book.tables["source_file"].filter(own).select("file_id", "path")
    return book.tables[table].join(files, on="file_id")


def _paste(lines: str) -> Markup:
    return Markup('<pre class="paste">{}</pre>').format(lines)
