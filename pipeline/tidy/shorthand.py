"""Set shorthand to draft sets: a row per exercise, or a wide table with a column per exercise."""

from dataclasses import asdict
from datetime import date

import polars as pl

from pipeline.core.errors import InputError
from pipeline.core.source import FILE_NAME, NO_CELLS, SHEET, RawFile
from pipeline.tidy.cells import add_fault, show
from pipeline.tidy.draft import conform_draft, label_of, need_date, need_name, need_result
from pipeline.tidy.notation import Notation, NotationError, ParsedSet, parse_sets
from pipeline.tidy.records import read_matrix, read_rows
from pipeline.tidy.sets import is_blank, read_days, read_marks, read_results
from pipeline.tidy.texts import as_text

# One row a parsed set; names that the row itself also has get the ending _in_text.
PARSED: dict[str, pl.DataType] = {
    "cell": pl.String(),
    "place": pl.Int64(),
    "parsed_reason": pl.String(),
    "parsed_detail": pl.String(),
    "reps_in_text": pl.Int64(),
    "reps_target_in_text": pl.String(),
    "amount_in_text": pl.Float64(),
    "amount_unit_in_text": pl.String(),
    "basis_in_text": pl.String(),
    "plates_in_text": pl.Float64(),
    "bar_in_text": pl.String(),
    "is_minus_in_text": pl.Boolean(),
    "rir_in_text": pl.Float64(),
    "to_failure_in_text": pl.Boolean(),
    "is_warmup_in_text": pl.Boolean(),
    "duration_s_in_text": pl.Float64(),
    "distance_m_in_text": pl.Float64(),
    "side_in_text": pl.String(),
    "note_in_text": pl.String(),
    "segment_in_text": pl.Int64(),
    "cluster_in_text": pl.Int64(),
}
# What the text says goes before what the row says for all its sets.
SHARED = (
    *("reps", "reps_target", "amount", "amount_unit", "basis", "plates", "bar", "is_minus"),
    *("rir", "to_failure", "is_warmup", "duration_s", "distance_m", "side"),
)


def draft_exercises(raw: RawFile, limit: date) -> tuple[pl.DataFrame, int]:
    """Draft sets of a table with one row per exercise, and the number of its blank rows."""
    frame = read_days(as_text(read_rows(raw)), raw, limit)
    blank = is_blank(frame)
    rows = need_name(need_date(frame.filter(~blank), raw), raw)
    rows = add_fault(
        rows, pl.col("sets_text").is_null(), "no sets", "write them in, such as 3x8@100"
    )
    rows = rows.with_columns(pl.col("exercise_text").alias("exercise_as_written"))
    return expand_sets(rows, raw, "sets_text", label_of(raw, "sets")), frame.height - rows.height


def exercise_columns(raw: RawFile) -> list[str]:
    """Labels of a wide table that are exercises: all that the map does not use or skip.

    Raises
    ------
    InputError
        when none is left.
    """
    more = (label for labels in raw.map.more.values() for label in labels)
    other = {*NO_CELLS, SHEET, FILE_NAME, *raw.map.columns.values(), *more, *raw.map.skip_columns}
    labels = [name for name in raw.frame.columns if name not in other]
    if not labels:
        remedy = "check separator, header_row and skip_columns in its map"
        raise InputError(raw.file.shown, raw.map.header_row, "no column is an exercise", remedy)
    return labels


def draft_wide(raw: RawFile, limit: date) -> tuple[pl.DataFrame, int]:
    """Draft sets of a wide table, and the number of its blank cells. A record is a cell."""
    cells = read_matrix(raw, exercise_columns(raw))
    full = read_days(cells.filter(pl.col("cell_text").is_not_null()), raw, limit)
    rows = need_date(full, raw)
    rows = rows.with_columns(pl.col("label").alias("exercise_as_written"))
    return expand_sets(rows, raw, "cell_text", "cell"), cells.height - full.height


def expand_sets(rows: pl.DataFrame, raw: RawFile, text: str, label: str) -> pl.DataFrame:
    """One row a set: each distinct text is parsed once.

    Parameters
    ----------
    rows : one a record: record, row_no, session_date, exercise_as_written, the fault columns, and
        ``<field>_text`` for what the record says of all its sets.
    text : the column with the shorthand; ``label`` is what it is called in messages.
    """
    rows = read_marks(read_results(rows, raw), raw)
    parsed = _parse_texts(rows[text], raw, label)
    sets = rows.join(parsed, left_on=text, right_on="cell", how="left", maintain_order="left_right")
    sets = add_fault(
        sets, pl.col("parsed_reason").is_not_null(), "sets not understood", pl.col("parsed_detail")
    )
    cluster = pl.concat_str("record", "cluster_in_text", separator="|")
    sets = sets.with_columns(
        *(pl.coalesce(f"{name}_in_text", name).alias(name) for name in SHARED),
        pl.concat_str("note_in_text", "note", separator="; ", ignore_nulls=True).alias("note"),
        cluster.alias("cluster"),
        pl.col("segment_in_text").fill_null(1).alias("segment_no"),
        pl.col(text).alias("load_as_written"),
    ).with_columns(pl.when(pl.col("note") != "").then("note").alias("note"))
    return need_result(sets).pipe(conform_draft)


def _parse_texts(texts: pl.Series, raw: RawFile, label: str) -> pl.DataFrame:
    notation = notation_of(raw)
    rows: list[dict[str, object]] = []
    for text in texts.unique(maintain_order=True).drop_nulls().to_list():
        try:
            found = parse_sets(text, notation)
        except NotationError as error:
            at = f"from character {error.position + 1}" if error.position else ""
            detail = f"{label} {show(text)} {at}".rstrip() + f": {error.remedy}"
            rows.append({"cell": text, "parsed_reason": "-", "parsed_detail": detail})
            continue
        rows += [{"cell": text, "place": i, **_columns(one)} for i, one in enumerate(found)]
    return pl.DataFrame(rows, schema=PARSED)


def notation_of(raw: RawFile) -> Notation:
    """How the file writes its sets, by its map."""
    order = raw.map.notation_order
    stated = {"order": order} if order else {}
    return Notation(decimal=raw.map.decimal, plates=raw.map.plates, **stated)


def _columns(one: ParsedSet) -> dict[str, object]:
    values = asdict(one)
    renamed = {
        "amount": values.pop("load"),
        "amount_unit": values.pop("unit"),
        "segment": values.pop("segment_no"),
        "is_warmup": True if values.pop("is_warmup") else None,
        "is_minus": None if one.load is None else False,
    }
    return {f"{name}_in_text": value for name, value in (values | renamed).items()}
