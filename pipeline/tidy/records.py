"""Raw rows to records: one row, or one cell of a wide table, with its text by field."""

from collections.abc import Sequence

import polars as pl

from pipeline.core.source import BEYOND, FILE_NAME, NO_CELLS, PLACE, SHEET, RawFile
from pipeline.tidy.cells import add_fault, no_fault
from pipeline.tidy.texts import as_text, clean_texts, code_texts

AS_WRITTEN_LENGTH = 400
# A longer cell is a quote never closed or a file of another kind; matching a name of megabytes
# against the reference would take hours.
MOST_CHARACTERS = {"exercise": 200, "label": 200}
MOST_IN_CELL = 2000
NOTE = "note"


def read_rows(raw: RawFile) -> pl.DataFrame:
    """One record a row: ``record`` (place in the file, from 0), ``row_no`` and ``<field>_text``.

    Only the fields of the map that the file has become columns, as categorical text. A row with
    more cells than the header has a fault: what stands in which column is not certain.
    """
    known = set(raw.frame.columns)
    fields = {field: label for field, label in raw.map.columns.items() if label in known}
    sheet = [pl.col(SHEET).alias("sheet_text")] if SHEET in known else []
    frame = raw.frame.select(
        pl.int_range(pl.len(), dtype=pl.Int64).alias("record"),
        "row_no",
        *sheet,
        *(
            _join_texts(
                raw, [label, *(one for one in raw.map.more.get(field, ()) if one in known)], field
            )
            for field, label in fields.items()
        ),
        *([BEYOND] if BEYOND in known else []),
        *no_fault(),
    )
    frame = _mark_long_rows(frame, raw)
    frame = _fill_down(frame, raw)
    for field, label in fields.items():
        frame = _mark_long_cell(frame, f"{field}_text", label, field)
    return frame


def read_matrix(raw: RawFile, labels: Sequence[str]) -> pl.DataFrame:
    """One record a cell of the columns ``labels``, row by row: adds ``label`` and ``cell_text``."""
    rows, size = as_text(read_rows(raw)).drop("record"), len(labels)
    texts = as_text(pl.DataFrame([clean_texts(raw.frame[label]) for label in labels]))
    cells = texts.select(pl.concat_list(pl.all()).alias("cells"))
    place = pl.int_range(rows.height * size, dtype=pl.Int64, eager=True)
    matrix = rows[place // size].with_columns(
        place.alias("record"),
        pl.Series(list(labels), dtype=pl.String)[place % size].alias("label"),
        cells["cells"].explode().alias("cell_text"),
    )
    full = pl.col("cell_text").is_not_null()
    matrix = _mark_long_cell(matrix, "cell_text", "cell", "cell")
    return _mark_long_cell(matrix, "label", "label in the header", "label", full)


def write_rows(raw: RawFile, records: pl.DataFrame) -> pl.DataFrame:
    """``records`` with ``as_written``: the row as it stands in the file, "label: text | ...".

    Parameters
    ----------
    records : with ``record``, the place of the row in the file.
    """
    labels = [name for name in raw.frame.columns if name not in ("row_no", PLACE, SHEET)]
    cells = (pl.format("{}: {}", pl.lit(label), pl.col(label)) for label in labels)
    text = pl.concat_str(list(cells), separator=" | ", ignore_nulls=True)
    rows = raw.frame[records["record"]].select(text.str.head(AS_WRITTEN_LENGTH).alias("as_written"))
    return pl.concat([records, rows], how="horizontal")


def set_aside_frame(raw: RawFile, records: pl.DataFrame) -> pl.DataFrame:
    """Rows of table ``set_aside``; records have ``row_no``, fault columns, ``as_written``."""
    aside = records.select(
        pl.lit(raw.file.file_id).alias("file_id"), "row_no", "reason", "detail", "as_written"
    )
    if PLACE not in raw.frame.columns:
        return aside
    places = raw.frame.select("row_no", pl.col(PLACE).alias("place"))
    return aside.join(places, on="row_no", how="left", maintain_order="left")


def _join_texts(raw: RawFile, labels: Sequence[str], field: str) -> pl.Series:
    """The text of a field: of one column, or of several one after the other."""
    texts = [clean_texts(raw.frame[label]) for label in labels]
    if len(texts) == 1:
        return texts[0].alias(f"{field}_text")
    between = " " if field == "date" else ", "
    text = pl.concat_str(texts, separator=between, ignore_nulls=True)
    joined = pl.select(pl.when(text != "").then(text).alias(f"{field}_text"))
    return clean_texts(joined.to_series())


def _fill_down(frame: pl.DataFrame, raw: RawFile) -> pl.DataFrame:
    """Empty cells of ``fields`` say what stands above them, in rows that say anything at all.

    A sheet begins anew, and so do an exercise and a session where a day is written.
    """
    fields = raw.map.fill_down
    if not fields:
        return frame
    texts = [name for name in frame.columns if name.endswith("_text") and name != "sheet_text"]
    cells = [name for name in raw.frame.columns if name not in (*NO_CELLS, SHEET, FILE_NAME)]
    day = pl.col("date_text").is_not_null() if "date_text" in texts else pl.lit(False)
    sheet = ["sheet_text"] if "sheet_text" in frame.columns else []
    frame = frame.with_columns(
        raw.frame.select(pl.any_horizontal(pl.col(cells).is_not_null()).alias("says")).to_series(),
        pl.any_horizontal(pl.col(texts).is_not_null()).alias("says_field"),
        day.cum_sum().alias("day_no"),
    )
    for field in fields:
        text, when = f"{field}_text", "says" if field == "date" else "says_field"
        if text in texts:
            groups = [*sheet, *(["day_no"] if field in ("exercise", "session") else [])]
            above = pl.col(text).forward_fill()
            above = above.over(groups) if groups else above
            frame = frame.with_columns(pl.when(when).then(above).alias(text))
    return frame.drop("says", "says_field", "day_no")


def _mark_long_cell(
    frame: pl.DataFrame, column: str, label: str, field: str, among: pl.Expr | bool = True
) -> pl.DataFrame:
    """Cut a text longer than is read; all but a note make their record faulty.

    ``among`` : the records that a fault can be found in.
    """
    most = MOST_CHARACTERS.get(field, MOST_IN_CELL)
    if not (code_texts(frame[column])[0].str.len_chars() > most).any():
        return frame
    frame = frame.with_columns(pl.col(column).cast(pl.String))
    length = pl.col(column).str.len_chars()
    if field != NOTE:
        told = pl.format(
            "{} '{}...': {} characters, {} are read; check the quotes around it",
            pl.lit(label[:60]),
            pl.col(column).str.head(40),
            length,
            most,
        )
        frame = add_fault(frame, (length > most) & among, "cell too long", told)
    return frame.with_columns(pl.col(column).str.head(most))


def _mark_long_rows(frame: pl.DataFrame, raw: RawFile) -> pl.DataFrame:
    if BEYOND not in frame.columns:
        return frame
    marked = add_fault(
        frame,
        pl.col(BEYOND).is_not_null(),
        "more cells than the header",
        pl.format(
            f"{len(set(raw.frame.columns) - set(NO_CELLS))} columns in the header, then '{{}}'; "
            "put the cell that holds the separator into quotes",
            pl.col(BEYOND).str.head(60),
        ),
    )
    return marked.drop(BEYOND)
