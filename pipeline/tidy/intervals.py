"""Intervals between heartbeats to the variability of a night or day: RMSSD and SDNN.

Definitions: Task Force of the European Society of Cardiology and the North American Society of
Pacing and Electrophysiology, Circulation 1996;93:1043-1065: SDNN is the standard deviation of the
intervals between normal beats (divisor n - 1), RMSSD the root of the mean squared difference of
successive ones.

An interval is taken for an artefact when it is outside 300 to 2000 ms, or more than a fifth off
the median of the eleven around it; a difference across an artefact or a gap is none. These limits
are common practice, no published source. Artefacts are counted as blank; a day that gives no value
is set aside as one record, by its first interval.
"""

from collections.abc import Iterator
from datetime import date

import polars as pl

from pipeline.core.signals import known_limits
from pipeline.core.source import RawFile
from pipeline.tidy.cells import add_fault, no_fault, read_cells
from pipeline.tidy.draft import label_of, need_date, optional
from pipeline.tidy.numbers import read_decimal
from pipeline.tidy.records import read_rows
from pipeline.tidy.sets import read_days
from pipeline.tidy.signals import DraftSignals, describe_signals, name_signals
from pipeline.tidy.texts import as_text

SHORTEST_MS, LONGEST_MS = 300.0, 2000.0
WINDOW = 11  # intervals around one, itself included
MOST_OFF = 0.2  # of the median around it
MOST_ARTEFACTS = 0.2  # of the intervals of a day
LEAST = 5  # normal intervals of a day; two differences at least
STEADY = 60  # fewer than about a minute's beats give an unsteady value
PAUSE = pl.duration(minutes=30)  # a longer one begins a new recording
SLACK = pl.duration(seconds=2)  # between two moments, beyond the interval itself
DAY = ["session_date", "device_id"]
ISO = r"^\d{4}-\d\d-\d\d"
MOMENT_FORMAT = "%Y-%m-%dT%H:%M:%S%.f%:z"


def read_moment(column: str) -> pl.Expr:
    """A moment in UTC from ISO text, with an offset or without; null for a day or another text."""
    text = pl.col(column).str.to_uppercase().str.replace(r"^(\S{10}) ", "${1}T")
    text = text.str.replace("Z$", "+00:00").str.replace(
        r"(T\d\d:\d\d:\d\d(?:\.\d+)?)$", "${1}+00:00"
    )
    return text.str.to_datetime(MOMENT_FORMAT, time_zone="UTC", strict=False)


def read_intervals(raw: RawFile, limit: date) -> DraftSignals:
    """A table with one interval a row, in milliseconds, with its day or moment.

    Parameters
    ----------
    limit : the last day that can have been logged.
    """
    rows = as_text(read_rows(raw))
    has_text = pl.col("interval_text").is_not_null()
    n_blank = rows.filter(~has_text).height
    rows = rows.filter(has_text).with_columns(
        read_moment("date_text").alias("ends"),
        pl.col("date_text").alias("written"),
        pl.when(pl.col("date_text").str.contains(ISO))
        .then(pl.col("date_text").str.head(10))
        .otherwise("date_text")
        .alias("date_text"),
    )
    rows = need_date(read_days(rows, raw, limit), raw)

    def read(text: str) -> dict[str, object]:
        return {"rr_ms": read_decimal(text, raw.map.decimal)}

    label = label_of(raw, "interval")
    rows = read_cells(rows, "interval_text", label, read, {"rr_ms": pl.Float64()})
    rows = rows.with_columns(
        optional(rows, "device_text").alias("device_id"),
        pl.col("interval_text").alias("cell_text"),
        pl.lit(label).alias("label"),
        pl.col("written").alias("date_text"),
    )
    return gather_intervals(rows, raw, n_blank)


def gather_intervals(rows: pl.DataFrame, raw: RawFile, n_blank: int) -> DraftSignals:
    """RMSSD and SDNN of each day and device.

    Parameters
    ----------
    rows : one an interval: record, row_no, session_date, rr_ms, device_id, ends (the moment of its
        second beat in UTC, or null), label, cell_text, date_text and the fault columns.
    """
    n_read = rows.height + n_blank
    faulty = rows.filter(pl.col("reason").is_not_null())
    rows = rows.filter(pl.col("reason").is_null())
    same = pl.struct("device_id", "ends", "rr_ms")
    again = pl.col("ends").is_not_null() & ~same.is_first_distinct()
    n_repeated = rows.filter(again).height
    rows = _mark_artefacts(_mark_recordings(rows.filter(~again)))
    days = _mark_days(_measure(rows))
    bad = days.filter(pl.col("reason").is_not_null()).select("row_no", "reason", "detail")
    bad = rows.drop("reason", "detail").join(bad, on="row_no").select(faulty.columns)
    days = days.filter(pl.col("reason").is_null()).sort("row_no")
    n_kept = int(days["n_normal"].sum())
    n_left_out = rows.height - n_kept - bad.height
    return DraftSignals(
        signals=pl.concat([_signal(days, name, raw) for name in ("rmssd", "sdnn")]),
        faulty=describe_signals(pl.concat([faulty, bad]).sort("record")),
        n_read=n_read,
        n_kept=n_kept,
        n_blank=n_blank + n_left_out,
        n_repeated=n_repeated,
        warnings=tuple(_warnings(days, n_left_out)),
    )


def _warnings(days: pl.DataFrame, n_left_out: int) -> Iterator[str]:
    if n_left_out:
        yield f"{n_left_out} intervals are artefacts, or of days that give no value: left out"
    n_unsteady = days.filter(pl.col("n_normal") < STEADY).height
    if n_unsteady:
        yield f"{n_unsteady} days have fewer than {STEADY} intervals: their variability is unsteady"


def _mark_recordings(rows: pl.DataFrame) -> pl.DataFrame:
    """Add ``recording``; a recording with moments belongs to the day on which it ends."""
    rows = rows.sort("device_id", "ends", "record", nulls_last=True)
    has_moment = pl.col("ends").is_not_null() & pl.col("ends").shift(1).is_not_null()
    goes_on = (
        pl.when(has_moment)
        .then(pl.col("ends") - pl.col("ends").shift(1) <= PAUSE)
        .otherwise(pl.col("session_date") == pl.col("session_date").shift(1))
    )
    same_device = pl.col("device_id").eq_missing(pl.col("device_id").shift(1))
    is_new = ~(goes_on & same_device).fill_null(False)
    rows = rows.with_columns(is_new.cum_sum().alias("recording"))
    return rows.with_columns(pl.col("session_date").last().over("recording"))


def _mark_artefacts(rows: pl.DataFrame) -> pl.DataFrame:
    """Add ``is_artefact``, and ``difference`` to the interval before where it is successive."""
    value = pl.col("rr_ms")
    middle = value.rolling_median(WINDOW, center=True, min_samples=1).over("recording")
    rows = rows.with_columns(
        ~(
            value.is_between(SHORTEST_MS, LONGEST_MS)
            & ((value - middle).abs() <= MOST_OFF * middle)
        ).alias("is_artefact")
    )
    gap = pl.col("ends") - pl.col("ends").shift(1)
    is_next = (
        (pl.col("recording") == pl.col("recording").shift(1))
        & ~pl.col("is_artefact")
        & ~pl.col("is_artefact").shift(1)
        & (gap <= pl.duration(milliseconds=value) + SLACK).fill_null(True)
    )
    return rows.with_columns(pl.when(is_next).then(value - value.shift(1)).alias("difference"))


def _measure(rows: pl.DataFrame) -> pl.DataFrame:
    """One row a day and device; ``row_no`` is that of the first interval."""
    normal = pl.col("rr_ms").filter(~pl.col("is_artefact"))
    return rows.group_by(DAY, maintain_order=True).agg(
        pl.col("row_no").min(),
        pl.len().alias("n"),
        normal.len().alias("n_normal"),
        pl.col("difference").count().alias("n_differences"),
        normal.std(ddof=1).alias("sdnn"),
        (pl.col("difference") ** 2).mean().sqrt().alias("rmssd"),
    )


def _mark_days(days: pl.DataFrame) -> pl.DataFrame:
    """Mark the days that give no value."""
    days = days.with_columns(no_fault())
    n_artefacts = pl.col("n") - pl.col("n_normal")
    share = pl.format(
        f"{{}} of the day's {{}} intervals are artefacts, {MOST_ARTEFACTS:.0%} at most are borne; "
        "check the strap, and that the unit is ms",
        n_artefacts,
        "n",
    )
    too_many = n_artefacts > MOST_ARTEFACTS * pl.col("n")
    days = add_fault(days, too_many, "too many artefacts", share)
    few = pl.format(f"{{}} normal intervals that day, {LEAST} needed; record longer", "n_normal")
    is_few = (pl.col("n_normal") < LEAST) | (pl.col("n_differences") < 2)
    days = add_fault(days, is_few, "too few intervals", few)
    for name in ("rmssd", "sdnn"):
        limits = known_limits(f"hrv_{name}_ms")
        told = pl.format(
            f"{name.upper()} {{}} ms from {{}} intervals, {limits.low:g} to {limits.high:g} ms is "
            "read; check the strap",
            pl.col(name).round(1),
            "n_normal",
        )
        outside = ~pl.col(name).is_between(limits.low, limits.high)
        days = add_fault(days, outside, "value outside its limits", told)
    return days


def _signal(days: pl.DataFrame, name: str, raw: RawFile) -> pl.DataFrame:
    """One measure of each day; its intervals are counted once, with RMSSD."""
    rows = days.with_columns(
        pl.lit(f"hrv_{name}_ms").alias("signal"),
        pl.col(name).alias("value"),
        pl.lit("ms").alias("unit"),
        (pl.col("n_normal") if name == "rmssd" else pl.lit(0)).alias("n_records"),
    )
    return name_signals(rows, raw)
