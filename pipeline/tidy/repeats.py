"""The same training kept twice: within a file by its set numbers, across files by its pattern."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import polars as pl

from pipeline.core.dictionary import conform, empty_frame
from pipeline.tidy.copies import DAY_LIFT, Copy, find_copies
from pipeline.tidy.corrections import BOTH

# What makes two rows of one file the same set: all that they say.
SAME_SET = (
    *("session_date", "session", "exercise_as_written", "set_no_written", "segment_no"),
    *("load_kg", "load_basis", "reps", "reps_target", "rir", "to_failure", "is_warmup"),
    *("duration_s", "distance_m", "angle_deg", "position", "side", "note"),
)
SAME_VALUE = 1e-6
FIRST_STRETCH = "#000001"


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
    # Whole rows are compared only where day, lift and number are alike.
    numbered = sets.select(pl.int_range(pl.len()).alias("at"), *SAME_SET[:5]).filter(
        pl.col("set_no_written").is_not_null()
    )
    codes = pl.selectors.categorical().to_physical()
    numbered = numbered.with_columns(codes).select(
        "at", pl.struct(SAME_SET[:5]).hash().alias("place")
    )
    if numbered["place"].n_unique() == numbered.height:
        return sets, 0
    at = numbered["at"].filter(numbered["place"].is_duplicated())
    is_first = sets[at].select(pl.struct(SAME_SET).is_first_distinct()).to_series()
    is_again = pl.int_range(pl.len()).is_in(at.filter(~is_first).implode())
    kept = sets.filter(~is_again)
    return kept, sets.height - kept.height


def find_repeats(
    sets: pl.DataFrame,
    file_order: Sequence[str],
    decided: Mapping[frozenset[str], str] | None = None,
) -> Repeats:
    """Find training that is kept twice, within a file and in two files; one copy counts.

    Parameters
    ----------
    sets : rows of ``tidy_set`` of all files, each file's in its own order.
    file_order : file ids. Of two copies the one with more sets counts, else the earlier file's.
    decided : what a person decided instead, by pair of file ids: the one to keep, or ``BOTH``.
    """
    decided = decided or {}
    rank = _rank(file_order)
    order = pl.col("file_id").replace_strict(rank, return_dtype=pl.Int64)
    marked = sets.with_row_index("place").with_columns(
        order.cast(pl.String).str.zfill(6).alias("file_part")
    )
    names = {f"{place:06}": file_id for file_id, place in rank.items()}
    lost = _lose(_name_stretches(marked), "stretch", names, decided)
    marked = marked.join(lost, on="place", how="anti", maintain_order="left")
    lost = pl.concat([lost, _lose(marked, "file_part", names, decided)])
    if lost.is_empty():
        return Repeats(sets, {}, empty_frame("tidy_copy"), empty_frame("set_aside"))
    rows = sets.with_row_index("place").join(lost, on="place", maintain_order="left")
    return Repeats(
        kept=sets.with_row_index("place")
        .join(lost, on="place", how="anti", maintain_order="left")
        .drop("place"),
        repeated=_count_records(rows),
        copies=_describe_copies(rows),
        set_aside=empty_frame("set_aside"),
    )


def _name_stretches(marked: pl.DataFrame) -> pl.DataFrame:
    """Stretches of a file by day: a day that is told again after other days has a second one."""
    run = pl.struct("file_id", "session_date").rle_id().alias("run")
    runs = marked.select("place", "file_part", "session_date", run)
    number = pl.col("run").rank("dense").over("file_part", "session_date")
    return marked.with_columns(
        runs.select(
            pl.format("{}#{}", "file_part", number.cast(pl.String).str.zfill(6)).alias("stretch")
        )["stretch"]
    )


def _all_copies(marked: pl.DataFrame, part: str) -> Iterator[Copy]:
    """Copies between files, or between the stretches of each file."""
    if part == "file_part":
        yield from find_copies(marked, part, are_files=True)
        return
    told_again = marked.filter(~pl.col(part).str.ends_with(FIRST_STRETCH))["file_part"].unique()
    for file_part in told_again.sort():
        own = marked.filter(pl.col("file_part") == file_part)
        yield from find_copies(own, part, are_files=False)


def _lose(
    marked: pl.DataFrame,
    part: str,
    names: Mapping[str, str],
    decided: Mapping[frozenset[str], str],
) -> pl.DataFrame:
    """Rows that repeat others, by ``place``, with the file that counts, its row, and how."""
    by_pair: dict[tuple[str, str, str], list[Copy]] = {}
    for copy in _all_copies(marked, part):
        by_pair.setdefault((copy.lifter_id, copy.first, copy.second), []).append(copy)
    lost: dict[tuple[str, date, str, str], tuple[str, str]] = {}
    for (lifter, first, second), copies in by_pair.items():
        files = tuple(names[one.split("#")[0]] for one in (first, second))
        keep = decided.get(frozenset(files))
        if keep == BOTH:
            continue
        is_richer = sum(c.n_second for c in copies) > sum(c.n_first for c in copies)
        wins_second = keep == files[1] if keep and files[0] != files[1] else is_richer
        kept, given_up = (second, first) if wins_second else (first, second)
        for copy in copies:
            day_lift = (lifter, copy.day, copy.exercise_id)
            if (*day_lift, kept) not in lost:
                lost.setdefault((*day_lift, given_up), (kept, copy.how))
    return _lost_rows(marked, part, lost, names)


def _lost_rows(
    marked: pl.DataFrame,
    part: str,
    lost: Mapping[tuple[str, date, str, str], tuple[str, str]],
    names: Mapping[str, str],
) -> pl.DataFrame:
    key = (*DAY_LIFT, part)
    rows = [(*place, kept, how) for place, (kept, how) in lost.items()]
    named = {name: marked.schema[name] for name in key}
    schema = {**named, "kept_part": pl.String(), "how": pl.String()}
    table = pl.DataFrame(rows, schema=schema, orient="row")
    first_rows = marked.group_by(key).agg(pl.col("row_no").min().alias("first_row_no"))
    table = table.join(
        first_rows.rename({part: "kept_part"}), on=[*DAY_LIFT, "kept_part"], how="left"
    )
    file = pl.col("kept_part").str.head(6).replace_strict(names, return_dtype=pl.String)
    return marked.join(table, on=key, maintain_order="left").select(
        "place", file.alias("first_file_id"), "first_row_no", "how"
    )


def _describe_copies(rows: pl.DataFrame) -> pl.DataFrame:
    """Table ``tidy_copy``: a row a lift and day that repeats."""
    key = (*DAY_LIFT, "file_id", "first_file_id", "how")
    found = rows.group_by(*key, maintain_order=True).agg(
        pl.col("row_no").min(), pl.col("first_row_no").min(), pl.len().alias("sets")
    )
    return conform("tidy_copy", found.sort(key))


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
    # A value of many records, such as the intervals of a night, repeats them all.
    n_records = pl.col("n_records").fill_null(1).sum()
    counts = copies.group_by("file_id").agg(n_records).filter(pl.col("n_records") > 0)
    return Repeats(
        kept=ranked.filter(is_first).drop("rank", "first_file_id", "first_value"),
        repeated=dict(counts.sort("file_id").iter_rows()),
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
