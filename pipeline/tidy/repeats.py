"""The same training kept twice: within a file by its set numbers, across files by its pattern."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import polars as pl

from pipeline.core.dictionary import conform, empty_frame

# What makes two rows of one file the same set: all that they say.
SAME_SET = (
    *("session_date", "session", "exercise_as_written", "set_no_written", "segment_no"),
    *("load_kg", "load_basis", "reps", "reps_target", "rir", "to_failure", "is_warmup"),
    *("duration_s", "distance_m", "angle_deg", "position", "side", "note"),
)
# What makes the sets of a lift on one day the same in two files, whatever the notation.
PATTERN = ("load_kg", "reps", "duration_s", "distance_m", "segment_no")
SAME_VALUE = 1e-6
DAY_LIFT = ("lifter_id", "session_date", "exercise_id")


@dataclass(frozen=True)
class Repeats:
    """Rows that count, and how many records of each file repeat another (``repeated``).

    ``copies`` has one row a repeated lift or signal and day, with file_id and first_file_id (the
    copy that counts). ``set_aside``: records that contradict another file.
    """

    kept: pl.DataFrame
    repeated: dict[str, int]
    copies: pl.DataFrame
    set_aside: pl.DataFrame


def drop_repeats(sets: pl.DataFrame) -> tuple[pl.DataFrame, int]:
    """Draft sets without rows that say a numbered set again, and the number of such rows.

    Equal sets without numbers, or with different ones, are sets of their own.
    """
    if sets["set_no_written"].null_count() == sets.height:
        return sets, 0
    is_new = pl.struct(SAME_SET).is_first_distinct() | pl.col("set_no_written").is_null()
    kept = sets.filter(is_new)
    return kept, sets.height - kept.height


def find_repeats(sets: pl.DataFrame, file_order: Sequence[str]) -> Repeats:
    """Find the same sets of a lift on the same day in two files; the first file's copy counts.

    Parameters
    ----------
    sets : rows of ``tidy_set`` of all files, each file's in its own order.
    file_order : file ids; the earlier one's copy counts.
    """
    groups = _find_copies(sets, _rank(file_order))
    key = (*DAY_LIFT, "file_id")
    some = not groups.is_empty()
    return Repeats(
        kept=sets.join(groups, on=key, how="anti", maintain_order="left") if some else sets,
        repeated=_count_records(sets.join(groups, on=key, how="semi")) if some else {},
        copies=groups,
        set_aside=empty_frame("set_aside"),
    )


def _find_copies(sets: pl.DataFrame, rank: Mapping[str, int]) -> pl.DataFrame:
    """Days and lifts of a file whose sets an earlier file has as well."""
    columns = (*DAY_LIFT, "file_id", "first_file_id")
    in_two = _in_two_files(sets)
    if in_two.is_empty():
        return pl.DataFrame(schema={n: sets.schema.get(n, pl.String()) for n in columns})
    values = [pl.col(name).cast(pl.Float64).fill_null(0.0).round(1) for name in PATTERN]
    pattern = pl.concat_str([value.cast(pl.String) for value in values], separator="x")
    return (
        sets.lazy()
        .join(in_two.lazy(), on=DAY_LIFT, how="semi")
        .with_columns(pattern.alias("pattern"))
        .group_by(*DAY_LIFT, "file_id")
        .agg(pl.col("pattern").sort().str.join(" "))
        .with_columns(pl.col("file_id").replace_strict(rank, return_dtype=pl.Int64).alias("rank"))
        .sort(*DAY_LIFT, "rank")
        .with_columns(pl.col("file_id").first().over(*DAY_LIFT, "pattern").alias("first_file_id"))
        .filter(pl.col("file_id") != pl.col("first_file_id"))
        .select(columns)
        .collect()
    )


def _in_two_files(sets: pl.DataFrame) -> pl.DataFrame:
    """Days and lifts that stand in more than one file."""
    if sets["file_id"].n_unique() < 2:
        return sets.select(DAY_LIFT).clear()
    places = sets.select(*DAY_LIFT, "file_id").unique()
    return places.group_by(DAY_LIFT).len().filter(pl.col("len") > 1).select(DAY_LIFT)


def find_repeated_signals(signals: pl.DataFrame, file_order: Sequence[str]) -> Repeats:
    """Find the same signal of the same day and device in two files; the first file's counts.

    A later file's other value for that day is set aside: a day has one value of a signal and
    device, and the files are read in order.
    """
    rank = _rank(file_order)
    day = ("lifter_id", "date", "signal", "device_id")
    ranked = signals.with_columns(
        pl.col("file_id").replace_strict(rank, return_dtype=pl.Int64).alias("rank")
    ).sort("rank", maintain_order=True)
    ranked = ranked.with_columns(
        pl.col("file_id").first().over(day).alias("first_file_id"),
        pl.col("value").first().over(day).alias("first_value"),
    )
    is_first = pl.col("file_id") == pl.col("first_file_id")
    later = ranked.filter(~is_first)
    is_same = (pl.col("value") - pl.col("first_value")).abs() < SAME_VALUE
    copies = later.filter(is_same)
    return Repeats(
        kept=ranked.filter(is_first).drop("rank", "first_file_id", "first_value"),
        repeated=dict(copies.group_by("file_id").len().sort("file_id").iter_rows()),
        copies=copies.select(*day, "file_id", "first_file_id"),
        set_aside=_contradictions(later.filter(~is_same)),
    )


def _contradictions(rows: pl.DataFrame) -> pl.DataFrame:
    told = pl.format(
        "{} of {} is {} here and {} in another file; take one of the two out",
        *("signal", "date"),
        pl.col("value").round(2),
        pl.col("first_value").round(2),
    )
    frame = rows.select(
        *("file_id", "row_no"),
        pl.lit("second value for the day").alias("reason"),
        told.alias("detail"),
        pl.format("{} | {}: {}", "date", "signal", pl.col("value").round(2)).alias("as_written"),
    )
    return conform("set_aside", frame)


def _rank(file_order: Sequence[str]) -> Mapping[str, int]:
    return {file_id: place for place, file_id in enumerate(file_order)}


def _count_records(lost: pl.DataFrame) -> dict[str, int]:
    """Records by file: a row, or a cell of a wide table, may hold several sets."""
    records = lost.unique(["file_id", "row_no", "exercise_as_written"])
    return dict(records.group_by("file_id").len().sort("file_id").iter_rows())
