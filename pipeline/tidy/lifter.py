"""All files of a lifter, or of several, as one record: repeats, numbers, doubts, moved load."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import polars as pl

from pipeline.core.dictionary import conform
from pipeline.core.settings import default_settings
from pipeline.tidy.doubts import mark_doubts
from pipeline.tidy.moved_load import add_moved_load
from pipeline.tidy.repeats import find_repeated_signals, find_repeats
from pipeline.tidy.sessions import number_sets


@dataclass(frozen=True)
class JoinedFiles:
    """Tables over all files, and what the comparison of files moved.

    ``repeated`` and ``contradicted`` are records by file id, to be taken from each file's kept
    count (``FileCounts.moved``); ``copies`` and ``copied_signals`` name the copy that counts.
    """

    sets: pl.DataFrame
    signals: pl.DataFrame
    set_aside: pl.DataFrame
    repeated: dict[str, int]
    contradicted: dict[str, int]
    copies: pl.DataFrame
    copied_signals: pl.DataFrame


def join_files(
    sets: pl.DataFrame,
    signals: pl.DataFrame,
    exercises: pl.DataFrame,
    file_order: Sequence[str],
    thresholds: Mapping[str, float] | None = None,
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
    found = find_repeats(_in_order(sets, file_order), file_order)
    measured = find_repeated_signals(signals, file_order)
    rows = found.kept.sort("lifter_id", "session_date", "session_id", maintain_order=True)
    rows = number_sets(rows)
    rows = add_moved_load(rows, measured.kept, exercises, limits["body_weight_near_days"])
    rows = mark_doubts(rows, limits["doubt_max_ratio"])
    contradicted = measured.set_aside.group_by("file_id").len().sort("file_id")
    repeated = {
        file_id: found.repeated.get(file_id, 0) + measured.repeated.get(file_id, 0)
        for file_id in file_order
        if file_id in found.repeated or file_id in measured.repeated
    }
    return JoinedFiles(
        sets=conform("tidy_set", rows),
        signals=measured.kept.sort("lifter_id", "signal", "date", maintain_order=True),
        set_aside=measured.set_aside,
        repeated=repeated,
        contradicted=dict(contradicted.iter_rows()),
        copies=found.copies,
        copied_signals=measured.copies,
    )


def _in_order(sets: pl.DataFrame, file_order: Sequence[str]) -> pl.DataFrame:
    rank = {file_id: place for place, file_id in enumerate(file_order)}
    place = pl.col("file_id").replace_strict(rank, return_dtype=pl.Int64)
    return sets.sort(place, maintain_order=True)
