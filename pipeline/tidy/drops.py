"""Drop clusters in tables of sets: which rows are drops, and of which set."""

import polars as pl

from pipeline.core.source import RawFile
from pipeline.tidy.cells import add_fault, read_cells
from pipeline.tidy.draft import label_of, optional
from pipeline.tidy.numbers import NO, read_count
from pipeline.tidy.texts import place_among

GROUP = ("session_date", "session", "exercise_text")


def link_drops(frame: pl.DataFrame, raw: RawFile) -> pl.DataFrame:
    """Add ``cluster`` (a key, null for a straight set), ``segment_no`` and ``set_no_written``.

    The map names one of three ways: ``cluster``, a mark shared by a set and its drops; ``drop_of``,
    the number of the set that a drop belongs to (where ``set_no`` is given and all are numbers),
    else any mark on a drop; ``segment``, 2 and up for drops. By mark or segment a drop belongs to
    the set above it in the same exercise and session.
    """
    count: dict[str, pl.DataType] = {"count": pl.Int64()}
    frame = read_cells(frame, "set_no_text", label_of(raw, "set_no"), read_count, count)
    frame = frame.rename({"count": "set_no_written"})
    frame = read_cells(frame, "segment_text", label_of(raw, "segment"), read_count, count)
    frame = frame.rename({"count": "segment_written"})
    if "cluster_text" in frame.columns:
        return _link_by_mark(frame)
    if "drop_of_text" in frame.columns or "segment_text" in frame.columns:
        return _link_to_parent(frame, raw)
    return frame.with_columns(
        pl.lit(None, pl.String).alias("cluster"), pl.lit(1, pl.Int64).alias("segment_no")
    )


def _key(*parts: str) -> pl.Expr:
    return pl.concat_str(
        [pl.col(part).cast(pl.String).fill_null("") for part in (*GROUP, *parts)], separator="|"
    )


def _link_by_mark(frame: pl.DataFrame) -> pl.DataFrame:
    is_marked = frame["cluster_text"].is_not_null()
    marked = frame.select(*GROUP, "cluster_text", "segment_written").filter(is_marked)
    marked = marked.with_columns(_key("cluster_text").alias("cluster"))
    place = pl.int_range(1, pl.len() + 1, dtype=pl.Int64).over("cluster")
    marked = marked.select(
        "cluster",
        pl.coalesce("segment_written", place).alias("segment_no"),
        (pl.len().over("cluster") > 1).alias("has_drops"),
    )
    found = marked.select(pl.all().gather(place_among(is_marked)))
    return _keep_clusters(frame.hstack(found.with_columns(pl.col("segment_no").fill_null(1))))


def _link_to_parent(frame: pl.DataFrame, raw: RawFile) -> pl.DataFrame:
    mark = optional(frame, "drop_of_text").cast(pl.String)
    says_drop = mark.is_not_null() & ~mark.str.to_lowercase().is_in(list(NO))
    is_drop = says_drop | (pl.col("segment_written").fill_null(1) > 1)
    frame = frame.with_columns(is_drop.fill_null(False).alias("is_drop"))
    above = (~pl.col("is_drop")).cast(pl.Int64).cum_sum().over(GROUP)
    parent = above.cast(pl.String)
    if _refers_by_number(frame):
        own = pl.col("set_no_written").cast(pl.String)
        parent = pl.when("is_drop").then(mark).otherwise(own)
    frame = frame.with_columns(parent.alias("parent")).with_columns(_key("parent").alias("cluster"))
    frame = frame.with_columns(
        (~pl.col("is_drop")).any().over("cluster").alias("has_parent"),
        pl.col("is_drop").any().over("cluster").alias("has_drops"),
        (1 + pl.col("is_drop").cast(pl.Int64).cum_sum().over("cluster")).alias("drop_no"),
    )
    frame = add_fault(
        frame,
        pl.col("is_drop") & (~pl.col("has_parent") | (pl.col("parent") == "0")),
        "drop without its set",
        pl.format(
            f"no set in this exercise and session that the drop marked '{{}}' in "
            f"{label_of(raw, 'drop_of')} can belong to; correct the mark",
            mark.fill_null(pl.col("segment_written").cast(pl.String)),
        ),
    )
    segment = pl.when("is_drop").then("drop_no").otherwise(1)
    return _keep_clusters(frame.with_columns(segment.cast(pl.Int64).alias("segment_no")))


def _refers_by_number(frame: pl.DataFrame) -> bool:
    """Marks are numbers of sets: all of them are, and the sets are numbered."""
    if "set_no_text" not in frame.columns or "drop_of_text" not in frame.columns:
        return False
    marks = frame["drop_of_text"].drop_nulls().cast(pl.String)
    return len(marks) > 0 and bool(marks.str.contains(r"^\d+$").all())


def _keep_clusters(frame: pl.DataFrame) -> pl.DataFrame:
    """A set without drops is a straight one."""
    return frame.with_columns(pl.when("has_drops").then("cluster").alias("cluster"))
