"""Setting aside: records that break a rule leave the tidy table, with reasons, and are kept."""

import polars as pl

from pipeline.checks.suites import CheckReport
from pipeline.core.dictionary import conform, empty_frame, schema_of

# What one record of a source is, seen from a tidy row: a line of sets gives one exercise; in a
# wide table, or a line of signals, each cell stands for itself.
RECORD_KEYS = {
    "tidy_set": ("file_id", "row_no", "exercise_as_written"),
    "tidy_signal": ("file_id", "row_no", "signal"),
}


def quarantine(
    table: str, frame: pl.DataFrame, report: CheckReport, as_written: pl.DataFrame
) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Part ``frame`` into rows kept and records set aside.

    A record is set aside whole: when one set of a line cannot be right, how the others were read
    is doubtful too. Each record set aside gives one row with all of its reasons.

    Parameters
    ----------
    table : "tidy_set" or "tidy_signal".
    frame : rows that were checked, in the order in which they were checked.
    report : what the check found.
    as_written : ``file_id``, ``row_no``, ``as_written``: the record's text in its source, and
        optionally one more column of the record's key; at most one row per key.

    Returns
    -------
    The rows kept, in order, and rows of table ``set_aside``.
    """
    if not report.failures:
        return frame, empty_frame("set_aside")
    keys = list(RECORD_KEYS[table])
    reasons = _reasons(frame, report, keys)
    kept = frame.join(reasons, on=keys, how="anti", nulls_equal=True, maintain_order="left")
    text_keys = [name for name in keys if name in as_written.columns]
    aside = reasons.join(as_written, on=text_keys, how="left", validate="m:1")
    aside = aside.with_columns(pl.col("as_written").fill_null(""))
    columns = [name for name in schema_of("set_aside") if name in aside.columns]
    return kept, conform("set_aside", aside.select(columns))


def _reasons(frame: pl.DataFrame, report: CheckReport, keys: list[str]) -> pl.DataFrame:
    """One row per record with its first reason and the details of all, in order of rows."""
    places = [failure.row for failure in report.failures]
    found = frame.select(keys)[places].with_columns(
        pl.Series("reason", [failure.expectation for failure in report.failures]),
        pl.Series("detail", [failure.sentence() for failure in report.failures]),
    )
    return found.group_by(keys, maintain_order=True).agg(
        pl.col("reason").first(), pl.col("detail").unique(maintain_order=True).str.join(". ")
    )
