"""Rows of a table of sets that stand for several: so many sets alike, or repetitions set by set."""

import polars as pl

from pipeline.core.source import RawFile
from pipeline.tidy.cells import add_fault, read_cells
from pipeline.tidy.draft import label_of, optional
from pipeline.tidy.numbers import read_count
from pipeline.tidy.texts import code_texts

# ``8, 8, 7``, ``8/8/7``, ``8-8-7``; two rising numbers with a dash are a range that was planned,
# two others (``8-7``) are none and so two sets.
SERIES = r"^\d{1,3}(?:\s*[,;/]\s*\d{1,3})+$|^\d{1,3}(?:\s*-\s*\d{1,3}){2,}$"
PAIR = r"^(\d{1,3})\s*-\s*(\d{1,3})$"


def spread_rows(frame: pl.DataFrame, raw: RawFile) -> pl.DataFrame:
    """One row a set: a row with ``n_sets`` is repeated, one with a series of repetitions is split.

    All of them keep the row's ``record``. Where both are written and disagree the record has a
    fault; a written set number does not hold for several sets.
    """
    has_count = "n_sets_text" in frame.columns
    if not has_count and not _has_series(frame):
        return frame
    text = optional(frame, "reps_text").cast(pl.String)
    is_series = _is_series(text)
    label = label_of(raw, "n_sets")
    frame = read_cells(frame, "n_sets_text", label, read_count, {"count": pl.Int64()})
    parts = pl.when(is_series).then(text.str.extract_all(r"\d+")).otherwise(pl.concat_list(text))
    frame = frame.with_columns(parts.alias("parts"))
    n_parts = pl.col("parts").list.len()
    frame = add_fault(
        frame,
        (n_parts > 1) & (pl.col("count") != n_parts),
        "sets and repetitions disagree",
        pl.format(
            "{} sets, but {} has {} numbers; correct one of the two",
            "count",
            pl.format("'{}'", text),
            n_parts,
        ),
    )
    copies = pl.when(n_parts > 1).then(1).otherwise(pl.col("count").fill_null(1))
    frame = frame.with_columns(pl.int_ranges(0, copies).alias("copy")).explode("copy")
    frame = frame.explode("parts").with_columns(pl.col("parts").alias("reps_text"))
    if "set_no_text" in frame.columns:
        is_one = pl.len().over("record") == 1
        frame = frame.with_columns(pl.when(is_one).then("set_no_text").alias("set_no_text"))
    return frame.drop("parts", "copy", "count")


def _has_series(frame: pl.DataFrame) -> bool:
    if "reps_text" not in frame.columns:
        return False
    texts = code_texts(frame["reps_text"])[0].alias("texts")
    return bool(texts.to_frame().select(_is_series(pl.col("texts"))).to_series().any())


def _is_series(text: pl.Expr) -> pl.Expr:
    first, last = (text.str.extract(PAIR, n).cast(pl.Int64) for n in (1, 2))
    return (text.str.contains(SERIES) | (first >= last)).fill_null(False)
