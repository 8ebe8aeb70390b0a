"""Where the sets of a week were read: file and lines."""

from datetime import date

import polars as pl

from pipeline.core.page_book import PageBook


def week_lines(
    book: PageBook, lifter_id: str, first: date
) -> tuple[list[str], list[tuple[int, int, int, int]]]:
    """Paths of the files; for each week and file: week, place of the path, first and last line."""
    sets = book.tables["tidy_set"].filter(pl.col("lifter_id") == lifter_id)
    paths = book.tables["source_file"].select("file_id", "path")
    lines = (
        sets.with_columns(w=((pl.col("session_date") - first).dt.total_days() // 7).cast(pl.Int64))
        .group_by("w", "file_id")
        .agg(start=pl.col("row_no").min(), end=pl.col("row_no").max())
        .join(paths, on="file_id")
        .sort("w", "path")
    )
    files = lines["path"].unique().sort().to_list()
    places = {path: i for i, path in enumerate(files)}
    rows = [
        (w, places[path], start, end)
        for w, path, start, end in lines.select("w", "path", "start", "end").iter_rows()
    ]
    return files, rows
