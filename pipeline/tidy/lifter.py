"""All files of a lifter, or of several, as one record: repeats, numbers, doubts, moved load."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import polars as pl

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.settings import default_settings
from pipeline.tidy.doubt_dates import find_date_doubts
from pipeline.tidy.doubt_signals import REASON, find_signal_doubts
from pipeline.tidy.doubts import find_doubts
from pipeline.tidy.moved_load import add_moved_load
from pipeline.tidy.repeats import find_repeated_signals, find_repeats
from pipeline.tidy.sessions import number_sets

ROW = ("file_id", "row_no")


@dataclass(frozen=True)
class JoinedFiles:
    """Tables over all files, and what the comparison of files moved.

    ``repeated`` and ``contradicted`` are records by file id, to be taken from each file's kept
    count (``FileCounts.moved``); ``copies`` and ``copied_signals`` name the copy that counts.
    ``doubted`` are the doubted sets with what is doubted: ``what``, ``found``, ``usual``, ``near``.
    """

    sets: pl.DataFrame
    signals: pl.DataFrame
    set_aside: pl.DataFrame
    repeated: dict[str, int]
    contradicted: dict[str, int]
    copies: pl.DataFrame
    copied_signals: pl.DataFrame
    doubted: pl.DataFrame


@dataclass(frozen=True)
class Decisions:
    """What a person decided: of copies by pair of file ids, and rows (``file_id``, ``row_no``)
    whose odd values are right."""

    copies: Mapping[frozenset[str], str]
    confirmed: pl.DataFrame


NONE_DECIDED = Decisions({}, empty_frame("tidy_set").select(ROW))


def join_files(
    sets: pl.DataFrame,
    signals: pl.DataFrame,
    exercises: pl.DataFrame,
    file_order: Sequence[str],
    thresholds: Mapping[str, float] | None = None,
    decisions: Decisions = NONE_DECIDED,
) -> JoinedFiles:
    """Join the tidy tables of files.

    Parameters
    ----------
    sets, signals : rows of ``tidy_set`` and ``tidy_signal`` of all files.
    exercises : table ``ref_exercise``, own exercises included.
    file_order : file ids in order of path; of a repeat the earlier file's copy counts.
    thresholds : settings in force; None: as shipped.
    """
    limits = thresholds or default_settings().thresholds
    found = find_repeats(_in_order(sets, file_order), file_order, decisions.copies)
    measured = find_repeated_signals(signals, file_order)
    odd = find_signal_doubts(measured.kept).join(decisions.confirmed, on=ROW, how="anti")
    kept = measured.kept.join(odd, on=[*ROW, "signal"], how="anti", maintain_order="left")
    rows = found.kept.sort("lifter_id", "session_date", "session_id", maintain_order=True)
    rows = number_sets(rows)
    rows = add_moved_load(rows, kept, exercises, limits["body_weight_near_days"])
    rows, doubted = _mark_doubts(rows, limits["doubt_max_ratio"], decisions.confirmed)
    aside = pl.concat([measured.set_aside, _odd_values(odd)])
    contradicted = aside.group_by("file_id").len().sort("file_id")
    repeated = {
        file_id: found.repeated.get(file_id, 0) + measured.repeated.get(file_id, 0)
        for file_id in file_order
        if file_id in found.repeated or file_id in measured.repeated
    }
    return JoinedFiles(
        sets=conform("tidy_set", rows),
        signals=kept.sort("lifter_id", "signal", "date", maintain_order=True),
        set_aside=aside,
        repeated=repeated,
        contradicted=dict(contradicted.iter_rows()),
        copies=found.copies,
        copied_signals=measured.copies,
        doubted=doubted,
    )


def _mark_doubts(
    rows: pl.DataFrame, max_ratio: float, confirmed: pl.DataFrame
) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Sets with ``is_doubted``, and the doubted ones with what is doubted of them."""
    found = pl.concat(
        [find_date_doubts(rows), find_doubts(rows, max_ratio)], how="diagonal_relaxed"
    ).unique("place", keep="first", maintain_order=True)
    placed = rows.with_columns(pl.int_range(pl.len(), dtype=pl.Int64).alias("place"))
    doubted = placed.join(found, on="place", maintain_order="left")
    doubted = doubted.join(confirmed, on=ROW, how="anti", maintain_order="left")
    is_doubted = pl.col("is_doubted") | pl.col("place").is_in(doubted["place"].implode())
    return placed.with_columns(is_doubted.alias("is_doubted")).drop("place"), doubted.drop("place")


def _odd_values(odd: pl.DataFrame) -> pl.DataFrame:
    """Doubted body weights as rows set aside: every measured value that is kept counts."""
    value, usual = pl.col("value").round(2), pl.col("usual").round(1)
    frame = odd.select(
        *ROW,
        pl.lit(REASON).alias("reason"),
        pl.format(
            "{} {}, about {} is usual around it; correct or confirm it in corrections.toml",
            *(value, "unit", usual),
        ).alias("detail"),
        pl.format("{} | {}: {}", "date", "signal", value).alias("as_written"),
    )
    return conform("set_aside", frame)


def _in_order(sets: pl.DataFrame, file_order: Sequence[str]) -> pl.DataFrame:
    rank = {file_id: place for place, file_id in enumerate(file_order)}
    place = pl.col("file_id").replace_strict(rank, return_dtype=pl.Int64)
    return sets.sort(place, maintain_order=True)
